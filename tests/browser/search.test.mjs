// The search from an opened folder: by part, wire, color and symptom, by keyboard alone.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { address, launch, open, pages } from "./book.mjs";

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

async function search(page, words) {
  await page.keyboard.press("/");
  await page.keyboard.type(words);
  await page.locator(".found li a").first().waitFor();
  return page.locator(".found li a").evaluateAll((links) => links.map((link) => [link.textContent, link.getAttribute("href")]));
}

test("a part, a wire, a color and a symptom are found", async () => {
  const { page, noted, context } = await open(browser);
  for (const [from, words, expected] of [
    ["index.html", "K3", /#p-K3$/],
    [pages().find((path) => path.startsWith("pages/")), "W316", /#w-W316$/],
    ["lists/parts.html", "BK/YE", /#w-/],
    ["glossary.html", "ready lamp dark", /pages\/.*#/],
  ]) {
    await page.goto(address(from));
    const hits = await search(page, words);
    assert.ok(expected.test(hits[0][1]), `${words}: ${hits.slice(0, 3)}`);
  }
  await context.close();
  assert.deepEqual(noted, []);
});

test("the keyboard goes into the results and opens one", async () => {
  const { page, context } = await open(browser);
  await page.goto(address("index.html"));
  await search(page, "K3");
  await page.keyboard.press("ArrowDown");
  const href = await page.evaluate(() => document.activeElement.getAttribute("href"));
  assert.ok(/#p-K3$/.test(href), href);
  await page.keyboard.press("Enter");
  await page.waitForURL(/#p-K3$/);
  assert.ok(await page.locator("#p-K3").isVisible());
  await context.close();
});

test("what is not there is said to be not there", async () => {
  const { page, context } = await open(browser);
  await page.goto(address("index.html"));
  await page.keyboard.press("/");
  await page.keyboard.type("zzzzz");
  await page.waitForFunction(() => /\S/.test(document.querySelector(".found-count").textContent));
  assert.equal(await page.locator(".found li").count(), 0);
  await context.close();
});
