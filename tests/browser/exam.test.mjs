// An exam from end to end: a student works at a lab that judges nothing, saves, and the instructor's reader judges the files.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { mkdtempSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { address, exam, launch, open } from "./book.mjs";

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

const work = mkdtempSync(join(tmpdir(), "exam-"));
const lab = readdirSync(join(exam, "study/student")).find((name) => name.endsWith("-lab.html"));

// The items of the first numbers, by the instructor's list.
async function key(page) {
  await page.goto(address(`study/instructor/${lab}`, exam));
  return page.$$eval(".lab-key tbody tr", (rows) => rows.map((row) => row.dataset.item));
}

// Gives these verdicts for a number, and saves. Returns the file.
async function handIn(page, student, number, verdicts) {
  await page.goto(address(`study/student/${lab}`, exam));
  await page.getByLabel("Fault number").fill(String(number));
  await page.getByRole("button", { name: "Begin", exact: true }).click();
  for (const verdict of verdicts) {
    await page.getByLabel("What is at fault").selectOption({ label: verdict });
    await page.getByLabel("Why: what you found").fill('12 V at one end, 0 V at the other, "no more"');
    await page.getByRole("button", { name: "This is my verdict" }).click();
    assert.match(await page.locator("#judged").textContent(), /^Your verdict is noted/);
  }
  await page.getByLabel("Name").fill(student);
  const waits = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save for hand-in" }).click();
  const file = join(work, `${student}.json`.replace(/\W+(?=.*\.)/g, "-"));
  await (await waits).saveAs(file);
  return file;
}

test("the reader judges what students hand in, and nothing else", async () => {
  const { page, context, noted } = await open(browser, { acceptDownloads: true });
  const items = await key(page);
  const other = items.find((item) => item !== items[0] && item !== items[1]);
  const files = [
    await handIn(page, "Ada", 1, [items[0]]),
    await handIn(page, "Ben", 2, [items[1], other]),
    await handIn(page, "=Cy, \"C\"", 1, [other, items[0]]),
    await handIn(page, "Dee", 3, []),
  ];
  const kept = JSON.parse(readFileSync(files[0], "utf8"));
  const strange = [["list.json", "[1, 2"], ["none.json", "null"], ["old.json", JSON.stringify({ ...kept, stamp: "00000-00000" })],
    ["far.json", JSON.stringify({ ...kept, number: 9999 })], ["odd.json", JSON.stringify({ ...kept, verdicts: [{}, 7], student: 5, hands: "x" })]];
  for (const [name, text] of strange) {
    writeFileSync(join(work, name), text);
    files.push(join(work, name));
  }
  await page.goto(address("study/instructor/reader.html", exam));
  await page.getByLabel("Saved files").setInputFiles(files);
  await page.locator("#rows tr").nth(4).waitFor();
  const rows = await page.$$eval("#rows tr", (lines) => lines.map((line) => [...line.cells].map((cell) => cell.textContent)));
  assert.deepEqual(rows.map((row) => [row[0], row[3], row[4], row[5], row[7]]), [
    ["Ada", "1", items[0], "right", "0"], ["Ben", "2", other, "wrong", "1"], ['=Cy, "C"', "1", items[0], "right", "1"],
    ["Dee", "3", "", "no verdict", "0"], ["", "1", "", "no verdict", "2"],
  ]);
  for (const row of rows) assert.ok(row[6].split(", ").includes(items[row[3] - 1]), `${row[6]} is right for ${row[3]}`);
  const said = await page.locator("#said").textContent();
  for (const name of ["list.json", "none.json", "far.json"]) assert.match(said, new RegExp(`${name} is no file of these labs`));
  assert.match(said, /Files read: 5\..*old\.json was saved from another edition/);
  const waits = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save the table as CSV" }).click();
  const list = readFileSync(await (await waits).path(), "utf8");
  const lines = list.replace("\ufeff", "").trim().split("\r\n");
  assert.equal(lines.length, 6);
  assert.ok(lines[0].startsWith("Name,Date,Lab,"), lines[0]);
  assert.ok(lines[3].startsWith(`"'=Cy, ""C""",`), `no spreadsheet takes it for a formula: ${lines[3]}`);
  assert.ok(lines[1].endsWith('"12 V at one end, 0 V at the other, ""no more"""'), lines[1]);
  assert.deepEqual(noted, []);
  await context.close();
});

test("a saved file is read back into the lab that it was saved from", async () => {
  const { page, context } = await open(browser, { acceptDownloads: true });
  const items = await key(page);
  const file = await handIn(page, "Eve", 2, [items[0], items[1]]);
  await page.reload();
  await page.getByLabel("Read a saved file").setInputFiles(file);
  await page.getByText("File read: fault 2.").waitFor();
  assert.equal(await page.getByLabel("Name").inputValue(), "Eve");
  const waits = page.waitForEvent("download");
  await page.getByRole("button", { name: "Save for hand-in" }).click();
  const [first, again] = [file, await (await waits).path()].map((path) => JSON.parse(readFileSync(path, "utf8")));
  assert.deepEqual(again, first);
  await context.close();
});

test("no page of the student's folder names a fault's number, nor does one lead out of it", async () => {
  const folder = join(exam, "study/student");
  const { page, context } = await open(browser);
  await page.goto(address(`study/instructor/${lab}`, exam));
  const faults = await page.$$eval(".lab-key tbody tr td:nth-of-type(1)", (cells) => cells.map((cell) => cell.textContent.trim()));
  assert.ok(faults.length > 20);
  for (const name of readdirSync(folder)) {
    const text = readFileSync(join(folder, name), "utf8");
    assert.ok(!/\binstructor\/|reader\.html/.test(text), `${name} leads to the instructor's folder`);
    if (name === lab) for (const fault of faults) assert.ok(!text.includes(fault), `${name} holds ${fault}`);
  }
  await context.close();
});
