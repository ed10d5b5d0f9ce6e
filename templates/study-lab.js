// The fault lab: follows what hands do through the states that were computed, and shows what was read in them. It computes no
// circuit; where a state was not computed it says so.
(function () {
  "use strict";
  var data = JSON.parse(document.getElementById("lab-data").textContent);
  var say = data.texts;
  function $(id) { return document.getElementById(id); }
  function fill(text, values) {
    Object.keys(values).forEach(function (name) { text = text.replace("{" + name + "}", values[name]); });
    return text;
  }
  var run = null;

  // Numbers are in base 36, each of the same width; a run of them stands for a list.
  var states = data.states, width = states.width;
  function numbers(text) {
    var found = [];
    for (var at = 0; text && at < text.length; at += width) {
      var one = text.substr(at, width);
      found.push(one[0] === "-" ? -1 : parseInt(one, 36));
    }
    return found;
  }
  function groups(list, size) {
    var found = [];
    for (var at = 0; at < list.length; at += size) { found.push(list.slice(at, at + size)); }
    return found;
  }
  // The cells of a view: faces, then volts, then lights. Most views are told by how they differ from an earlier one.
  var known = [];
  function cells(number) {
    if (!known[number]) {
      var text = states.views[number];
      if (text[0] === "=") { known[number] = numbers(text.slice(1)); } else {
        var parts = text.split(":");
        known[number] = cells(parseInt(parts[0], 36)).slice();
        groups(numbers(parts[1]), 2).forEach(function (pair) { known[number][pair[0]] = pair[1]; });
      }
    }
    return known[number];
  }
  function node(text) {
    var parts = text.split(" "), edges = {};
    numbers(parts[1]).forEach(function (to, by) { if (to >= 0) { edges[by] = { to: to }; } });
    groups(numbers(parts[2]), 2).forEach(function (pair) { edges[pair[0]] = { to: pair[1] }; });
    groups(numbers(parts[3]), 2).forEach(function (pair) { if (edges[pair[0]]) { edges[pair[0]].harm = states.words[pair[1]]; } });
    return { view: parseInt(parts[0], 36), edges: edges, probes: groups(numbers(parts[4]), 2) };
  }
  // A broken vehicle's states: the shared ones, with what is different in them, then its own.
  function vehicle(own) {
    var nodes = states.shared.concat(own.nodes).map(node);
    var parts = own.changed.split(" ");
    groups(numbers(parts[0]), 3).forEach(function (one) {
      if (one[2] < 0) { delete nodes[one[0]].edges[one[1]]; } else { nodes[one[0]].edges[one[1]] = { to: one[2] }; }
    });
    groups(numbers(parts[1]), 3).forEach(function (one) {
      var edge = nodes[one[0]].edges[one[1]];
      if (edge) { edge.harm = states.words[one[2]]; }
    });
    own.differs.split(",").filter(Boolean).forEach(function (text) {
      var parts = text.split(" "), at = nodes[parseInt(parts[0], 36)];
      at.view = parseInt(parts[1], 36);
      at.probes = groups(numbers(parts[2]), 2);
    });
    return nodes;
  }
  function here() { return run.nodes[run.at]; }
  function view() {
    var now = cells(here().view), faces = data.faces.length, points = (now.length - faces) / 2;
    return {
      face: function (at) { return states.words[now[at]]; },
      volts: function (at) { return states.volts[now[faces + at]]; },
      light: function (at) { return states.lights[now[faces + points + at]]; }
    };
  }

  function tell(text, unsafe) {
    $("said").textContent = text;
    $("said").className = unsafe ? "unsafe" : "";
  }
  function log(text, kind) {
    run.log.push({ kind: kind, text: text });
    var line = document.createElement("li");
    line.textContent = text;
    if (kind === "unsafe") { line.className = "unsafe"; }
    $("log").append(line);
  }
  function warn(text) { run.warnings += 1; log(text, "unsafe"); tell(text, true); }
  function count() {
    $("count").textContent = run ? fill(say.count, { tests: run.tests, minutes: Math.ceil(run.minutes) }) : "";
  }
  function show() {
    var now = view();
    $("seen").textContent = "";
    data.faces.forEach(function (face, at) {
      var line = document.createElement("li"), word = document.createElement("b");
      word.textContent = now.face(at);
      line.dataset.face = face;
      line.append(face + ": ", word);
      $("seen").append(line);
    });
    count();
  }
  function rest() {
    document.querySelectorAll("#controls fieldset").forEach(function (control) { control.querySelector("input").checked = true; });
  }
  function begin(number) {
    var own = states.cases[number - 1];
    if (!own) { return; }
    run = { number: number, nodes: vehicle(own), at: own.start, tests: 0, hands: 0, minutes: 0, warnings: 0, wrong: 0, log: [], verdicts: [] };
    $("log").textContent = ""; $("judged").textContent = ""; $("reading").textContent = "";
    document.querySelectorAll("button, #controls input").forEach(function (one) { one.disabled = false; });
    rest();
    tell(fill(say.planted, { n: number }));
    show();
  }

  // A hand: a control is set, a plug is pulled. What was not computed leaves the vehicle as it was.
  function act(by, words, minutes) {
    var found = here().edges[by];
    if (!found) { tell(say["not-modeled"]); return false; }
    run.at = found.to;
    run.hands += 1;
    run.minutes += minutes;
    $("reading").textContent = "";
    log(words, "hand");
    tell(words);
    if (found.harm) { warn(found.harm); }
    show();
    return true;
  }
  var stood = {};
  function remember() {
    document.querySelectorAll("#controls input:checked").forEach(function (input) { stood[input.name] = input.value; });
  }
  $("controls").addEventListener("change", function (event) {
    var input = event.target;
    var words = input.closest("fieldset").querySelector("legend").textContent + ": " + input.nextElementSibling.textContent;
    if (!act(Number(input.value), words, data.minutes[0])) {
      document.querySelectorAll("input[name='" + input.name + "']").forEach(function (one) { one.checked = one.value === stood[input.name]; });
    }
    remember();
  });
  $("hands").addEventListener("submit", function (event) {
    event.preventDefault();
    var chosen = $("hand").selectedOptions[0];
    act(Number(chosen.value), chosen.textContent, data.minutes[1]);
  });

  // Instruments: looked up, never computed; a voltmeter takes the difference of two computed levels. Where something goes on
  // by itself there is one for each phase. Null where no circuit joins the points, undefined where it was not computed.
  function volts(a, b, now) {
    var from = now.volts(a), to = now.volts(b), found = [], joined = false;
    for (var at = 0; at < Math.max(from.length, to.length); at += 1) {
      var one = from[at % from.length], other = to[at % to.length], difference = 0;
      if (one && other && one[2] === other[2]) {
        if (one[1] !== other[1]) { return undefined; }
        difference = (one[0] - other[0]) / 10;
        joined = true;
      }
      if (found.indexOf(difference) < 0) { found.push(difference); }
    }
    return !found.length ? undefined : joined ? found : null;
  }
  function reading(tool, a, b) {
    var now = view();
    var probe = data.probes.findIndex(function (probe) {
      return probe[0] === tool && probe[1] === a && (probe[2] === b || a >= data.points);
    });
    var read = probe >= 0 && here().probes.find(function (pair) { return pair[0] === probe; });
    if (read) { return states.words[read[1]]; }
    if (a >= data.points) { return undefined; }
    if (tool === 1) {
      var found = volts(a, b, now);
      if (found === null) { return say.floating; }
      return found && found.map(function (one) { return one.toFixed(1) + " V"; }).join(" ↔ ");
    }
    if (tool === 0 && (a <= 1 || b <= 1)) {
      var light = now.light(a <= 1 ? b : a);
      return light ? states.words[light[a <= 1 ? a : b]] : say["not-there"];
    }
  }
  $("instruments").addEventListener("submit", function (event) {
    event.preventDefault();
    var tool = Number($("tool").value), a = Number($("from").value), b = Number($("to").value);
    var clamps = a >= data.points;
    var words = $("tool").selectedOptions[0].textContent + ": " + $("from").selectedOptions[0].textContent;
    if (!clamps) { words += " – " + $("to").selectedOptions[0].textContent; }
    var across = clamps ? null : volts(a, b, view());
    if ((tool === 2 || tool === 3) && across && across.some(function (one) { return Math.abs(one) > 0.5; })) { warn(words + ". " + say.live); }
    var read = a === b ? null : reading(tool, a, b);
    if (!read) { $("reading").textContent = say["not-modeled"]; return; }
    run.tests += 1;
    run.minutes += data.minutes[2];
    $("reading").textContent = read;
    log(words + " = " + read, "test");
    count();
  });
  $("drawing").addEventListener("click", function (event) {
    var part = event.target.closest("[data-terminal], [data-part]");
    if (!part) { return; }
    var name = part.dataset.terminal || part.dataset.part;
    var found = Array.from($("from").options).find(function (option) {
      return option.textContent === name || option.textContent.indexOf(name + ":") === 0;
    });
    if (found) { $("from").value = found.value; }
    document.querySelectorAll(".drawing .chosen").forEach(function (one) { one.classList.remove("chosen"); });
    part.classList.add("chosen");
  });

  // The verdict: the right one is the key that opens the end.
  $("verdict").addEventListener("submit", function (event) {
    event.preventDefault();
    var item = $("item").value;
    if (!item) { return; }
    run.verdicts.push(item);
    log(item + ". " + $("reason").value, "verdict");
    // An exam has nothing to open: the instructor judges.
    if (!data.seals.length) { $("judged").textContent = say.noted; return; }
    var key = data.case + " " + run.number + "|" + item;
    var opened = data.seals[run.number - 1].map(function (seal) { return unseal(key, seal); }).find(Boolean);
    if (!opened) { run.wrong += 1; $("judged").textContent = say["not-right"]; return; }
    var values = { tests: run.tests, hands: run.hands, minutes: Math.ceil(run.minutes), warnings: run.warnings, wrong: run.wrong };
    $("judged").textContent = say.right + " " + fill(say.done, values) + " " + opened;
  });
  function unseal(key, seal) {
    var bytes = seal.match(/../g).map(function (two) { return parseInt(two, 16); });
    var inner = sha256(utf8(key)), plain = [];
    for (var block = 0; 32 * block < bytes.length; block += 1) {
      var mask = sha256(inner.concat([block >>> 24, block >>> 16 & 255, block >>> 8 & 255, block & 255]));
      bytes.slice(32 * block, 32 * block + 32).forEach(function (byte, at) { plain.push(byte ^ mask[at]); });
      if (block === 0 && (plain[0] !== 111 || plain[1] !== 107 || plain[2] !== 32)) { return null; }
    }
    return new TextDecoder().decode(new Uint8Array(plain.slice(3))).trim();
  }
  function utf8(text) { return Array.from(new TextEncoder().encode(text)); }
  // SHA-256 after FIPS 180-4; the constants are the roots of the first primes, as the standard defines them.
  var K = [], H = [];
  (function () {
    function fraction(root) { return (root - Math.floor(root)) * 4294967296 | 0; }
    for (var number = 2; K.length < 64; number += 1) {
      var prime = true;
      for (var by = 2; by * by <= number; by += 1) { if (number % by === 0) { prime = false; } }
      if (prime) {
        if (H.length < 8) { H.push(fraction(Math.sqrt(number))); }
        K.push(fraction(Math.cbrt(number)));
      }
    }
  })();
  function sha256(message) {
    function turn(x, n) { return x >>> n | x << 32 - n; }
    var hash = H.slice(), bytes = message.concat([128]);
    while (bytes.length % 64 !== 56) { bytes.push(0); }
    var bits = 8 * message.length;
    bytes = bytes.concat([0, 0, 0, 0, bits >>> 24 & 255, bits >>> 16 & 255, bits >>> 8 & 255, bits & 255]);
    for (var at = 0; at < bytes.length; at += 64) {
      var w = [], t;
      for (t = 0; t < 64; t += 1) {
        if (t < 16) {
          w[t] = bytes[at + 4 * t] << 24 | bytes[at + 4 * t + 1] << 16 | bytes[at + 4 * t + 2] << 8 | bytes[at + 4 * t + 3];
        } else {
          var x = w[t - 15], y = w[t - 2];
          w[t] = (turn(x, 7) ^ turn(x, 18) ^ x >>> 3) + w[t - 7] + (turn(y, 17) ^ turn(y, 19) ^ y >>> 10) + w[t - 16] | 0;
        }
      }
      var v = hash.slice();
      for (t = 0; t < 64; t += 1) {
        var one = v[7] + (turn(v[4], 6) ^ turn(v[4], 11) ^ turn(v[4], 25)) + (v[4] & v[5] ^ ~v[4] & v[6]) + K[t] + w[t] | 0;
        var two = (turn(v[0], 2) ^ turn(v[0], 13) ^ turn(v[0], 22)) + (v[0] & v[1] ^ v[0] & v[2] ^ v[1] & v[2]) | 0;
        v = [one + two | 0, v[0], v[1], v[2], v[3] + one | 0, v[4], v[5], v[6]];
      }
      hash = hash.map(function (word, index) { return word + v[index] | 0; });
    }
    var out = [];
    hash.forEach(function (word) { out.push(word >>> 24 & 255, word >>> 16 & 255, word >>> 8 & 255, word & 255); });
    return out;
  }

  // Hand-in: a file with what was done, and the same read again.
  $("save").addEventListener("click", function () {
    var kept = { lab: data.case, stamp: data.stamp, student: $("student").value, date: new Date().toISOString().slice(0, 10), number: run.number, tests: run.tests, hands: run.hands, minutes: Math.ceil(run.minutes), warnings: run.warnings, wrong: run.wrong, verdicts: run.verdicts, reason: $("reason").value, log: run.log };
    var link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(kept, null, 1)], { type: "application/json" }));
    link.download = data.case.replace(/\W+/g, "-") + "-" + run.number + ".json";
    link.click();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 1000);
  });
  $("load").addEventListener("change", function () {
    var file = $("load").files[0];
    if (!file) { return; }
    file.text().then(function (text) {
      var kept = null;
      try { kept = JSON.parse(text); } catch (error) { kept = null; }
      if (!kept || kept.lab !== data.case || kept.stamp !== data.stamp || !states.cases[kept.number - 1]) { tell(say["other-lab"]); return; }
      begin(kept.number);
      kept.log.forEach(function (line) { log(line.text, line.kind); });
      ["tests", "hands", "minutes", "warnings", "wrong", "verdicts"].forEach(function (name) { run[name] = kept[name]; });
      $("reason").value = kept.reason;
      $("student").value = kept.student;
      $("number").value = kept.number;
      tell(fill(say.saved, { n: kept.number }));
      count();
    });
  });
  $("case").addEventListener("submit", function (event) {
    event.preventDefault();
    begin(Number($("number").value));
    remember();
  });
  $("again").addEventListener("click", function () { begin(run.number); remember(); });
})();
