// The operator's page on a shop screen and on tablets: everything in view, nothing cut, nothing covered.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { SIZES, unread, wrong } from "./layout.mjs";
import { act, begin, exercises, start } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

// Nothing is wrong with the page of an exercise, before and after an emergency stop.
async function whole(page, exercise) {
  await start(bench, page, exercise);
  assert.deepEqual(await wrong(page), []);
  assert.deepEqual(await unread(page), []);
  await act(page, { act: "press-emergency-stop" });
  await page.waitForSelector("#emergency.pressed");
  await page.waitForSelector(".alarm");
  assert.deepEqual(await wrong(page), []);
  assert.deepEqual(await unread(page), []);
  bench.quiet();
  await page.context().close();
}

for (const [width, height] of SIZES) for (const exercise of [exercises.guided, exercises.flat]) {
  test(`at ${width} × ${height} everything of ${exercise} is in view, before and after an emergency stop`, async () => {
    const page = await bench.page({ viewport: { width, height } });
    await whole(page, exercise);
  });
}

// The same in the other languages, whose words are longer.
for (const locale of ["de-DE", "es-ES"]) for (const [width, height] of SIZES) {
  test(`at ${width} × ${height} nothing is cut in ${locale}, before and after an emergency stop`, async () => {
    const page = await bench.page({ viewport: { width, height }, locale });
    await whole(page, exercises.flat);
  });
}

// The page at twice its size, and a telephone: not all is in view, but the emergency stop is, wherever one has scrolled to and whatever is open.
for (const [width, height] of [[640, 400], [390, 844], [1280, 800]]) {
  test(`at ${width} × ${height} nothing covers the emergency stop`, async () => {
    const page = await bench.page({ viewport: { width, height } });
    await start(bench, page, exercises.guided);
    const covered = () => page.evaluate(() => {
      const stop = document.querySelector("#emergency");
      const box = stop.getBoundingClientRect();
      if (box.left < 0 || box.top < 0 || box.right > innerWidth || box.bottom > innerHeight) return "it is out of view";
      const points = [[0.5, 0.5], [0.2, 0.3], [0.8, 0.7]].map(([x, y]) => document.elementFromPoint(box.left + x * box.width, box.top + y * box.height));
      return points.every((top) => stop.contains(top)) ? "" : "something lies over it";
    });
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= width, `${wide} px wide`);
    assert.equal(await covered(), "");
    await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight));
    assert.equal(await covered(), "");
    await page.evaluate(() => document.getElementById("task-whole").show());
    assert.equal(await covered(), "");
    await page.evaluate(() => document.getElementById("ended").show());
    assert.equal(await covered(), "");
    // By the keyboard: on a telephone the key lies under what was opened before.
    await page.focus(".alarms .heading button:last-child");
    await page.keyboard.press("Enter");
    await page.waitForSelector("dialog.wide[open] tbody tr");
    assert.equal(await covered(), "");
    await page.click("#emergency");
    await page.waitForSelector("#emergency.pressed");
    bench.quiet();
    await page.context().close();
  });
}

// Keys for hands in gloves: 44 px and 8 px apart.
test("the keys of the deck are large enough, and far enough apart, for gloves", async () => {
  for (const [width, height] of SIZES) {
    const page = await bench.page({ viewport: { width, height } });
    await start(bench, page, exercises.guided);
    const near = await page.evaluate(() => {
      const keys = [...document.querySelectorAll("#deck .keys .key")].map((key) => [key.textContent, key.getBoundingClientRect()]);
      const found = keys.filter(([, box]) => Math.min(box.width, box.height) < 43.5).map(([name, box]) => `${name} is ${box.width} × ${box.height}`);
      keys.forEach(([name, a], index) => {
        for (const [other, b] of keys.slice(index + 1)) {
          const apart = Math.max(b.left - a.right, a.left - b.right, b.top - a.bottom, a.top - b.bottom);
          if (apart < 7.5) found.push(`${name} and ${other} are ${apart} apart`);
        }
      });
      return found;
    });
    assert.deepEqual(near, [], `${width} × ${height}`);
    bench.quiet();
    await page.context().close();
  }
});
