// The machine from above: it turns as the machine does, at any pace of time, and stands still for whoever wants no motion.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { begin, cycleTo, exercises, pace, start, watch } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

// How far everything has turned within a second or so, degrees, and how fast the machine says that it turns, rpm: inner ring, outer ring,
// lower plate, upper plate, and the first carrier round the machine and about itself.
const turned = (page) => page.evaluate(async () => {
  const [plate, pieces, upper] = [".plan-plate", ".plan-pieces", ".plan-upper"].map((name) => document.querySelector(name));
  const inner = document.querySelectorAll(".plan-pins");
  const bodies = [inner[0].parentNode, inner[1].parentNode, plate.nextSibling.nextSibling, upper.parentNode];
  const rotation = (node) => Number(/rotate\((-?[\d.]+)\)/.exec(node.getAttribute("transform"))[1]);
  const look = () => {
    const carrier = pieces.firstChild;
    const [x, y] = /translate\((-?[\d.]+) (-?[\d.]+)\)/.exec(carrier.getAttribute("transform")).slice(1).map(Number);
    return [...bodies.map((node) => -rotation(node)), (Math.atan2(-y, x) * 180) / Math.PI, -rotation(carrier)];
  };
  // Added up from picture to picture, so that a whole turn counts.
  const sum = [0, 0, 0, 0, 0, 0];
  let [last, rpm, frames] = [look(), [0, 0, 0, 0, 0, 0], 0];
  globalThis.seen = ({ speeds_rpm: drives, carriers_rpm: carriers }) => {
    rpm = rpm.map((speed, index) => speed + [...drives, ...carriers][index]);
    frames += 1;
  };
  const begun = performance.now();
  while (performance.now() - begun < 1500) {
    await new Promise(requestAnimationFrame);
    const now = look();
    now.forEach((angle, index) => {
      const step = angle - last[index];
      sum[index] += step - 360 * Math.round(step / 360);
    });
    last = now;
  }
  return { sum, rpm: rpm.map((speed) => speed / frames), seconds: (performance.now() - begun) / 1000, told: document.querySelector(".plan-told").textContent };
});

// From now on each frame of the machine is heard; by nobody yet.
async function listen(page, station) {
  await page.evaluate(() => {
    globalThis.seen = () => {};
  });
  await watch(page, station);
}

test("everything in the plan turns as the machine does, and no faster while time runs", async () => {
  const page = await bench.page();
  const station = await start(bench, page, exercises.loaded);
  await cycleTo(page, "dwell");
  await listen(page, station);
  for (const word of ["1x", "5x"]) {
    await pace(page, word);
    await page.waitForTimeout(300);
    const { sum, rpm, seconds, told } = await turned(page);
    sum.forEach((angle, index) => {
      assert.ok(Math.abs(rpm[index]) > 0.3, `${index} turns: ${rpm[index]} rpm`);
      const should = 6 * rpm[index] * seconds;
      assert.ok(Math.abs(angle - should) < 4 + 0.1 * Math.abs(should), `at ${word}, ${index} has turned ${angle}° and should have ${should}°`);
    });
    assert.equal(told.includes("Shown at 1×"), word !== "1x", told);
  }
  await pace(page, "paused");
  await page.waitForTimeout(300);
  const { sum } = await turned(page);
  assert.deepEqual(sum, [0, 0, 0, 0, 0, 0], "nothing turns while time stands still");
  bench.quiet();
  await page.context().close();
});

test("where no motion is wanted the plan stands still and says how it turns", async () => {
  const page = await bench.page({ reducedMotion: "reduce" });
  const station = await start(bench, page, exercises.loaded);
  await cycleTo(page, "dwell");
  await listen(page, station);
  const { sum, told } = await turned(page);
  assert.deepEqual(sum, [0, 0, 0, 0, 0, 0]);
  assert.match(told, /Carriers: orbit [↺↻] [\d.]+, spin [↺↻] [\d.]+ rpm/);
  bench.quiet();
  await page.context().close();
});

test("on a small screen one of the two views is shown, and the keys choose", async () => {
  const page = await bench.page({ viewport: { width: 1024, height: 768 } });
  await start(bench, page, exercises.loaded);
  const shown = () => page.evaluate(() => [".cut-picture", ".plan-picture"].map((name) => document.querySelector(name).checkVisibility()));
  assert.deepEqual(await shown(), [true, false]);
  await page.click('.view-keys button:has-text("Plan")');
  assert.deepEqual(await shown(), [false, true]);
  await page.setViewportSize({ width: 1280, height: 800 });
  assert.deepEqual(await shown(), [true, true]);
  bench.quiet();
  await page.context().close();
});
