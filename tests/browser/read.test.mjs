// Every page at three widths: no complaint, no request outside the folder, no sideways scrolling, every link and anchor there;
// and what a reader without scripts still gets.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { address, book, draft, kinds, launch, open, pages } from "./book.mjs";
import { existsSync, readFileSync, statSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

const WIDTHS = [[360, 740], [820, 1180], [1440, 900]];

test("every page opens from its folder without a complaint, and never scrolls sideways", async () => {
  const { page, noted, context } = await open(browser);
  const all = pages();
  assert.ok(all.length > 50, `${all.length} pages`);
  const wide = [];
  for (const path of all) {
    await page.goto(address(path));
    for (const [width, height] of WIDTHS) {
      await page.setViewportSize({ width, height });
      const [content, room] = await page.evaluate(() =>
        [document.scrollingElement.scrollWidth, document.documentElement.clientWidth]);
      if (content > room) wide.push(`${path} at ${width}: ${content}`);
    }
  }
  await context.close();
  assert.deepEqual(wide, []);
  assert.deepEqual(noted, []);
});

test("every link and anchor of every page resolves", async () => {
  const { page, context } = await open(browser, { javaScriptEnabled: true });
  const ids = new Map();
  const links = [];
  for (const path of pages()) {
    await page.goto(address(path));
    const found = await page.evaluate(() => ({
      ids: [...document.querySelectorAll("[id]")].map((part) => part.id),
      links: [...document.querySelectorAll("a[href], link[href], script[src], img[src]")].map((part) => part.href || part.src),
    }));
    assert.equal(new Set(found.ids).size, found.ids.length, `${path} has an id twice`);
    ids.set(address(path), new Set(found.ids));
    links.push(...found.links.map((link) => [path, link]));
  }
  await context.close();
  const broken = links.filter(([, link]) => {
    const [file, anchor] = link.split("#");
    if (/^https?:/.test(link)) return false;
    if (!existsSync(fileURLToPath(file.split("?")[0]))) return true;
    return anchor && !anchor.startsWith("build=") && ids.has(file) && !ids.get(file).has(decodeURIComponent(anchor));
  });
  assert.ok(links.length > 2000, `${links.length} links`);
  assert.deepEqual(broken.slice(0, 20), []);
});

test("without scripts every page still reads", async () => {
  const { page, noted, context } = await open(browser, { javaScriptEnabled: false });
  for (const path of kinds()) {
    await page.goto(address(path));
    const text = await page.locator("main").innerText();
    assert.ok(text.length > 120, `${path}: ${text}`);
    assert.equal(await page.locator(".with-script:visible, .find:visible, .build-drawer:visible").count(), 0, path);
  }
  const circuit = pages().find((path) => path.startsWith("circuits/"));
  await page.goto(address(circuit));
  assert.ok(await page.locator("#drawing svg").first().isVisible());
  assert.ok(await page.locator(".readings td").count() > 10);
  const checkout = pages().find((path) => /^pages\/.*checkout/.test(path));
  await page.goto(address(checkout));
  assert.ok(await page.locator(".zone.must li").first().isVisible());
  assert.ok(await page.locator(".zone.fails a").first().isVisible());
  await context.close();
  assert.deepEqual(noted, []);
});

test("the chosen vehicle hides what it does not have, on the next page too", async () => {
  const { page, context } = await open(browser);
  const path = "lists/wires.html";
  await page.goto(address(path));
  const rows = page.locator("tr[data-fit]");
  assert.ok(await rows.count() > 0);
  const shown = () => page.locator("tr[data-fit]:visible").count();
  const all = await shown();
  assert.equal(all, await rows.count());
  await page.locator(".build-drawer summary").click();
  const selects = page.locator(".build-form select");
  for (let at = 0; at < await selects.count(); at++) await selects.nth(at).selectOption("0");
  const some = await shown();
  assert.ok(some < all, `${some} of ${all}`);
  await page.goto(address("lists/parts.html"));
  const now = await page.locator(".build-now").innerText();
  assert.ok(now.length > 0);
  await context.close();
});

test("no page names a host, and the whole book is small", () => {
  let bytes = 0;
  const walk = (folder) => readdirSync(folder, { withFileTypes: true }).forEach((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return entry.name === "study" ? undefined : walk(path);
    bytes += statSync(path).size;
    if (/\.(html|css|js)$/.test(entry.name)) {
      const text = readFileSync(path, "utf8").replaceAll("http://www.w3.org/2000/svg", "");
      assert.ok(!/https?:\/\//.test(text), `${path} names a host`);
    }
  });
  walk(book);
  // About a tenth of it are the cards beside the drawings: a page opened from a folder can't read them from another.
  assert.ok(bytes < 6e6, `${bytes} bytes`);
});

test("an unproven book says so on every page", async () => {
  const { page, context } = await open(browser);
  const all = pages(draft);
  assert.ok(all.length > 50);
  for (const path of all) {
    await page.goto(address(path, draft));
    assert.ok(await page.locator(".draft-banner").isVisible(), path);
  }
  await context.close();
});

test("a Spanish book is Spanish", async () => {
  const { page, context } = await open(browser);
  await page.goto(address("index.html", draft));
  assert.equal(await page.locator("html").getAttribute("lang"), "es");
  const text = await page.locator("body").innerText();
  for (const word of ["Sistemas", "Comprobación", "Piezas"]) assert.ok(text.includes(word), word);
  for (const word of ["Systems", "Live drawing", "Wire colors"]) assert.ok(!text.includes(word), word);
  await context.close();
});
