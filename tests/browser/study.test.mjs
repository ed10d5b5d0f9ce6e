// The study pack: the student's folder holds no answer.
import { test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { book } from "./book.mjs";

const student = join(book, "study/student"), instructor = join(book, "study/instructor");

test("no page of the student's folder holds an answer", () => {
  const forms = readdirSync(instructor).filter((name) => /-(worksheet|test-a|test-b)\.html$/.test(name));
  assert.ok(forms.length > 3);
  const all = readdirSync(student).map((name) => readFileSync(join(student, name), "utf8")).join("\n");
  for (const word of ["is-right", "because", "class=\"right\""]) {
    const pages = readdirSync(student).filter((name) => name.endsWith(".html"));
    for (const name of pages) assert.ok(!readFileSync(join(student, name), "utf8").includes(word), `${name} holds ${word}`);
  }
  let reasons = 0;
  for (const name of forms) {
    const text = readFileSync(join(instructor, name), "utf8");
    for (const [, id] of text.matchAll(/· (Q-[0-9a-f]{6})</g)) {
      reasons += 1;
      assert.ok(!all.includes(id), `${id} leads from the student's folder to the key`);
    }
  }
  assert.ok(reasons > 50);
});
