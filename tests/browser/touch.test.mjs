// On a tablet, by fingers alone: keys, fields, the held control and the emergency stop.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { begin, exercises, ready } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

for (const [width, height] of [[1024, 768], [820, 1180]]) {
  test(`at ${width} × ${height} fingers do what a pointer does`, async () => {
    const page = await bench.page({ viewport: { width, height }, hasTouch: true, isMobile: true });
    const line = await page.context().newCDPSession(page);
    const middle = async (selector) => {
      const box = await page.locator(selector).boundingBox();
      return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    };
    const down = async (selector) => line.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [await middle(selector)] });
    const up = () => line.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    const tap = (selector) => page.tap(selector);

    await page.goto(`${bench.url}/?seed=1`);
    await tap(`.exercise:has([value="${exercises.loaded}"])`);
    await tap("#trainee");
    await page.keyboard.type("Gloves");
    await tap("#begin button[type=submit]");
    await ready(page);
    for (const word of ["unlock-guard", "open-guard", "load-carriers", "count-parts", "close-guard", "lock-guard"]) await tap(`[data-act="${word}"]`);
    await page.waitForSelector('.lamp.on[data-lamp="loaded"]');
    await tap('[data-act="setup-key"]');
    await page.waitForSelector('[data-act="setup-key"][aria-pressed=true]');
    await tap('[data-mode="setup"]');
    await page.waitForSelector('[data-mode="setup"][aria-pressed=true]');
    await tap('[data-move="purge"]');
    await page.waitForSelector('[data-move="purge"][aria-pressed=true]');

    // It moves while the finger lies on it, also for longer than a tap, and not a moment after.
    await down('[data-act="hold-to-run"]');
    await page.waitForSelector('[data-act="hold-to-run"].held');
    await page.waitForSelector('.lamp.on[data-lamp="pump"]');
    await page.waitForTimeout(1500);
    assert.equal(await page.locator('[data-act="hold-to-run"].held').count(), 1, "a long touch opens no menu and does not let go");
    await up();
    await page.waitForSelector('.lamp:not(.on)[data-lamp="pump"]');

    await tap("#emergency");
    await page.waitForSelector("#emergency.pressed");
    await page.waitForSelector('.alarm[data-row="1"]');
    assert.equal(await page.evaluate(() => visualViewport.scale), 1, "the page did not zoom");
    bench.quiet();
    await page.context().close();
  });
}
