// The study pack: the student's folder holds no answer, and a vehicle of each lab is found out by its proven way, by clicks alone.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { address, book, launch, open } from "./book.mjs";

const student = join(book, "study/student"), instructor = join(book, "study/instructor");
// Faults tried in each lab; FAULTS=all tries every one.
const TRIED = process.env.FAULTS === "all" ? Infinity : Number(process.env.FAULTS ?? 6);

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

const labs = () => readdirSync(student).filter((name) => name.endsWith("-lab.html"));

// The instructor's list of a lab: number, item, first failed step, and the acts of each test.
async function ways(page, name) {
  await page.goto(address(`study/instructor/${name}`));
  return page.$$eval(".lab-key tbody tr", (rows) => rows.map((row) => ({
    number: row.querySelector("th").textContent.trim(),
    item: row.dataset.item,
    step: row.dataset.step,
    fault: row.querySelector("td").textContent.trim(),
    tests: [...row.querySelectorAll("li")].map((line) => [...line.querySelectorAll(".hand")].map((act) => act.textContent)),
  })));
}

// Does what a line says with what the page offers: a control, an instrument, or a hand.
async function act(page, words, leads) {
  const legend = words.split(": ")[0];
  const control = page.locator("#controls fieldset").filter({ has: page.locator("legend", { hasText: new RegExp(`^${legend.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}$`) }) });
  if (await control.count()) {
    await control.getByText(words.slice(legend.length + 2), { exact: true }).click();
    return;
  }
  const placed = /^(.+?): (.+) to (.+)$/.exec(words);
  const tools = await page.locator("#tool option").allTextContents();
  if (placed && tools.includes(placed[1])) {
    leads[placed[1]] = [placed[2], placed[3]];
    return;
  }
  const removed = /^Remove the (.+)$/.exec(words);
  if (removed && tools.includes(removed[1])) { delete leads[removed[1]]; return; }
  await page.locator("#hand").selectOption({ label: words });
  await page.locator("#hands button").click();
}

async function read(page, leads) {
  for (const [tool, [from, to]] of Object.entries(leads)) {
    await page.locator("#tool").selectOption({ label: tool });
    await page.locator("#from").selectOption({ label: from });
    await page.locator("#to").selectOption({ label: to });
    await page.locator("#instruments button").click();
    const shown = await page.locator("#reading").textContent();
    assert.ok(shown && !shown.startsWith("This was not computed"), `${tool} from ${from} to ${to}: ${shown}`);
  }
}

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

test("a lab's page is smaller than two megabytes", () => {
  assert.ok(labs().length > 0);
  for (const name of labs()) {
    const bytes = statSync(join(student, name)).size;
    assert.ok(bytes < 2e6, `${name}: ${bytes} bytes`);
  }
});

test("faults are found by their proven ways, by clicks alone", { timeout: 1_500_000 }, async () => {
  const { page, noted, context } = await open(browser, { viewport: { width: 1180, height: 820 }, hasTouch: true });
  for (const name of labs()) {
    const all = await ways(page, name);
    const every = Math.max(1, Math.floor(all.length / TRIED));
    await page.goto(address(`study/student/${name}`));
    const steps = await page.$$eval(".steps li", (lines) => lines.map((line) => ({
      title: line.querySelector("b").textContent, acts: [...line.querySelectorAll(".hand")].map((act) => act.textContent),
    })));
    for (const way of all.filter((_, at) => at % every === 0)) {
      const about = `${name}, fault ${way.number}, ${way.fault}`;
      await page.locator("#number").fill(way.number);
      await page.locator("#case button").first().click();
      for (const step of steps) {
        for (const words of step.acts) await act(page, words, {});
        if (way.step.endsWith(`, ${step.title}`)) break;
      }
      const leads = {};
      for (const acts of way.tests) {
        for (const words of acts) {
          await act(page, words, leads);
          const said = await page.locator("#said").textContent();
          assert.ok(!said.startsWith("This was not computed"), `${about}: ${words}`);
        }
        await read(page, leads);
      }
      await page.locator("#item").selectOption({ label: way.item });
      await page.locator("#verdict button").click();
      const judged = await page.locator("#judged").textContent();
      assert.ok(judged.startsWith("That is right."), `${about}: ${judged}`);
      assert.ok(judged.includes(way.fault), `${about}: ${judged}`);
    }
    assert.deepEqual(noted, []);
  }
  await context.close();
});

test("a wrong verdict opens nothing, and a saved file is read again", async () => {
  const { page, context } = await open(browser, { acceptDownloads: true });
  const name = labs()[0];
  const way = (await ways(page, name))[0];
  await page.goto(address(`study/student/${name}`));
  await page.locator("#number").fill(way.number);
  await page.locator("#number").press("Enter");
  const wrong = (await page.locator("#item option").allTextContents()).slice(1).find((item) => item !== way.item);
  await page.locator("#item").selectOption({ label: wrong });
  await page.locator("#verdict button").click();
  assert.equal(await page.locator("#judged").textContent(), "That is not it. Think again, or test once more.");
  const [download] = await Promise.all([page.waitForEvent("download"), page.locator("#save").click()]);
  const file = await download.path();
  const kept = JSON.parse(readFileSync(file, "utf8"));
  assert.equal(kept.wrong, 1);
  assert.equal(String(kept.number), way.number);
  await page.reload();
  await page.locator("#load").setInputFiles({ name: "x.json", mimeType: "application/json", buffer: readFileSync(file) });
  await page.locator("#log li").first().waitFor();
  assert.ok((await page.locator("#log").textContent()).includes(wrong));
  await context.close();
});
