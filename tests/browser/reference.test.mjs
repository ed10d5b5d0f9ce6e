// The reference that `goodground about --out` writes: valid, accessible, every link leads somewhere, and what is asked for is found.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { HtmlValidate } from "html-validate";
import { address, launch, open, reference } from "./book.mjs";

const axe = readFileSync(new URL("./node_modules/axe-core/axe.min.js", import.meta.url), "utf8");
let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

test("it is valid", async () => {
  const validator = new HtmlValidate({ extends: ["html-validate:standard"], rules: { "no-inline-style": "off" } });
  const report = await validator.validateString(readFileSync(join(reference, "index.html"), "utf8"), "index.html");
  const problems = report.results.flatMap((result) => result.messages.map((message) => `${message.line} ${message.ruleId}: ${message.message}`));
  assert.deepEqual(problems.slice(0, 20), []);
});

test("every link leads to an entry, every kind is drawn, and nothing is wider than a phone", async () => {
  const { page, noted, context } = await open(browser, { viewport: { width: 390, height: 800 } });
  await page.goto(address("index.html", reference));
  const seen = await page.evaluate(() => ({
    lost: [...document.querySelectorAll('a[href^="#"]')].map((link) => link.getAttribute("href")).filter((href) => !document.getElementById(href.slice(1))),
    entries: document.querySelectorAll("section.entry").length,
    drawn: document.querySelectorAll(".drawn svg").length,
    wide: document.documentElement.scrollWidth > innerWidth,
  }));
  assert.deepEqual(seen.lost, []);
  assert.ok(seen.entries > 90 && seen.drawn > 30, JSON.stringify(seen));
  assert.equal(seen.wide, false);
  await context.close();
  assert.deepEqual(noted, []);
});

test("entries are found by all words that are asked for", async () => {
  const { page, context } = await open(browser);
  await page.goto(address("index.html", reference));
  const shown = () => page.locator("section.entry:visible h3").allTextContents();
  const all = (await shown()).length;
  await page.getByLabel("Find").fill("suppressor COIL");
  const found = await shown();
  assert.ok(found.includes("relay") && !found.includes("lamp") && found.length < 10, found.join(" "));
  await page.locator("section.entry:visible a[href='#parts']").first().click();
  assert.equal((await shown()).length, all);
  await context.close();
});

for (const colorScheme of ["light", "dark"]) {
  test(`it is accessible in ${colorScheme} colors`, async () => {
    const { page, context } = await open(browser, { colorScheme });
    await page.goto(address("index.html", reference));
    await page.evaluate(axe);
    const found = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa"] }));
    assert.deepEqual(found.violations.map((one) => `${one.id}: ${one.nodes[0].html.slice(0, 150)}`), []);
    await context.close();
  });
}
