// The pages' one script: the build chooser, the search, and a few conveniences. Every page reads without it.
(function () {
  "use strict";
  var html = document.documentElement;
  var root = html.dataset.root;
  var store = "build of " + html.dataset.book;

  document.querySelectorAll(".with-script").forEach(function (part) { part.hidden = false; });
  document.querySelectorAll(".without-script").forEach(function (part) { part.hidden = true; });

  // The chosen options, one for each group, `*` for any. A browser that keeps nothing for pages of a folder gets the
  // choice handed on in the addresses of links instead.
  var builds = html.dataset.builds ? html.dataset.builds.split(" ").map(function (one) { return one.split("."); }) : [];
  var keeps = true;
  function remembered() {
    var handed = /[?&]build=([0-9*.]+)/.exec(location.search);
    try {
      if (handed) { localStorage.setItem(store, handed[1]); }
      return (handed && handed[1]) || localStorage.getItem(store) || "";
    } catch (error) {
      keeps = false;
      return handed ? handed[1] : "";
    }
  }
  var choice = remembered().split(".");
  function fits(build) {
    return builds[build] && builds[build].every(function (own, group) {
      return !choice[group] || choice[group] === "*" || choice[group] === own;
    });
  }
  function chosen() {
    return builds.map(function (_, build) { return build; }).filter(fits);
  }
  function apply() {
    var has = chosen();
    document.querySelectorAll("[data-fit]").forEach(function (part) {
      var own = part.dataset.fit.split(" ");
      part.classList.toggle("unfit", !has.some(function (build) { return own.indexOf(String(build)) >= 0; }));
    });
    var words = [];
    document.querySelectorAll(".build-form select").forEach(function (select, group) {
      select.value = choice[group] || "*";
      if (select.value !== "*") { words.push(select.options[select.selectedIndex].text); }
    });
    document.querySelectorAll(".build-now").forEach(function (now) { now.textContent = words.join(", "); });
    if (!keeps) {
      document.querySelectorAll("a[href]").forEach(function (link) {
        if (/^[a-z]+:/.test(link.getAttribute("href")) || link.getAttribute("href")[0] === "#") { return; }
        link.search = "?build=" + choice.join(".");
      });
    }
    document.dispatchEvent(new CustomEvent("build", { detail: has }));
  }
  window.chosenBuilds = chosen;
  var form = document.querySelector(".build-form");
  if (form) {
    form.parentElement.hidden = false;
    form.addEventListener("submit", function (event) { event.preventDefault(); });
    form.addEventListener("change", function () {
      choice = Array.from(form.querySelectorAll("select")).map(function (select) { return select.value; });
      try { localStorage.setItem(store, choice.join(".")); } catch (error) { keeps = false; }
      apply();
    });
  }
  if (builds.length > 1) { apply(); }

  // Drawers of the rail: one open at a time, closed by Escape or by a click elsewhere.
  var drawers = Array.from(document.querySelectorAll(".drawer"));
  function shut(but) {
    drawers.forEach(function (drawer) { if (drawer !== but) { drawer.open = false; } });
  }
  drawers.forEach(function (drawer) {
    drawer.addEventListener("toggle", function () { if (drawer.open) { shut(drawer); } });
  });
  document.addEventListener("click", function (event) {
    if (!event.target.closest(".drawer")) { shut(null); }
    if (!event.target.closest(".find")) { hide(); }
  });

  // The search. Its index is a script file, loaded when it is first needed.
  var find = document.querySelector(".find");
  var input = find && find.querySelector("input");
  var found = find && find.querySelector(".found");
  var index = null;
  var asked = false;
  function hide() { if (found) { found.hidden = true; } }
  window.bookIndex = function (entries) {
    index = entries.map(function (entry) {
      return { entry: entry, title: plain(entry[0]), text: plain(entry.join(" ")) };
    });
    search();
  };
  function plain(text) {
    return text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, "");
  }
  function load() {
    if (asked) { return; }
    asked = true;
    var script = document.createElement("script");
    script.src = root + "search.js";
    document.head.appendChild(script);
  }
  function rank(item, words) {
    var score = 0;
    for (var at = 0; at < words.length; at++) {
      var word = words[at];
      if (item.text.indexOf(word) < 0) { return -1; }
      if (item.title === word || item.title.split(" ")[0] === word) { score += 100; }
      else if (item.title.indexOf(word) === 0) { score += 40; }
      else if (item.title.indexOf(word) > 0) { score += 20; }
      else { score += 1; }
    }
    return score;
  }
  function search() {
    var words = plain(input.value).split(/\s+/).filter(Boolean);
    if (!words.length) { hide(); return; }
    if (!index) { load(); return; }
    var hits = [];
    index.forEach(function (item, order) {
      var score = rank(item, words);
      if (score >= 0) { hits.push({ item: item, score: score, order: order }); }
    });
    hits.sort(function (a, b) { return b.score - a.score || a.order - b.order; });
    var list = found.querySelector("ul");
    list.textContent = "";
    hits.slice(0, 40).forEach(function (hit) {
      var link = document.createElement("a");
      var title = document.createElement("b");
      title.textContent = hit.item.entry[0];
      link.href = root + hit.item.entry[2];
      link.append(title, hit.item.entry[1] + (hit.item.entry[3] ? ", " + hit.item.entry[3] : ""));
      var line = document.createElement("li");
      line.appendChild(link);
      list.appendChild(line);
    });
    found.querySelector(".found-count").textContent =
      hits.length ? find.dataset.count.replace("#", hits.length) : find.dataset.none;
    found.hidden = false;
  }
  if (find) {
    find.hidden = false;
    input.addEventListener("focus", load);
    input.addEventListener("input", search);
    find.addEventListener("submit", function (event) {
      event.preventDefault();
      var first = found.querySelector("a");
      if (!found.hidden && first) { location.href = first.href; }
    });
    find.addEventListener("keydown", function (event) {
      if (event.key !== "ArrowDown" && event.key !== "ArrowUp") { return; }
      var stops = [input].concat(Array.from(found.querySelectorAll("a")));
      var next = stops[stops.indexOf(document.activeElement) + (event.key === "ArrowDown" ? 1 : -1)];
      if (next) { event.preventDefault(); next.focus(); }
    });
  }
  document.addEventListener("keydown", function (event) {
    var typing = /^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName) && event.target.type !== "radio";
    if (event.key === "/" && !typing && input) { event.preventDefault(); input.focus(); input.select(); }
    if (event.key === "Escape") {
      if (found && !found.hidden) { hide(); input.focus(); }
      var open = drawers.find(function (drawer) { return drawer.open; });
      if (open) { open.open = false; open.querySelector("summary").focus(); }
    }
  });

  document.querySelectorAll(".print-now").forEach(function (button) {
    button.hidden = false;
    button.addEventListener("click", function () { window.print(); });
  });

  // A draft that is written again at every change says so by a script. A page that hears of a newer one
  // loads itself again, and the browser keeps the reader's place.
  var heard = null;
  window.goodgroundWritten = function (edition) {
    if (heard !== null && heard !== edition) { location.reload(); }
    heard = edition;
  };
  function listen() {
    var call = document.createElement("script");
    call.src = root + "written.js?" + Date.now();
    call.onload = function () { call.remove(); setTimeout(listen, 500); };
    // While a book is changed on the disk the script is away for a moment.
    call.onerror = call.onload;
    document.head.appendChild(call);
  }
  if (html.dataset.watched !== undefined) { listen(); }
})();
