// Every kind of page against WCAG 2.2 AA, by day and by night, on a phone and on a desk.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { address, kinds, launch, open } from "./book.mjs";

const engine = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

for (const colorScheme of ["light", "dark"]) {
  for (const [name, viewport] of [["phone", { width: 360, height: 740 }], ["desk", { width: 1440, height: 900 }]]) {
    test(`no violation, ${colorScheme}, ${name}`, async () => {
      const { page, context } = await open(browser, { colorScheme, viewport });
      const violations = [];
      for (const path of kinds()) {
        await page.goto(address(path));
        await page.evaluate(engine);
        const result = await page.evaluate((rules) =>
          window.axe.run(document, { runOnly: { type: "tag", values: rules }, resultTypes: ["violations"] }), RULES);
        for (const found of result.violations) {
          violations.push(`${path}: ${found.id}: ${found.nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(" | ")}`);
        }
        assert.ok(result.passes.length > 5, `${path} was judged`);
      }
      await context.close();
      assert.deepEqual(violations, []);
    });
  }
}

test("whatever a finger must hit is large enough for a glove", async () => {
  const { page, context } = await open(browser, { viewport: { width: 360, height: 740 } });
  await page.goto(address("index.html"));
  const small = await page.locator(".blocks a, .drawer > summary, .rail-home").evaluateAll((parts) =>
    parts.filter((part) => part.getBoundingClientRect().height < 44).map((part) => part.textContent));
  assert.deepEqual(small, []);
  await context.close();
});
