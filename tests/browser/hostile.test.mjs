// A hostile book, page by page and clicked through: nothing of it runs, every page is valid, and no link leaves by a way that may not.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { HtmlValidate } from "html-validate";
import { address, hostile, launch, open, pages } from "./book.mjs";

// Its pages, those of the study pack too.
const all = ["", "study/student/", "study/instructor/"].flatMap((at) => pages(join(hostile, at)).map((path) => at + path));

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

// Works everything on the page that can be worked.
function work() {
  for (const list of document.querySelectorAll("select")) {
    for (const option of list.options) {
      list.value = option.value;
      list.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }
  for (const one of document.querySelectorAll("input[type=search], input[type=text]")) {
    for (const text of ["constructor", "<img src=x onerror=window.ran=1>", "Q/1", "__proto__"]) {
      one.value = text;
      one.dispatchEvent(new Event("input", { bubbles: true }));
    }
  }
  for (const one of document.querySelectorAll("button, summary, input[type=radio], input[type=checkbox], svg [data-wire], svg [data-part]")) {
    if (one.disabled) continue;
    one.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
    one.dispatchEvent(new MouseEvent("mouseover", { bubbles: true }));
  }
}

test("nothing of a hostile book runs, on any page, whatever is clicked", { timeout: 240_000 }, async () => {
  const { page, context, noted } = await open(browser);
  page.on("dialog", (dialog) => { noted.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  assert.ok(all.length > 25, `${all.length}`);
  const own = new Set();
  for (const path of all) {
    for (const hash of ["", "#%E0%A4%A", "#constructor", "#__proto__", "#w-W~2f3"]) {
      await page.goto("about:blank");
      await page.goto(address(path, hostile) + hash);
      assert.equal(await page.evaluate(() => window.ran), undefined, `${path}${hash} ran on opening`);
      if (hash) continue;
      await page.evaluate(work);
      assert.equal(await page.evaluate(() => window.ran), undefined, `${path} ran when it was worked`);
      for (const href of await page.$$eval("a[href]", (links) => links.map((link) => link.getAttribute("href")))) own.add(href.split(":")[0].includes("/") ? "" : (/^([a-z]+):/i.exec(href) ?? [, ""])[1]);
      const frames = await page.$$eval("iframe, object, embed, script[src^='http'], img[onerror], [onclick], [onload], [onmouseover]", (found) => found.map((one) => one.outerHTML.slice(0, 80)));
      assert.deepEqual(frames, [], path);
    }
  }
  assert.deepEqual([...own].filter((scheme) => !["", "http", "https", "mailto", "tel"].includes(scheme)), []);
  assert.deepEqual(noted, []);
  await context.close();
});

test("the live drawing of a hostile book answers for wires of any name", async () => {
  const { page, context, noted } = await open(browser);
  await page.goto(address("circuits/yard.html", hostile));
  for (const wire of ["constructor", "toString", "W/3", "W+4"]) {
    await page.locator(".choice").selectOption({ label: wire });
    assert.equal(await page.locator(".drawing .chosen").count() > 0, true, wire);
  }
  assert.deepEqual(noted, []);
  await context.close();
});

test("two ids that differ in a mark alone have cards of their own, and links find them", async () => {
  const { page, context } = await open(browser);
  await page.goto(address("pages/yard.html", hostile));
  for (const [words, anchor] of [["part", "p-Q~2f1"], ["wire", "w-W~2f3"]]) {
    const href = await page.getByRole("link", { name: words, exact: true }).first().getAttribute("href");
    assert.ok(decodeURIComponent(href).endsWith(`#${anchor}`), href);
  }
  await page.goto(address("data/yard.html", hostile));
  for (const anchor of ["p-Q~2f1", "p-Q-1", "w-W~2f3", "w-W-3", "w-W~2b4", "w-W~2a4", "p-__proto__"]) {
    assert.equal(await page.evaluate((id) => document.querySelectorAll(`[id="${id}"]`).length, anchor), 1, anchor);
  }
  await context.close();
});

test("every page of a hostile book is valid", async () => {
  const validator = new HtmlValidate({
    extends: ["html-validate:standard"], rules: { "no-inline-style": "off", "long-title": "off" },
  });
  const problems = [];
  for (const path of all) {
    const report = await validator.validateString(readFileSync(join(hostile, path), "utf8"), path);
    for (const result of report.results) {
      for (const message of result.messages) problems.push(`${path}:${message.line}:${message.column} ${message.ruleId}: ${message.message}`);
    }
  }
  assert.deepEqual(problems.slice(0, 20), []);
});
