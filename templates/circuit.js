// The live drawing: looks states up in the page's table and shows them by classes. It computes nothing.
(function () {
  "use strict";
  var data = JSON.parse(document.getElementById("circuit-data").textContent);
  var form = document.querySelector(".controls");
  var drawing = document.getElementById("drawing");
  var loads = document.querySelector(".loads");
  var shown = document.querySelector(".shown-state");
  var output = document.querySelector(".chosen-thing output");
  var picker = document.querySelector(".choice");
  var card = document.querySelector(".chosen-thing .card");
  var apart = document.querySelector(".apart");
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

  // A state in full: a word for each of its pieces.
  function spelled(state) {
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
    now = unpack(spelled(data.states[number]));
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

  // A state that was not computed: nothing is said of it, and the drawing is faint.
  function unknown() {
    now = null;
    Object.keys(wires).forEach(function (wire) { dress(wires[wire], flowClasses, []); });
    Object.keys(strips).forEach(function (strip) { dress(strips[strip], flowClasses, []); });
    Object.keys(elements).forEach(function (element) { dress(elements[element], elementClasses, []); });
    loads.textContent = "";
    delete drawing.dataset.state;
    read();
  }

  // What is chosen: its card, what it does now, and in the drawing the whole conductor that it is part of.
  function chosen() { return picker.value ? document.getElementById(picker.value) : null; }
  function end(name) { return name.split("/")[0]; }
  function conductor(ends) {
    var reached = {}, waiting = ends.map(end), lit = [];
    while (waiting.length) {
      var at = waiting.pop();
      if (reached["=" + at]) { continue; }
      reached["=" + at] = true;
      drawing.querySelectorAll("[data-wire]").forEach(function (wire) {
        var both = [end(wire.dataset.from), end(wire.dataset.to)];
        if (both.indexOf(at) >= 0) { lit.push(wire); waiting.push(both[0], both[1]); }
      });
    }
    drawing.querySelectorAll("[data-terminal]").forEach(function (part) {
      if (reached["=" + end(part.dataset.terminal)]) { lit.push(part); }
    });
    drawing.querySelectorAll("[data-cavity]").forEach(function (part) {
      if (reached["=" + part.dataset.connector + ":" + part.dataset.cavity]) { lit.push(part); }
    });
    return lit;
  }
  function shapes(thing) {
    var kind = Object.keys(thing.dataset)[0], name = thing.dataset[kind];
    // A stud or a splice has no symbol: it is the nodes of its terminals.
    var node = kind === "part" ? "[data-terminal]" : "[data-" + kind + "]";
    return Array.from(drawing.querySelectorAll("[data-" + kind + "], " + node)).filter(function (part) {
      var terminal = part.dataset.terminal;
      return part.dataset[kind] === name || terminal === name || (kind === "part" && terminal && terminal.indexOf(name + ":") === 0);
    });
  }
  function read() {
    drawing.querySelectorAll(".chosen, .along").forEach(function (part) { part.classList.remove("chosen", "along"); });
    output.textContent = "";
    var thing = chosen();
    if (!thing) { return; }
    var own = shapes(thing);
    own.forEach(function (part) { part.classList.add("chosen"); });
    var ends = [];
    own.forEach(function (part) {
      if (part.dataset.wire) { ends.push(part.dataset.from, part.dataset.to); }
    });
    conductor(ends).forEach(function (part) { part.classList.add("along"); });
    if (!now) { return; }
    if (thing.dataset.part) { output.textContent = looks(thing.dataset.part).join(", "); }
    if (!thing.dataset.wire) { return; }
    var at = data.wires.indexOf(thing.dataset.wire);
    var flow = now.wires[at] === null ? null : data.flows[now.wires[at]];
    if (!flow) { output.textContent = "–"; return; }
    output.textContent = (flow[2] === null ? form.dataset.floating : flow[2] + " V") + ", " + flow[3] + " A";
  }
  function looks(part) {
    return data.faces.reduce(function (words, face, at) {
      if (now.faces[at] !== null && data.elements[face[1]][0] === part) { words.push(data.words[now.faces[at]]); }
      return words;
    }, []);
  }
  function lay() {
    var thing = chosen();
    card.textContent = "";
    card.hidden = !thing;
    if (thing) { card.append(thing.content.cloneNode(true)); }
    read();
  }
  // Brings what is chosen into the middle of the drawing, large enough to be read.
  function reveal() {
    var thing = chosen();
    var part = thing && shapes(thing)[0];
    if (!part) { return; }
    if (lens < 0.9) { look(1); }
    var box = part.getBoundingClientRect(), frame = drawing.getBoundingClientRect();
    drawing.scrollLeft += (box.left + box.right - frame.left - frame.right) / 2;
    drawing.scrollTop += (box.top + box.bottom - frame.top - frame.bottom) / 2;
  }
  picker.addEventListener("change", function () { lay(); reveal(); tell(); });

  // A finger is no needle: what is meant is what is nearest, a part within 22 pixels, a wire within 12.
  function nearest(x, y) {
    var best = null, least = Infinity;
    function offer(part, kind, box, reach) {
      var distance = Math.hypot(Math.max(box.left - x, 0, x - box.right), Math.max(box.top - y, 0, y - box.bottom));
      if (distance <= reach && distance < least) { least = distance; best = [kind, part.dataset[kind]]; }
    }
    drawing.querySelectorAll(".symbol[data-part], .symbol[data-connector]").forEach(function (part) {
      offer(part, part.dataset.part ? "part" : "connector", part.getBoundingClientRect(), 22);
    });
    drawing.querySelectorAll("[data-wire]").forEach(function (wire) {
      offer(wire, "wire", wire.querySelector(".run").getBoundingClientRect(), 12);
    });
    return best;
  }
  drawing.addEventListener("click", function (event) {
    if (dragged) { return; }
    var label = event.target.closest("[data-label-wire], [data-label-part]");
    var meant = nearest(event.clientX, event.clientY);
    if (label) { meant = label.dataset.labelWire ? ["wire", label.dataset.labelWire] : ["part", label.dataset.labelPart]; }
    if (!meant) { return; }
    var thing = Array.from(document.querySelectorAll("template[data-" + meant[0] + "]")).find(function (one) {
      return one.dataset[meant[0]] === meant[1];
    });
    if (thing) { picker.value = thing.id; lay(); tell(); output.parentNode.parentNode.scrollIntoView({ block: "nearest" }); }
  });

  // The size of the drawing: as a whole until the reader wants it larger.
  var sheets = Array.from(drawing.querySelectorAll("svg.drawing"));
  var sizes = sheets.map(function (sheet) { return [sheet.viewBox.baseVal.width, sheet.viewBox.baseVal.height]; });
  var lens = 1, fitted = true, dragged = false;
  function whole() {
    var wide = Math.max.apply(null, sizes.map(function (size) { return size[0]; }));
    var high = sizes.reduce(function (sum, size) { return sum + size[1]; }, 0);
    return Math.min((drawing.clientWidth - 4) / wide, (drawing.clientHeight - 4) / high, 2);
  }
  function look(size, x, y) {
    var least = whole();
    var next = Math.min(Math.max(size, least), 4);
    var left = x === undefined ? drawing.clientWidth / 2 : x, top = y === undefined ? drawing.clientHeight / 2 : y;
    var across = (drawing.scrollLeft + left) / lens, down = (drawing.scrollTop + top) / lens;
    lens = next;
    fitted = lens <= least * 1.001;
    sheets.forEach(function (sheet, at) { sheet.style.width = sizes[at][0] * lens + "px"; sheet.style.maxWidth = "none"; });
    drawing.scrollLeft = across * lens - left;
    drawing.scrollTop = down * lens - top;
  }
  document.querySelectorAll("[data-lens]").forEach(function (button) {
    button.addEventListener("click", function () {
      look({ in: lens * 1.4, out: lens / 1.4, whole: 0 }[button.dataset.lens]);
    });
  });
  drawing.addEventListener("keydown", function (event) {
    var size = { "+": lens * 1.4, "-": lens / 1.4, "0": 0 }[event.key];
    if (size !== undefined) { event.preventDefault(); look(size); }
  });
  drawing.addEventListener("wheel", function (event) {
    if (!event.ctrlKey) { return; }
    event.preventDefault();
    var frame = drawing.getBoundingClientRect();
    look(lens * Math.exp(-event.deltaY / 300), event.clientX - frame.left, event.clientY - frame.top);
  }, { passive: false });
  window.addEventListener("resize", function () { if (fitted) { look(0); } });
  // Two fingers change the size; a mouse drags. One finger scrolls as it does everywhere.
  var fingers = new Map(), spread = 0;
  drawing.addEventListener("pointerdown", function (event) {
    fingers.set(event.pointerId, event);
    spread = 0;
    dragged = false;
  });
  drawing.addEventListener("pointermove", function (event) {
    var before = fingers.get(event.pointerId);
    if (!before) { return; }
    fingers.set(event.pointerId, event);
    if (fingers.size === 2) {
      var two = Array.from(fingers.values()), frame = drawing.getBoundingClientRect();
      var apart = Math.hypot(two[0].clientX - two[1].clientX, two[0].clientY - two[1].clientY);
      if (spread) { look(lens * apart / spread, (two[0].clientX + two[1].clientX) / 2 - frame.left, (two[0].clientY + two[1].clientY) / 2 - frame.top); }
      spread = apart;
      dragged = true;
    } else if (event.pointerType === "mouse" && event.buttons === 1) {
      if (Math.hypot(event.movementX, event.movementY) > 1) { dragged = true; }
      drawing.scrollLeft -= event.clientX - before.clientX;
      drawing.scrollTop -= event.clientY - before.clientY;
    }
  });
  ["pointerup", "pointercancel", "pointerleave"].forEach(function (name) {
    drawing.addEventListener(name, function (event) { fingers.delete(event.pointerId); spread = 0; });
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
  // The address says what is shown, so that it can be handed on, loaded again and come back to.
  var place = "";
  function tell() {
    history.replaceState(null, "", "#" + place + (picker.value ? (place ? "&" : "") + encodeURI(picker.value) : ""));
  }
  function hold(aside) {
    apart.hidden = !aside;
    if (aside) { form.querySelectorAll("input:checked").forEach(function (input) { input.checked = false; }); }
  }
  function work() {
    var state = data.table[build()] && data.table[build()][code()];
    leave();
    hold(false);
    tellBuild(build());
    drawing.classList.toggle("unknown", state === undefined);
    if (state === undefined) { shown.textContent = form.dataset.unknown; unknown(); return; }
    shown.textContent = words();
    show(state);
  }
  function worked() {
    if (!data.table[build()]) { fixed = null; }
    // One that is left over from what was set up otherwise stands at rest.
    data.controls.forEach(function (control, at) {
      if (!form.querySelector("input[name='control-" + at + "']:checked")) { form.querySelector("input[name='control-" + at + "']").checked = true; }
    });
    work();
    place = "build=" + build() + "&state=" + code();
    tell();
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
    drawing.classList.remove("unknown");
    var code = (data.codes[anchor] || {})[own];
    hold(code === undefined);
    if (code !== undefined) { set(code); }
    show(states[own]);
    place = anchor;
    return true;
  }
  function follow() {
    var hash = location.hash.slice(1);
    // An address that somebody mistyped is one that names nothing.
    try { hash = decodeURIComponent(hash); } catch (error) { hash = ""; }
    // Names of things have no `&`: they are written as their anchors are.
    var thing = /(?:^|&)((?:part|wire|connector)=[^&]*)$/.exec(hash);
    if (thing && document.getElementById(thing[1])) { picker.value = thing[1]; lay(); hash = hash.slice(0, thing.index); }
    var state = /^build=(\d+)&state=(\d+)$/.exec(hash);
    if (state) {
      var list = window.chosenBuilds ? window.chosenBuilds() : [];
      fixed = list.indexOf(Number(state[1])) >= 0 || !list.length ? Number(state[1]) : null;
      set(Number(state[2]));
      place = hash;
      work();
      document.querySelector(".live").scrollIntoView();
    } else if (!present(hash)) { work(); }
    if (thing) { reveal(); document.querySelector(".live").scrollIntoView(); }
  }
  form.addEventListener("change", worked);
  form.addEventListener("submit", function (event) { event.preventDefault(); });
  form.addEventListener("reset", function () { setTimeout(worked); });
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
  look(0);
  follow();
})();
