// The live drawing against the program's own answer: `goodground why` is asked for the same state of the same build.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { address, book, launch, open, pages } from "./book.mjs";

let browser;
before(async () => { browser = await launch(); });
after(async () => { await browser.close(); });

// A fixed pseudo-random draw, so that a failure can be looked at again.
function draws(seed) {
  return (below) => {
    seed = (seed * 1103515245 + 12345) % 2147483648;
    return Math.floor((seed / 2147483648) * below);
  };
}

const TRIED = 12;

function why(state) {
  const text = execFileSync(process.env.GOODGROUND, ["why", "--book", process.env.SOURCE, "--format", "json", state]);
  return JSON.parse(text);
}

test("every state tried is the one that the program computes", async () => {
  const { page, noted, context } = await open(browser, { viewport: { width: 1400, height: 1000 } });
  const draw = draws(19);
  let compared = 0;
  const arrows = [0, 0];
  for (const path of pages().filter((path) => path.startsWith("circuits/"))) {
    await page.goto(address(path));
    for (let tried = 0; tried < TRIED; tried++) {
      const words = [];
      if (await page.locator(".build-drawer").count()) {
        await page.locator(".build-drawer").evaluate((drawer) => { drawer.open = true; });
        for (const label of await page.locator(".build-form label").all()) {
          const select = label.locator("select");
          const choices = await select.locator("option").allTextContents();
          const choice = 1 + draw(choices.length - 1);
          await select.selectOption({ index: choice });
          const group = (await label.evaluate((part) => part.firstChild.textContent)).trim().toLowerCase();
          words.push(`${group} ${choices[choice]}`);
        }
        await page.locator(".build-drawer").evaluate((drawer) => { drawer.open = false; });
      }
      for (const control of await page.locator(".controls fieldset").all()) {
        const inputs = control.locator("input");
        const choice = draw(await inputs.count());
        await inputs.nth(choice).evaluate((input) => input.click());
        const setting = (await inputs.nth(choice).locator("xpath=following-sibling::span").textContent()).trim();
        words.push(`${await control.getAttribute("data-control")} ${setting}`);
      }
      const state = words.join(", ");
      const computed = why(state);
      const loads = await page.locator(".loads li").evaluateAll((lines) =>
        lines.map((line) => [line.dataset.face.split(" ")[0], line.querySelector("b").textContent]));
      assert.ok(loads.length > 0, path);
      for (const [part, reading] of loads) {
        const told = Object.entries(computed.shows).find(([name]) => name.split(/[ ,.]/)[0] === part);
        assert.ok(told, `${path}: ${part} is not in the answer for ${state}`);
        // A pointer swings with the feed while lamps flash: the page shows one moment, the program another.
        if (/\d/.test(reading) && /hazard on|turn (left|right)/.test(state)) continue;
        assert.equal(reading, told[1].reads, `${path}: ${part} with ${state}`);
        compared++;
      }
      // An arrow points the way in which the current runs, from the wire's first end or from its second.
      if (!/hazard on|turn (left|right)/.test(state)) {
        const drawn = await page.$$eval("#drawing [data-wire].carrying", (wires) => wires.map((wire) => [wire.dataset.wire, wire.classList.contains("reversed")]));
        for (const [name, reversed] of drawn) {
          const { amps } = computed.wires[name];
          if (Math.abs(amps) < 0.001) continue;
          assert.equal(reversed, amps < 0, `${path}: the arrow of ${name} with ${state}, ${amps} A`);
          arrows[reversed ? 1 : 0]++;
        }
      }
      const wires = await page.locator(".choice option").evaluateAll((options) => options.filter((one) => one.value.startsWith("wire=")).map((one) => [one.value, one.textContent.trim()]));
      const [value, wire] = wires[draw(wires.length)];
      await page.locator(".choice").selectOption(value);
      const shown = await page.locator(".chosen-thing output").textContent();
      const flow = computed.wires[wire];
      if (!flow) { assert.equal(shown, "–", `${wire} with ${state}`); continue; }
      const volts = /^(-?[\d.]+) V/.exec(shown);
      if (flow.volts === null) assert.equal(volts, null, `${wire} with ${state}: ${shown}`);
      else assert.ok(Math.abs(Number(volts[1]) - flow.volts) < 0.051, `${wire} with ${state}: ${shown}, computed ${flow.volts}`);
      compared++;
    }
  }
  await context.close();
  assert.ok(compared > 200, `${compared} compared`);
  assert.ok(arrows.every((count) => count >= 5), `${arrows} arrows either way`);
  assert.deepEqual(noted, []);
});

test("a statement opens its evidence in the drawing", async () => {
  const { page, context } = await open(browser);
  const theory = pages().find((path) => path === "pages/lift.html") || pages().find((path) => path.startsWith("pages/"));
  await page.goto(address(theory));
  const claim = page.locator("a.claim").first();
  const words = (await claim.textContent()).trim();
  await claim.click();
  await page.locator(".statement.showing").waitFor();
  const heading = await page.locator(".statement.showing h3").textContent();
  assert.equal(heading.trim(), words);
  assert.ok((await page.locator(".shown-state").textContent()).includes(words));
  assert.ok(await page.locator("#drawing .carrying").count() > 0);
  await context.close();
});

test("an operating state is shown with its controls set", async () => {
  const { page, context } = await open(browser);
  await page.goto(address(pages().find((path) => path.startsWith("circuits/"))));
  const link = page.locator("table.operation a[href*='state=']").last();
  await link.click();
  const moved = await page.locator(".controls fieldset input:checked:not([value='0'])").count();
  assert.ok(moved > 0);
  assert.ok(await page.locator(".loads li.on").count() > 0);
  await context.close();
});

// The sizes of a desk, a tablet held upright and a phone.
const SIZES = [[1280, 800], [820, 1180], [390, 844]];
const drawn = (page) => page.$eval("#drawing", (frame) => {
  const sheets = [...frame.querySelectorAll("svg.drawing")].map((sheet) => sheet.getBoundingClientRect());
  return {
    frame: [frame.clientWidth, frame.clientHeight],
    wide: Math.max(...sheets.map((sheet) => sheet.width)),
    high: sheets.reduce((sum, sheet) => sum + sheet.height, 0),
    bottom: frame.getBoundingClientRect().bottom,
  };
});

for (const [width, height] of SIZES) {
  test(`a drawing is seen whole, larger, and whole again at ${width} by ${height}`, async () => {
    const { page, context, noted } = await open(browser, { viewport: { width, height } });
    for (const path of pages().filter((path) => path.startsWith("circuits/"))) {
      await page.goto(address(path));
      const first = await drawn(page);
      assert.ok(first.wide <= first.frame[0] + 1 && first.high <= first.frame[1] + 1, `${path}: ${JSON.stringify(first)}`);
      assert.ok(first.wide > first.frame[0] * 0.9 || first.high > first.frame[1] * 0.9, `${path} is smaller than it need be: ${JSON.stringify(first)}`);
      if (width > 1000) {
        assert.ok(first.bottom <= height, `${path} ends at ${first.bottom}`);
        const told = await page.locator(".readout").boundingBox();
        assert.ok(told.y >= 0 && told.y + told.height <= height, `${path}: what is seen ends at ${told.y + told.height}`);
      }
      const words = (page) => page.$eval("#drawing text", (text) => text.getScreenCTM().a);
      const small = await words(page);
      await page.locator("[data-lens=in]").click();
      await page.locator("#drawing").press("+");
      const large = await drawn(page);
      assert.ok(Math.abs(large.wide / first.wide - 1.96) < 0.02, `${path}: ${first.wide} became ${large.wide}`);
      assert.ok(Math.abs((await words(page)) / small - 1.96) < 0.02, path);
      await page.locator("[data-lens=whole]").click();
      const again = await drawn(page);
      assert.ok(Math.abs(again.wide - first.wide) < 2 && Math.abs(again.high - first.high) < 2, `${path}: ${JSON.stringify([first, again])}`);
      for (const button of await page.locator(".lens button, .controls label span").all()) {
        const box = await button.boundingBox();
        assert.ok(box.width >= 43.9 && box.height >= 43.9, `${path}: a target of ${box.width} by ${box.height}`);
      }
    }
    assert.deepEqual(noted, []);
    await context.close();
  });

  test(`what is chosen anywhere stands in the drawing's frame, lit, at ${width} by ${height}`, async () => {
    const { page, context, noted } = await open(browser, { viewport: { width, height } });
    let ways = 0;
    for (const path of pages().filter((path) => /^(data|pages\/.*trouble)/.test(path))) {
      await page.goto(address(path));
      const hrefs = await page.$$eval("a[href*='circuits/']", (links) => links.map((link) => link.href).filter((href) => /#(part|wire|connector)=/.test(href)));
      assert.ok(hrefs.length > 3, path);
      for (const href of [hrefs[0], hrefs[Math.floor(hrefs.length / 2)], hrefs[hrefs.length - 1]]) {
        await page.goto("about:blank");
        await page.goto(href);
        const seen = await page.evaluate(() => {
          const frame = document.getElementById("drawing").getBoundingClientRect();
          const inside = (box) => { const x = (box.left + box.right) / 2, y = (box.top + box.bottom) / 2; return x >= frame.left && x <= frame.right && y >= frame.top && y <= frame.bottom; };
          const chosen = [...document.querySelectorAll("#drawing .chosen")];
          return [chosen.length, chosen.some((part) => inside(part.getBoundingClientRect())), document.querySelector(".chosen-thing .card h3")?.textContent.trim(), document.querySelector(".choice").value];
        });
        assert.ok(seen[0] > 0 && seen[1], `${href}: ${seen}`);
        const name = await page.$eval(".choice", (list) => list.selectedOptions[0].textContent.trim().split(/\s/)[0]);
        assert.equal(seen[2].split(/\s/)[0], name, href);
        assert.equal(seen[3], decodeURIComponent(href).split("#")[1]);
        ways++;
      }
    }
    assert.ok(ways > 20, `${ways}`);
    assert.deepEqual(noted, []);
    await context.close();
  });
}

test("a tap beside a wire or a part means the nearest, and lights the whole conductor", async () => {
  const { page, context } = await open(browser, { viewport: { width: 1280, height: 800 } });
  await page.goto(address("circuits/lift-power.html") + "#wire=W310");
  const lit = await page.$$eval("#drawing [data-wire].along", (wires) => [...new Set(wires.map((wire) => wire.dataset.wire))].sort());
  assert.ok(lit.includes("W310") && lit.length > 4, `${lit}`);
  assert.ok(!lit.includes("W308"), `${lit}`);
  const at = await page.locator("#drawing [data-wire='W309'] .run").first().boundingBox();
  await page.mouse.click(at.x + at.width / 2 + 10, at.y + at.height / 2);
  assert.equal(await page.locator(".choice").inputValue(), "wire=W309");
  const part = await page.locator("#drawing .symbol[data-part='E5']").first().boundingBox();
  await page.mouse.click(part.x + part.width / 2, part.y + part.height / 2);
  assert.equal(await page.locator(".choice").inputValue(), "part=E5");
  assert.equal(await page.locator(".chosen-thing output").textContent(), "dark");
  await context.close();
});

test("the address holds what is shown: loaded again, come back to and handed on it is the same", async () => {
  const { page, context } = await open(browser, { viewport: { width: 1280, height: 800 } });
  await page.goto(address("circuits/lift-power.html"));
  const told = async () => [
    await page.$eval("#drawing", (frame) => frame.dataset.state),
    await page.$$eval(".controls input:checked", (inputs) => inputs.map((input) => `${input.name}=${input.value}`)),
    await page.locator(".shown-state").textContent(),
    await page.locator(".choice").inputValue(),
  ];
  const rest = await told();
  for (const control of [0, 1]) await page.locator(`input[name='control-${control}'][value='1']`).check({ force: true });
  await page.locator(".choice").selectOption("part=K3");
  const first = await told();
  assert.notDeepEqual(first, rest);
  await page.reload();
  assert.deepEqual(await told(), first);
  await page.goto(address("index.html"));
  await page.goBack();
  assert.deepEqual(await told(), first);
  const other = await context.newPage();
  await other.goto(page.url());
  assert.equal(await other.$eval("#drawing", (frame) => frame.dataset.state), first[0]);
  await context.close();
});

test("of a state that was not computed nothing is said", async () => {
  const { page, context } = await open(browser);
  // A copy whose table lacks the state with the first control moved, as a sampled one does.
  const folder = mkdtempSync(join(tmpdir(), "sampled-"));
  mkdirSync(join(folder, "circuits"));
  for (const file of ["book.css", "book.js", "circuit.js", "search.js"]) copyFileSync(join(book, file), join(folder, file));
  const whole = readFileSync(join(book, "circuits/lift-power.html"), "utf8");
  const sampled = whole.replace(/(id="circuit-data">)(.*?)(<\/script>)/s, (_, before, json, after) => {
    const data = JSON.parse(json);
    data.table = data.table.map((build) => Object.fromEntries(Object.entries(build).filter(([code]) => code !== "1")));
    return before + JSON.stringify(data).replaceAll("<", "\\u003c") + after;
  });
  writeFileSync(join(folder, "circuits/lift-power.html"), sampled);
  await page.goto(address("circuits/lift-power.html", folder));
  assert.ok(await page.locator(".loads li").count() > 0, "at rest something is told");
  await page.locator("input[name='control-0'][value='1']").check({ force: true });
  assert.equal(await page.locator("#drawing.unknown").count(), 1);
  assert.equal(await page.locator("#drawing .carrying, #drawing .full, #drawing .weak").count(), 0);
  assert.equal(await page.locator(".loads li").count(), 0);
  await page.locator("button[type=reset]").click();
  await page.locator("#drawing[data-state]").waitFor();
  await context.close();
  rmSync(folder, { recursive: true });
});
