// The study pack: the student's folder holds no answer, and each vehicle of a lab is found out by its proven way, by what a
// student sees alone.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync, readdirSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { address, book, launch, open } from "./book.mjs";

const student = join(book, "study/student"), instructor = join(book, "study/instructor");
const engine = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
const NOT_COMPUTED = "This was not computed";

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

const labs = () => readdirSync(student).filter((name) => name.endsWith("-lab.html"));

// The instructor's list of a lab: number, item, first failed step, and for each test its acts and what is read.
async function ways(page, name) {
  await page.goto(address(`study/instructor/${name}`));
  return page.$$eval(".lab-key tbody tr", (rows) => rows.map((row) => ({
    number: row.querySelector("th").textContent.trim(),
    item: row.dataset.item,
    step: row.dataset.step,
    fault: row.querySelector("td").textContent.trim(),
    tests: [...row.querySelectorAll("li")].map((line) => ({
      acts: [...line.querySelectorAll(".hand")].map((act) => act.textContent), reads: line.dataset.reads,
    })),
  })));
}

// The checkout as the page prints it.
const steps = (page) => page.$$eval(".steps li", (lines) => lines.map((line) => ({
  title: line.querySelector("b").textContent, acts: [...line.querySelectorAll(".hand")].map((act) => act.textContent),
})));

// Works the page as a student does: by labels, legends and the words on buttons, and only what is in view and enabled. It runs
// in the page, where a thousand clicks take a second. Returns what went wrong, or the words of the verdict and of the count.
function work({ way, steps, notComputed }) {
  const shown = (one) => one && !one.disabled && one.checkVisibility({ visibilityProperty: true, opacityProperty: true })
    && one.getBoundingClientRect().width > 0;
  const must = (one, what) => { if (!shown(one)) throw new Error(`${what} is not there to be used`); return one; };
  const words = (one) => one.textContent.replace(/\s+/g, " ").trim();
  const labelled = (text) => [...document.querySelectorAll("label")].find((label) => words(label).startsWith(text));
  const field = (text) => must(labelled(text)?.querySelector("input, select, textarea"), text);
  const press = (text) => must([...document.querySelectorAll("button")].find((one) => words(one) === text), text).click();
  const choose = (text, choice) => {
    const list = field(text), option = [...list.options].find((one) => words(one) === choice);
    if (!option) throw new Error(`${text} has no ${choice}`);
    list.value = option.value;
    list.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const options = (text) => [...field(text).options].map(words);
  const said = () => words(document.querySelector("#said"));
  const number = field("Fault number");
  number.value = way.number;
  press("Begin");
  const tools = options("Instrument"), leads = {};
  const act = (text) => {
    const cut = text.indexOf(": "), name = text.slice(0, cut);
    const control = [...document.querySelectorAll("fieldset")].find((one) => words(one.querySelector("legend")) === name);
    if (control) {
      const label = [...control.querySelectorAll("label")].find((one) => words(one) === text.slice(cut + 2));
      if (!must(label?.querySelector("input"), text).checked) label.querySelector("input").click();
    } else {
      const around = tools.find((tool) => text.startsWith(`${tool} in `)), removed = tools.find((tool) => text === `Remove the ${tool}`);
      if (around) { leads[around] = [text.slice(around.length + 4)]; return; }
      if (tools.includes(name)) { leads[name] = text.slice(cut + 2).split(" to "); return; }
      if (removed) { delete leads[removed]; return; }
      choose("What you do", text);
      press("Do it");
    }
    if (said().startsWith(notComputed)) throw new Error(`${text}: ${said()}`);
  };
  try {
    for (const step of steps) {
      step.acts.forEach(act);
      if (way.step.endsWith(`, ${step.title}`)) break;
    }
    for (const test of way.tests) {
      test.acts.forEach(act);
      if (!test.reads) continue;
      if (!leads[test.reads]) throw new Error(`${test.reads} is nowhere`);
      const [from, to] = leads[test.reads];
      choose("Instrument", test.reads);
      choose("First lead at", from);
      if (to) choose("Second lead at", to);
      press("Read");
      const reading = words(document.querySelector("#reading"));
      if (!reading || reading.startsWith(notComputed)) throw new Error(`${test.reads} ${from} ${to}: ${reading}`);
    }
    choose("What is at fault", way.item);
    press("This is my verdict");
    return { judged: words(document.querySelector("#judged")), count: words(document.querySelector("#count")) };
  } catch (error) {
    return { wrong: error.message };
  }
}

test("no page of the student's folder holds an answer", async () => {
  const forms = readdirSync(instructor).filter((name) => /-(worksheet|test-a|test-b)\.html$/.test(name));
  assert.ok(forms.length > 3);
  const pages = readdirSync(student).filter((name) => name.endsWith(".html"));
  const all = readdirSync(student).map((name) => readFileSync(join(student, name), "utf8")).join("\n");
  for (const word of ["is-right", "because", "class=\"right\""]) {
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
  // What a lab's number stands for is not in its page: neither its words nor their usual encodings.
  const { page, context } = await open(browser);
  let names = 0;
  for (const name of labs()) {
    const text = readFileSync(join(student, name), "utf8");
    for (const way of await ways(page, name)) {
      const bytes = Buffer.from(way.fault, "utf8");
      const forms = [way.fault, bytes.toString("hex"), bytes.toString("base64").replace(/=+$/, ""), bytes.toString("base64url"),
        [...way.fault].reverse().join(""), encodeURIComponent(way.fault), JSON.stringify(way.fault).slice(1, -1)];
      for (const form of forms) assert.ok(!text.includes(form), `${name} holds ${form}, which is ${way.fault}`);
      names += 1;
    }
  }
  assert.ok(names > 500, `${names}`);
  await context.close();
});

test("a lab's page is smaller than two megabytes", () => {
  assert.ok(labs().length > 0);
  for (const name of labs()) {
    const bytes = statSync(join(student, name)).size;
    assert.ok(bytes < 2e6, `${name}: ${bytes} bytes`);
  }
});

test("every fault of every lab is found by its proven way", { timeout: 300_000 }, async (context_) => {
  const { page, noted, context } = await open(browser, { viewport: { width: 1180, height: 820 }, hasTouch: true });
  const wrong = [];
  let found = 0;
  for (const name of labs()) {
    const all = await ways(page, name);
    await page.goto(address(`study/student/${name}`));
    const checkout = await steps(page);
    for (const way of all) {
      const result = await page.evaluate(work, { way, steps: checkout, notComputed: NOT_COMPUTED });
      const about = `${name}, fault ${way.number}, ${way.fault}`;
      if (result.wrong) wrong.push(`${about}: ${result.wrong}`);
      else if (!result.judged.startsWith("That is right.") || !result.judged.includes(way.fault)) wrong.push(`${about}: ${result.judged}`);
      else if (!/^Readings: \d+; minutes: about \d+$/.test(result.count)) wrong.push(`${about}: ${result.count}`);
      else found += 1;
    }
  }
  context_.diagnostic(`${found} faults found`);
  assert.deepEqual(noted, []);
  assert.deepEqual(wrong.slice(0, 12), [], `${found} found, ${wrong.length} not`);
  assert.ok(found > 500, `${found}`);
  await context.close();
});

test("by mouse on a tablet: controls, light, hands, verdict, a file to hand in and back", async () => {
  const { page, noted, context } = await open(browser, { viewport: { width: 820, height: 1180 }, hasTouch: true, acceptDownloads: true });
  const name = labs().find((lab) => lab.startsWith("lift")) ?? labs()[0];
  const way = (await ways(page, name)).find((way) => way.tests.some((one) => one.reads));
  await page.goto(address(`study/student/${name}`));
  await page.getByLabel(/^Fault number/).fill(way.number);
  await page.getByRole("button", { name: "Begin", exact: true }).click();
  const control = page.locator("fieldset").first();
  await control.getByRole("radio").nth(1).check();
  await page.getByLabel("First lead at").selectOption({ label: "battery +" });
  await page.getByLabel("Second lead at").selectOption({ label: "ground (clean metal)" });
  await page.getByRole("button", { name: "Read", exact: true }).click();
  assert.equal(await page.locator("#reading").textContent(), "lit");
  assert.match(await page.locator("#count").textContent(), /^Readings: 1; minutes: about 2$/);
  const items = (await page.getByLabel("What is at fault").locator("option").allTextContents()).slice(1);
  await page.getByLabel("What is at fault").selectOption({ label: items.find((item) => item !== way.item) });
  await page.getByRole("button", { name: "This is my verdict" }).click();
  assert.equal(await page.locator("#judged").textContent(), "That is not it. Think again, or test once more.");
  const [download] = await Promise.all([
    page.waitForEvent("download"), page.getByRole("button", { name: "Save for hand-in" }).click(),
  ]);
  const kept = readFileSync(await download.path());
  const read = JSON.parse(kept.toString("utf8"));
  assert.deepEqual([String(read.number), read.tests, read.wrong], [way.number, 1, 1]);
  await page.reload();
  await page.getByLabel("Read a saved file").setInputFiles({ name: "x.json", mimeType: "application/json", buffer: kept });
  await page.locator("#log li").first().waitFor();
  assert.equal(await page.locator("#log li").count(), read.log.length);
  assert.match(await page.locator("#count").textContent(), /^Readings: 1;/);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wide <= 0, `${wide} pixels beyond the tablet's edge`);
  assert.deepEqual(noted, []);
  await context.close();
});

test("an unsafe act warns", async () => {
  const { page, context } = await open(browser);
  let warned = 0;
  for (const name of labs()) {
    await page.goto(address(`study/student/${name}`));
    const tools = await page.getByRole("combobox", { name: /^Instrument/ }).locator("option").allTextContents();
    if (!tools.includes("ohmmeter")) continue;
    await page.getByLabel(/^Fault number/).fill("1");
    await page.getByRole("button", { name: "Begin", exact: true }).click();
    await page.getByRole("combobox", { name: /^Instrument/ }).selectOption({ label: "ohmmeter" });
    await page.getByLabel("First lead at").selectOption({ label: "battery +" });
    await page.getByLabel("Second lead at").selectOption({ label: "battery -" });
    await page.getByRole("button", { name: "Read", exact: true }).click();
    assert.match(await page.locator("#said").textContent(), /Unsafe/);
    assert.equal(await page.locator("#log .unsafe").count(), 1);
    warned += 1;
  }
  assert.ok(warned > 0);
  await context.close();
});

test("by keyboard alone", async () => {
  const { page, context } = await open(browser);
  const name = labs()[0];
  const way = (await ways(page, name))[0];
  await page.goto(address(`study/student/${name}`));
  const tabTo = async (id) => {
    for (let press = 0; press < 300; press += 1) {
      if (await page.evaluate((id) => document.activeElement?.matches(id), id)) return;
      await page.keyboard.press("Tab");
    }
    assert.fail(`${id} is not reached by the Tab key`);
  };
  await tabTo("#number");
  await page.keyboard.type(way.number);
  await page.keyboard.press("Enter");
  assert.match(await page.locator("#said").textContent(), /stands before you/);
  await tabTo("#controls input");
  await page.keyboard.press("ArrowDown");
  assert.equal(await page.locator("#log li").count(), 1);
  await tabTo("#from");
  await page.keyboard.type("battery +");
  await tabTo("#instruments button");
  await page.keyboard.press("Enter");
  assert.notEqual(await page.locator("#reading").textContent(), "");
  await tabTo("#item");
  await page.locator("#item").selectOption({ label: way.item });
  await tabTo("#verdict button");
  await page.keyboard.press("Enter");
  assert.match(await page.locator("#judged").textContent(), /^That is right\./);
  await context.close();
});

for (const [size, viewport] of [["phone", { width: 360, height: 740 }], ["tablet", { width: 820, height: 1180 }], ["desk", { width: 1440, height: 900 }]]) {
  test(`no violation in a lab, ${size}`, async () => {
    const { page, context } = await open(browser, { viewport });
    const violations = [];
    for (const name of labs()) {
      await page.goto(address(`study/student/${name}`));
      await page.getByLabel(/^Fault number/).fill("1");
      await page.getByRole("button", { name: "Begin", exact: true }).click();
      await page.evaluate(engine);
      const result = await page.evaluate((rules) =>
        window.axe.run(document, { runOnly: { type: "tag", values: rules }, resultTypes: ["violations"] }), RULES);
      for (const found of result.violations) {
        violations.push(`${name}: ${found.id}: ${found.nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(" | ")}`);
      }
      assert.ok(result.passes.length > 5, `${name} was judged`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (wide > 0) violations.push(`${name}: ${wide} pixels too wide`);
    }
    await context.close();
    assert.deepEqual(violations, []);
  });
}
