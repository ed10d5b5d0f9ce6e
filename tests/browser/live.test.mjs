// The live drawing against the program's own answer: `goodground why` is asked for the same state of the same build.
import { after, before, test } from "node:test";
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { address, launch, open, pages } from "./book.mjs";

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
      const wires = await page.locator(".wire-choice option").evaluateAll((options) => options.map((one) => one.value).filter(Boolean));
      const wire = wires[draw(wires.length)];
      await page.locator(".wire-choice").selectOption(wire);
      const shown = await page.locator(".wire-reading output").textContent();
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
