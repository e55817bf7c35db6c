// The class at a glance: what was done stands in its cell, and who is ready is told by the trainer's own rule.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axe, begin, exercises, finishAttempt, start, text } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

// An attempt that is ended at once: nothing of it was done.
async function giveUp(exercise, trainee) {
  const page = await bench.page();
  await start(bench, page, exercise, { trainee });
  const attempt = await finishAttempt(page);
  await page.context().close();
  return attempt;
}

const cellOf = (page, exercise, trainee) => page.evaluate(([id, name]) => {
  const column = [...document.querySelectorAll("#class thead th")].findIndex((head) => head.textContent === name);
  return document.querySelector(`#class [data-exercise="${id}"]`)?.children[column]?.innerText ?? "";
}, [exercise, trainee]);

const readiness = (page) => page.evaluate(() => [...document.querySelectorAll("#class .ready td")].slice(1).map((cell) => cell.innerText));

test("the class page tells who has done what, and who is ready by a rule that is kept", async () => {
  const desk = await bench.page();
  await desk.goto(`${bench.url}/instructor`);
  await desk.click("text=Class");
  await desk.waitForSelector("#nobody:not([hidden])");
  await giveUp(exercises.loaded, "Ana");
  await giveUp(exercises.loaded, "Bo");
  const last = await giveUp(exercises.loaded, "ana ");
  await desk.reload();
  await desk.waitForSelector("#class .ready");
  // One person has one name, the one that was typed first.
  assert.deepEqual(await desk.locator("#class thead th").allInnerTexts(), ["Exercise", "counts", "Ana", "Bo"]);
  assert.match(await cellOf(desk, exercises.loaded, "Ana"), /^✕ 0 →\s*best 0, 2 tries$/);
  assert.match(await cellOf(desk, exercises.loaded, "Bo"), /^✕ 0\s*best 0, 1 try$/);
  assert.equal(await cellOf(desk, exercises.guided, "Ana"), "–");
  assert.deepEqual(await readiness(desk), ["no rule yet", "no rule yet"]);

  await desk.check(`#class input[value="${exercises.loaded}"]`);
  await desk.check(`#class input[value="${exercises.guided}"]`);
  await desk.selectOption("#passes", "2");
  assert.equal(await text(desk, "#answer"), "Changed, not kept yet.");
  await desk.click("#keep");
  await desk.waitForFunction(() => document.querySelector("#answer").textContent === "Kept.");
  await desk.reload();
  await desk.waitForSelector("#class .ready");
  assert.deepEqual(await readiness(desk), ["2 to go", "2 to go"]);
  assert.equal(await desk.inputValue("#passes"), "2");
  assert.deepEqual(await desk.locator("#class .counts input:checked").evaluateAll((boxes) => boxes.map((box) => box.value).sort()), [exercises.guided, exercises.loaded].sort());

  assert.deepEqual(await axe(desk), []);
  for (const [width, height] of [[1280, 800], [1024, 768], [820, 1180], [1920, 1080]]) {
    await desk.setViewportSize({ width, height });
    assert.ok(await desk.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `wider than ${width} px`);
  }
  await desk.click(`#class [data-exercise="${exercises.loaded}"] a`);
  await desk.waitForSelector(".verdict");
  assert.match(desk.url(), new RegExp(`/debrief/${last}\\?station=`));
  bench.quiet();
  await desk.context().close();
});
