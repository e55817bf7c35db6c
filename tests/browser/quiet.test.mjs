// What the page does not do: build itself anew with every frame, move for those who asked for stillness, tell every frame aloud.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { begin, cycleTo, exercises, start } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

// Nodes added and texts changed in a while, ms.
const changes = (page, time) => page.evaluate((wait) => new Promise((resolve) => {
  const seen = { added: [], texts: 0, aloud: 0 };
  const look = new MutationObserver((list) => {
    for (const change of list) {
      for (const node of change.addedNodes) if (!node.parentElement?.closest(".news-list")) seen.added.push(`${node.nodeName} in ${change.target.className}`);
      if (change.type === "characterData") {
        seen.texts += 1;
        if (change.target.parentElement?.closest("[role=status], [role=alert], [aria-live]")) seen.aloud += 1;
      }
    }
  });
  look.observe(document.body, { subtree: true, childList: true, characterData: true });
  setTimeout(() => {
    look.disconnect();
    resolve(seen);
  }, wait);
}), time);

const marks = (page) => page.$$eval(".cut-rim", (all) => all.map((one) => one.getAttribute("x1")).join());

test("in a steady dwell frames change texts in place and nothing else, and nothing is told aloud", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.loaded);
  await cycleTo(page, "dwell");
  await page.waitForTimeout(700);
  const seen = await changes(page, 2000);
  assert.deepEqual(seen.added, []);
  assert.ok(seen.texts > 20, `the page lives: ${seen.texts} texts changed`);
  assert.equal(seen.aloud, 0);
  const before = await marks(page);
  await page.waitForTimeout(500);
  assert.notEqual(await marks(page), before, "the plates are seen to turn");
  bench.quiet();
  await page.context().close();
});

test("who asks for reduced motion sees the arrows and no travelling marks", async () => {
  const page = await bench.page({ reducedMotion: "reduce" });
  await start(bench, page, exercises.loaded);
  const before = await marks(page);
  await cycleTo(page, "dwell");
  await page.waitForTimeout(500);
  assert.equal(await marks(page), before);
  assert.equal(await page.locator(".cut-arrow:not([display])").count(), 2);
  bench.quiet();
  await page.context().close();
});
