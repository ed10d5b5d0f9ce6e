// Every sheet printed and read back as text: one procedure a sheet, all of its steps, edition and stamp on each page.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { address, book, draft, launch, open, pages } from "./book.mjs";

let browser;
const work = mkdtempSync(join(tmpdir(), "sheets-"));
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); rmSync(work, { recursive: true }); });

const words = (text) => text.replace(/\s+/g, " ").trim();
const sheets = (folder) => pages(folder).filter((path) => path.startsWith("sheets/") && path !== "sheets/index.html");

// A sheet as paper: printing takes longer than all else here, so each is printed once.
const papers = new Map();
async function printed(page, path, folder) {
  await page.goto(address(path, folder));
  const url = page.url();
  if (!papers.has(url)) papers.set(url, await print(page));
  return papers.get(url);
}

async function print(page) {
  const file = join(work, "sheet.pdf");
  await page.pdf({ path: file, preferCSSPageSize: true, printBackground: true });
  const read = (order) => execFileSync("pdftotext", [order, file, "-"], { encoding: "utf8" });
  // In the order of the page's text, so that columns do not run into each other; and line by line as it stands.
  const text = read("-raw");
  const info = execFileSync("pdfinfo", [file], { encoding: "utf8" });
  const count = Number(/Pages:\s+(\d+)/.exec(info)[1]);
  return { text, pages: text.split("\f").slice(0, count), standing: read("-layout").split("\f").slice(0, count), count, size: /Page size:\s+([\d.]+) x ([\d.]+)/.exec(info).slice(1).map(Number) };
}

test("each sheet is one procedure with every step, and each page carries edition, stamp and its number", async () => {
  const { page, context } = await open(browser);
  const all = sheets(book);
  assert.ok(all.length > 20, `${all.length} sheets`);
  const heads = new Set();
  for (const path of all) {
    const sheet = await printed(page, path, book);
    const own = await page.evaluate(() => ({
      title: document.querySelector("h1").textContent,
      items: [...document.querySelectorAll(".item")].map((item) => ({
        title: item.querySelector("h2").textContent,
        acts: [...item.querySelectorAll(".act")].map((act) => act.textContent),
        branches: [...item.querySelectorAll(".branches .then")].map((then) => then.textContent),
      })),
      stamp: document.querySelector(".on-screen").textContent.split("·"),
      labels: [...document.querySelectorAll(".fields dt")].map((label) => label.textContent),
      links: document.querySelectorAll("main a").length,
      ticks: document.querySelectorAll(".tick").length,
    }));
    const whole = words(sheet.text);
    const letters = whole.replaceAll(" ", "");
    const holds = (text) => letters.includes(words(text).replaceAll(" ", ""));
    assert.ok(holds(own.title), `${path}: ${own.title}`);
    assert.ok(!heads.has(path + own.title));
    heads.add(path + own.title);
    assert.equal((await page.locator("h1").count()), 1, path);
    assert.equal(own.links, 0, `${path} needs a link`);
    assert.ok(own.items.length > 0, path);
    for (const item of own.items) {
      for (const text of [item.title, ...item.acts, ...item.branches]) assert.ok(holds(text), `${path}: ${text}`);
    }
    for (const label of own.labels) assert.ok(holds(label), `${path}: ${label}`);
    assert.ok(own.ticks >= own.items.length, path);
    const [edition, stamp] = own.stamp.map(words);
    sheet.pages.forEach((text, at) => {
      const here = words(text);
      assert.ok(here.includes(edition), `${path} page ${at + 1} has no edition`);
      assert.ok(here.includes(stamp), `${path} page ${at + 1} has no stamp`);
      assert.ok(here.includes(`${at + 1} of ${sheet.count}`), `${path} page ${at + 1} has no number`);
      assert.ok(here.length > edition.length + stamp.length + 120, `${path} page ${at + 1} is all but empty`);
    });
    // Warnings first: before the first step.
    const first = letters.indexOf(words(own.items[0].title).replaceAll(" ", ""));
    const warning = letters.indexOf("WARNING");
    assert.ok(warning >= 0 && warning < first, `${path}: a warning stands before the first step`);
  }
  await context.close();
});

test("a sheet fits the book's paper, Letter or A4, and nothing hangs over its edge", async () => {
  const { page, context } = await open(browser);
  const seen = new Set();
  for (const folder of [book, draft]) {
    const sheet = await printed(page, sheets(folder)[0], folder);
    seen.add(sheet.size.map(Math.round).join("x"));
    // The room between the margins in CSS pixels: 30 mm less than the paper.
    const room = ((sheet.size[0] / 72) * 25.4 - 30) * (96 / 25.4);
    await page.emulateMedia({ media: "print" });
    await page.setViewportSize({ width: Math.floor(room), height: 1000 });
    for (const path of sheets(folder)) {
      await page.goto(address(path, folder));
      const over = await page.evaluate(() => [...document.querySelectorAll("main *")].filter((part) =>
        part.getBoundingClientRect().right > document.documentElement.clientWidth + 1 && !part.closest("svg *")).length);
      assert.equal(over, 0, `${path} hangs over`);
    }
    await page.emulateMedia({ media: null });
  }
  await context.close();
  assert.deepEqual([...seen].sort(), ["595x842", "612x792"]);
});

test("no heading is left alone at the foot of a page", async () => {
  const { page, context } = await open(browser);
  for (const path of sheets(book)) {
    const sheet = await printed(page, path, book);
    const titles = await page.locator("main h2").allTextContents();
    const known = new Set(titles.map((title) => words(title).replaceAll(" ", "")));
    sheet.standing.forEach((text, at) => {
      const lines = text.split("\n").map((line) => words(line).replaceAll(" ", "")).filter(Boolean);
      // The last line is the page's own foot.
      const last = lines[lines.length - 2];
      assert.ok(!known.has(last), `${path} page ${at + 1} ends with a heading: ${last}`);
    });
  }
  await context.close();
});
