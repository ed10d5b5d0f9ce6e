// The instructor's reader: judges the files that students hand in by the key in this page. Nothing leaves the page but the list
// that is asked for.
(function () {
  "use strict";
  var data = JSON.parse(document.getElementById("reader-data").textContent);
  var say = data.texts, labs = new Map(data.labs.map(function (lab) { return [lab.lab, lab]; }));
  var rows = [];
  function $(id) { return document.getElementById(id); }
  function fill(text, values) {
    Object.keys(values).forEach(function (name) { text = text.replace("{" + name + "}", values[name]); });
    return text;
  }
  function text(value) { return typeof value === "string" ? value : ""; }
  function count(value) { return typeof value === "number" && isFinite(value) ? value : 0; }

  // A file's row, or why it has none. Only what was said last is the verdict; what was said before counts as wrong where it is.
  function judge(name, content) {
    var kept = null;
    try { kept = JSON.parse(content); } catch (error) { kept = null; }
    var lab = kept && labs.get(kept.lab), right = lab && lab.right[kept.number - 1];
    if (!right) { return { why: fill(say["reader-strange"], { file: name }) }; }
    if (kept.stamp !== data.stamp) { return { why: fill(say["reader-edition"], { file: name }) }; }
    var verdicts = Array.isArray(kept.verdicts) ? kept.verdicts.map(text) : [];
    var last = verdicts[verdicts.length - 1] || "";
    var wrong = verdicts.filter(function (verdict) { return right.indexOf(verdict) < 0; }).length;
    return { row: [
      text(kept.student), text(kept.date), lab.title, kept.number, last,
      !last ? say["reader-none"] : right.indexOf(last) < 0 ? say["reader-wrong"] : say["reader-right"],
      right.join(", "), wrong, count(kept.tests), count(kept.hands), count(kept.minutes), count(kept.warnings), text(kept.reason)
    ] };
  }
  function show() {
    $("rows").textContent = "";
    rows.forEach(function (row) {
      var line = document.createElement("tr");
      row.forEach(function (cell) {
        var field = document.createElement("td");
        field.textContent = cell;
        line.append(field);
      });
      $("rows").append(line);
    });
    $("list").disabled = !rows.length;
  }
  function take(files) {
    var list = Array.from(files);
    Promise.all(list.map(function (file) { return file.text(); })).then(function (texts) {
      var strange = [];
      texts.forEach(function (content, at) {
        var judged = judge(list[at].name, content);
        if (judged.row) { rows.push(judged.row); } else { strange.push(judged.why); }
      });
      $("said").textContent = [fill(say["reader-read"], { n: list.length - strange.length })].concat(strange).join(" ");
      show();
    });
  }
  $("files").addEventListener("change", function () { take($("files").files); $("files").value = ""; });
  document.addEventListener("dragover", function (event) { event.preventDefault(); });
  document.addEventListener("drop", function (event) { event.preventDefault(); take(event.dataTransfer.files); });

  // A list as spreadsheets read it (RFC 4180). A cell that a spreadsheet would take for a formula is kept a text.
  function cell(value) {
    var written = String(value);
    if (/^[=+\-@\t\r]/.test(written)) { written = "'" + written; }
    return /[",\r\n]/.test(written) ? '"' + written.replace(/"/g, '""') + '"' : written;
  }
  $("list").addEventListener("click", function () {
    var columns = Array.from(document.querySelectorAll(".handed th")).map(function (column) { return column.textContent; });
    var lines = [columns].concat(rows).map(function (row) { return row.map(cell).join(","); });
    var link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob(["\ufeff" + lines.join("\r\n") + "\r\n"], { type: "text/csv" }));
    link.download = "labs.csv";
    link.click();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 1000);
  });
})();
