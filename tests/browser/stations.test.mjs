// Two machines at once, a second page at one of them, and the instructor's hand on both.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { act, begin, cycleTo, exercises, finishAttempt, pace, ready, seconds, start, state, text, untilAlarm, untilPhase } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

test("two stations do not touch each other", async () => {
  const [one, two] = [await bench.page(), await bench.page()];
  await start(bench, one, exercises.loaded, { trainee: "One" });
  await start(bench, two, exercises.loaded, { trainee: "Two" });
  await act(one, { act: "press-emergency-stop" });
  await one.waitForSelector("#emergency.pressed");
  await two.waitForTimeout(300);
  assert.equal(await two.locator("#emergency.pressed").count(), 0);
  assert.equal(await two.locator(".alarm").count(), 0);
  bench.quiet();
  await one.context().close();
  await two.context().close();
});

test("a second page watches, acts on nothing but the emergency stop, and takes control when it is let go", async () => {
  const one = await bench.page();
  const station = await start(bench, one, exercises.loaded, { trainee: "One" });
  const two = await bench.page();
  await two.goto(`${bench.url}/?station=${station}`);
  await two.waitForSelector("#seat:not([hidden])");
  assert.match(await two.innerText("#seat"), /Watching: seat .+ holds control/);
  await two.waitForFunction(() => document.querySelector("#emergency") && !document.querySelector("#emergency").disabled);
  const pressable = await two.$$eval("#deck button:not(:disabled)", (all) => all.map((one) => one.dataset.act));
  assert.deepEqual(pressable, ["press-emergency-stop"]);

  await one.click("#control");
  await one.waitForSelector("#seat:not([hidden])");
  await two.click("#control");
  await ready(two);
  assert.equal(await one.locator('[data-act="start"]').isDisabled(), true);

  await one.click("#emergency");
  await two.waitForSelector("#emergency.pressed");
  bench.quiet();
  await one.context().close();
  await two.context().close();
});

test("the instructor sees the stations, sets a fault, stops time, goes back, and reads the record", async () => {
  const operator = await bench.page();
  const station = await start(bench, operator, exercises.loaded, { trainee: "Under watch" });
  const desk = await bench.page({ viewport: { width: 1440, height: 900 } });
  await desk.goto(`${bench.url}/instructor`);
  const card = desk.locator(`[data-station="${station}"]`);
  await card.waitFor();
  assert.match(await card.innerText(), /Under watch/);
  await card.locator("button").click();
  await desk.waitForFunction(() => document.querySelector("#opened .time-value")?.textContent);
  assert.equal(await desk.locator("#deck").count(), 0, "an instructor has no hands on the machine");

  await cycleTo(operator, "dwell");
  await desk.selectOption("#component", "slurry-line");
  await desk.selectOption("#mode", "off");
  await desk.click("#inject");
  await desk.waitForFunction(() => /slurry-line off: done/.test(document.querySelector("#answer").textContent));
  assert.equal(await operator.locator(".kind-instructor").count(), 0, "the operator is not told");
  await pace(operator, "20x");
  await untilAlarm(operator, 18);
  await untilAlarm(desk, 18);
  await desk.waitForSelector(".kind-instructor");

  await desk.click('#pace [data-pace="paused"]');
  await desk.waitForSelector('#pace [data-pace="paused"][aria-pressed=true]');
  const stood = await seconds(desk);
  await desk.waitForTimeout(400);
  assert.equal(await seconds(desk), stood, "time stands still");

  await desk.fill("#moment-text", "rubbish");
  await desk.click("#go-back");
  assert.match(await desk.innerText("#answer"), /minutes:seconds/);
  await desk.fill("#moment-text", "0:05");
  await desk.click("#go-back");
  await desk.waitForFunction(() => {
    const [minutes, seconds] = document.querySelector(".time-value").textContent.split(":").map(Number);
    return minutes * 60 + seconds <= 5;
  });
  await operator.waitForFunction(() => !document.querySelector('.alarm[data-row="18"]'));

  await desk.click("#finish");
  await operator.waitForSelector("#ended[open]");
  const attempt = (await operator.getAttribute("#to-debrief", "href")).match(/\d+/)[0];
  await desk.waitForSelector(`tr[data-attempt="${attempt}"] a`);
  await desk.fill("#filter", "nobody of this name");
  assert.equal(await desk.locator("#attempts tr").count(), 0);
  await desk.fill("#filter", "under watch");
  assert.equal(await desk.locator("#attempts tr").count(), 1);
  const download = desk.waitForEvent("download");
  await desk.click("#csv");
  assert.equal((await download).suggestedFilename(), "attempts.csv");
  await desk.click(`tr[data-attempt="${attempt}"] a`);
  await desk.waitForSelector(".time-line");
  assert.match(await desk.innerText(".verdict"), /Under watch/);
  bench.quiet();
  await operator.context().close();
  await desk.context().close();
});
