// The sound of alarms: none unless it is asked for, graver for what stops, and silenced by the key that acknowledges.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { act, begin, exercises, start, untilAlarm } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

// Pitches that were started, since the last look.
const heard = (page) => page.evaluate(() => globalThis.heard.splice(0));

test("an alarm sounds where it is asked for, until it is acknowledged", async () => {
  const page = await bench.page();
  await page.addInitScript(() => {
    globalThis.heard = [];
    const begin = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function start(...at) {
      globalThis.heard.push(this.frequency.value);
      return begin.apply(this, at);
    };
  });
  await start(bench, page, exercises.loaded);
  await act(page, { act: "press-emergency-stop" });
  await untilAlarm(page, 1);
  await page.waitForTimeout(300);
  assert.deepEqual(await heard(page), [], "off");
  assert.equal(await page.getAttribute(".sound", "aria-pressed"), "false");

  await page.click(".sound");
  assert.equal(await page.getAttribute(".sound", "aria-pressed"), "true");
  await page.waitForFunction(() => globalThis.heard.length >= 6);
  assert.deepEqual((await heard(page)).slice(0, 6), [880, 660, 880, 880, 660, 880], "again and again");
  await page.click(".sound");
  await heard(page);
  await page.waitForTimeout(2500);
  assert.deepEqual(await heard(page), [], "off again");
  await page.click(".sound");
  await page.waitForFunction(() => globalThis.heard.length >= 3);

  await act(page, { act: "acknowledge" });
  await page.waitForFunction(() => !document.querySelector(".alarm.unacknowledged"));
  await heard(page);
  await page.waitForTimeout(2500);
  assert.deepEqual(await heard(page), [], "acknowledged");
  bench.quiet();
  await page.context().close();
});
