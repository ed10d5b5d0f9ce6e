// A book that is being written: an open page shows each change by itself and keeps the reader's place.
import { test } from "node:test";
import assert from "node:assert/strict";
import { spawn, execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { address, book, draft, launch, open } from "./book.mjs";

test("an open page of a watched book follows the author, through an error too", async () => {
  const work = mkdtempSync(join(tmpdir(), "watched-"));
  const source = join(work, "book");
  const out = join(work, "out");
  const page = join(source, "content/reversing-checkout.md");
  execFileSync(process.env.GOODGROUND, ["new", source]);
  const revise = (from, to) => {
    const text = readFileSync(page, "utf8");
    assert.ok(text.includes(from), from);
    writeFileSync(page, text.replace(from, to));
  };
  const watching = spawn(process.env.GOODGROUND, ["publish", "--watch", "--book", source, "--out", out], { stdio: "ignore" });
  try {
    for (let tries = 0; !existsSync(join(out, "written.js")); tries += 1) {
      assert.ok(tries < 600, "nothing was published");
      await wait(100);
    }
    const browser = await launch();
    try {
      const { page: tab } = await open(browser, { viewport: { width: 800, height: 300 } });
      await tab.goto(address("pages/reversing-checkout.html", out));
      assert.match(await tab.textContent(".draft-banner"), /./);
      await tab.evaluate(() => window.scrollTo(0, 400));
      const before = await tab.evaluate(() => window.scrollY);
      assert.ok(before > 300);
      revise("Now both must light.", "Now both must light at once.");
      await tab.waitForSelector("text=Now both must light at once.", { timeout: 60000 });
      assert.ok(Math.abs((await tab.evaluate(() => window.scrollY)) - before) < 30);
      // With a result that the circuit does not give, the page goes on following, and says that it is a draft with findings.
      revise("- Expect: E1 lit, E2 lit", "- Expect: E1 lit, E2 dark");
      await tab.waitForSelector(".draft-banner a", { timeout: 60000 });
      revise("- Expect: E1 lit, E2 dark", "- Expect: E1 lit, E2 lit");
      await tab.waitForFunction(() => !document.querySelector(".draft-banner a"), null, { timeout: 60000 });
    } finally {
      await browser.close();
    }
  } finally {
    watching.kill();
    rmSync(work, { recursive: true, force: true });
  }
});

test("a book that is not watched has nothing to hear", () => {
  assert.ok(!existsSync(join(book, "written.js")));
  assert.ok(!existsSync(join(draft, "written.js")));
});
