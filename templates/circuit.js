// The live drawing: looks states up in the page's table and shows them by classes. It computes nothing.
(function () {
  "use strict";
  var data = JSON.parse(document.getElementById("circuit-data").textContent);
  var form = document.querySelector(".controls");
  var drawing = document.getElementById("drawing");
  var loads = document.querySelector(".loads");
  var shown = document.querySelector(".shown-state");
  var output = document.querySelector(".wire-reading output");
  var picker = document.querySelector(".wire-choice");
  var names = Array.from(document.querySelectorAll(".build-names li")).map(function (line) { return line.textContent; });

  function width(count) { return Math.max(count - 1, 0).toString(36).length; }
  function groups(selector, key) {
    // No name of a book is one that an object has of its own.
    var all = Object.create(null);
    drawing.querySelectorAll(selector).forEach(function (part) {
      var name = key(part);
      (all[name] = all[name] || []).push(part);
    });
    return all;
  }
  var wires = groups("[data-wire]", function (part) { return part.dataset.wire; });
  var strips = groups("[data-strip]", function (part) { return part.dataset.strip; });
  var elements = groups("[data-element]", function (part) { return part.dataset.part + "\n" + part.dataset.element; });
  var flowClasses = data.flow_classes.concat("reversed", "not-here");
  var elementClasses = "made open carrying at-fault full weak off not-here".split(" ");

  function whole(state) {
    var at = 0;
    return data.pieces.map(function (pieces) {
      var count = width(pieces.length);
      at += count;
      return pieces[parseInt(state.slice(at - count, at), 36)];
    }).join("");
  }
  function unpack(text) {
    var at = 0;
    function take(count) { at += count; return text.slice(at - count, at); }
    function number(count) { var piece = take(count); return piece[0] === "-" ? null : parseInt(piece, 36); }
    function letter() { var piece = take(1); return piece === "-" ? null : piece.charCodeAt(0) - 97; }
    var flow = width(data.flows.length), word = width(data.words.length);
    return {
      wires: data.wires.map(function () { return number(flow); }),
      strips: data.strips.map(letter),
      elements: data.elements.map(letter),
      faces: data.faces.map(function () { return number(word); })
    };
  }

  var now = null;
  function dress(parts, off, on) {
    (parts || []).forEach(function (part) {
      off.forEach(function (name) { part.classList.remove(name); });
      on.forEach(function (name) { if (name) { part.classList.add(name); } });
    });
  }
  function show(number) {
    now = unpack(whole(data.states[number]));
    data.wires.forEach(function (wire, at) {
      var flow = now.wires[at] === null ? null : data.flows[now.wires[at]];
      dress(wires[wire], flowClasses, flow ? [data.flow_classes[flow[0]], flow[1] ? "reversed" : ""] : ["not-here"]);
    });
    data.strips.forEach(function (strip, at) {
      var flow = now.strips[at];
      dress(strips[strip], flowClasses, [flow === null ? "not-here" : data.flow_classes[flow]]);
    });
    data.elements.forEach(function (element, at) {
      var letter = now.elements[at];
      dress(elements[element.join("\n")], elementClasses, letter === null ? ["not-here"] : data.element_classes[letter].split(" "));
    });
    loads.textContent = "";
    data.faces.forEach(function (face, at) {
      if (now.faces[at] === null) { return; }
      var line = document.createElement("li");
      var letter = now.elements[face[1]];
      var lit = letter !== null && /full|weak/.test(data.element_classes[letter]);
      line.className = lit ? "on" : "";
      line.dataset.face = face[0];
      line.append(face[0] + ": ");
      var word = document.createElement("b");
      word.textContent = data.words[now.faces[at]];
      line.append(word);
      loads.append(line);
    });
    drawing.dataset.state = number;
    read();
  }

  function read() {
    drawing.querySelectorAll(".chosen").forEach(function (part) { part.classList.remove("chosen"); });
    output.textContent = "";
    if (!picker.value || !now) { return; }
    var at = data.wires.indexOf(picker.value);
    (wires[picker.value] || []).forEach(function (part) { part.classList.add("chosen"); });
    var flow = now.wires[at] === null ? null : data.flows[now.wires[at]];
    if (!flow) { output.textContent = "–"; return; }
    output.textContent = (flow[2] === null ? form.dataset.floating : flow[2] + " V") + ", " + flow[3] + " A";
  }
  data.wires.forEach(function (wire) {
    if (!wires[wire]) { return; }
    picker.append(new Option(wire, wire));
  });
  picker.addEventListener("change", read);
  drawing.addEventListener("click", function (event) {
    var wire = event.target.closest("[data-wire]");
    if (wire) { picker.value = wire.dataset.wire; read(); }
  });

  // The build shown: the first that fits the reader's choice.
  var fixed = null;
  function build() {
    if (fixed !== null) { return fixed; }
    var list = window.chosenBuilds ? window.chosenBuilds() : [];
    return list.length ? list[0] : 0;
  }
  function tellBuild(number) {
    var place = document.querySelector(".shown-build");
    if (place && names[number]) { place.textContent = form.dataset.build.replace("#", names[number]); }
  }
  function code() {
    var number = 0, scale = 1;
    data.controls.forEach(function (control, at) {
      var on = form.querySelector("input[name='control-" + at + "']:checked");
      number += scale * (on ? Number(on.value) : 0);
      scale *= control.choices;
    });
    return number;
  }
  function set(number) {
    data.controls.forEach(function (control, at) {
      var input = form.querySelector("input[name='control-" + at + "'][value='" + (number % control.choices) + "']");
      if (input) { input.checked = true; }
      number = Math.floor(number / control.choices);
    });
  }
  function words() {
    var off = [];
    form.querySelectorAll("fieldset").forEach(function (control) {
      var on = control.querySelector("input:checked");
      if (on && on.value !== "0") { off.push(control.querySelector("legend").textContent + ": " + on.nextElementSibling.textContent); }
    });
    return off.join(", ");
  }
  function work() {
    var state = data.table[build()] && data.table[build()][code()];
    leave();
    tellBuild(build());
    if (state === undefined) { shown.textContent = form.dataset.unknown; return; }
    shown.textContent = words();
    show(state);
  }
  function leave() {
    document.querySelectorAll(".showing").forEach(function (part) { part.classList.remove("showing"); });
  }

  // A statement's evidence, for the reader's build where it speaks of that one.
  function present(anchor) {
    var states = data.evidence[anchor];
    var statement = document.getElementById(anchor);
    if (!states || !statement) { return false; }
    var own = states[build()] !== undefined ? build() : Object.keys(states)[0];
    leave();
    statement.classList.add("showing");
    shown.textContent = statement.querySelector("h3").textContent + " (" + statement.querySelector(".state-words").textContent + ")";
    tellBuild(own);
    show(states[own]);
    return true;
  }
  function follow() {
    var hash = location.hash.slice(1);
    // An address that somebody mistyped is one that names nothing.
    try { hash = decodeURIComponent(hash); } catch (error) { hash = ""; }
    var state = /^build=(\d+)&state=(\d+)$/.exec(hash);
    if (state) {
      var list = window.chosenBuilds ? window.chosenBuilds() : [];
      fixed = list.indexOf(Number(state[1])) >= 0 || !list.length ? Number(state[1]) : null;
      set(Number(state[2]));
      work();
      document.querySelector(".live").scrollIntoView();
      return;
    }
    if (!present(hash)) { work(); }
  }
  form.addEventListener("change", function () { work(); });
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  form.addEventListener("reset", function () { setTimeout(work); });
  document.addEventListener("click", function (event) {
    var link = event.target.closest("[data-show]");
    if (!link) { return; }
    event.preventDefault();
    history.replaceState(null, "", link.getAttribute("href"));
    present(link.dataset.show);
    document.querySelector(".live").scrollIntoView();
  });
  document.addEventListener("build", function () { fixed = null; follow(); });
  window.addEventListener("hashchange", follow);
  follow();
})();
