// The server is killed in the middle of an attempt and started again: whoever was at the machine is told, nothing acts, and the attempt stands
// in the records with its debrief.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { begin, cycleTo, exercises, start } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

test("a server that dies in mid-attempt and comes back: the page says so, and the attempt is in the records as far as it went", async () => {
  const page = await bench.page();
  const station = await start(bench, page, exercises.loaded, { trainee: "Cut Off" });
  await cycleTo(page, "dwell");
  await bench.restart(1500);
  // The address is the same; the token is not, and the machine of this page is gone.
  await page.waitForSelector('#banner[data-state="over"]:not([hidden])');
  assert.match(await page.innerText("#banner"), /another start of the server|no such station|token/i);
  assert.equal(await page.locator("#deck button:not(:disabled)").count(), 0, "no control promises what it cannot do");
  bench.faults.length = 0; // the cut line is complained of, rightly

  const desk = await bench.page();
  await desk.goto(`${bench.url}/instructor`);
  await desk.waitForSelector("#attempts tr a");
  const row = await desk.innerText("#attempts tr");
  assert.match(row, /Cut Off/);
  assert.match(row, /not finished/);
  await desk.click("#attempts tr a");
  await desk.waitForSelector(".time-line");
  assert.match(await desk.innerText(".verdict"), /Cut Off[\s\S]*not finished/);
  assert.match(await desk.innerText(".verdict-points"), /^\d+ of 100$/, "scored as it stood");
  assert.ok(desk.url().endsWith(`station=${station}`));

  // And the next attempt can begin.
  await start(bench, page, exercises.loaded, { trainee: "Cut Off" });
  bench.quiet();
  await desk.context().close();
  await page.context().close();
});
