// Every page against the rules of HTML, by a parser that is not the browser's.
import { test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { HtmlValidate } from "html-validate";
import { book, pages } from "./book.mjs";

test("every page is valid", async () => {
  const validator = new HtmlValidate({
    extends: ["html-validate:standard"],
    rules: {
      // The color of a wire and of a drawing's swatch are data of the page, not of its style.
      "no-inline-style": "off",
      // Drawings have no ids; a long title is an author's own.
      "long-title": "off",
    },
  });
  const problems = [];
  for (const path of pages()) {
    const report = await validator.validateString(readFileSync(join(book, path), "utf8"), path);
    for (const result of report.results) {
      for (const message of result.messages) {
        problems.push(`${path}:${message.line}:${message.column} ${message.ruleId}: ${message.message}`);
      }
    }
  }
  assert.deepEqual(problems.slice(0, 20), []);
});
