// The operator's page on a shop screen and on tablets: everything in view, nothing cut, nothing covered.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { act, begin, exercises, pace, start, untilPhase } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

const SIZES = [[1280, 800], [1024, 768], [820, 1180]];

// What is wrong with the layout, in words.
const wrong = (page) => page.evaluate(() => {
  const found = [];
  const page = document.documentElement;
  if (page.scrollWidth > innerWidth) found.push(`the page is ${page.scrollWidth} px wide`);
  if (page.scrollHeight > innerHeight) found.push(`the page is ${page.scrollHeight} px high`);
  const named = (node) => `${node.tagName.toLowerCase()}.${node.className} "${node.textContent.trim().slice(0, 30)}"`;
  const shown = [...document.querySelectorAll("#shop button, #shop select, #shop input, #shop .box, #shop .task")].filter((node) => node.offsetParent !== null);
  for (const node of shown) {
    const box = node.getBoundingClientRect();
    if (box.left < 0 || box.top < 0 || box.right > innerWidth + 0.5 || box.bottom > innerHeight + 0.5) found.push(`${named(node)} leaves the page`);
    if (node.matches("button")) {
      // The words themselves, wherever their boxes end.
      const range = document.createRange();
      range.selectNodeContents(node);
      const words = range.getBoundingClientRect();
      if (words.left < box.left - 0.5 || words.right > box.right + 0.5 || words.top < box.top - 0.5 || words.bottom > box.bottom + 0.5) found.push(`${named(node)} is cut`);
    }
    if (node.matches("button, select, input")) {
      const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
      if (!node.contains(top) && !top?.contains(node)) found.push(`${named(node)} is covered by ${top ? named(top) : "nothing"}`);
      if (!node.closest(".ribbon-head, .heading") && box.height < 26) found.push(`${named(node)} is only ${box.height} px high`);
    }
  }
  const stop = document.querySelector("#emergency").getBoundingClientRect();
  if (Math.min(stop.width, stop.height) < 90) found.push(`the emergency stop is only ${stop.width} × ${stop.height} px`);
  return found;
});

for (const [width, height] of SIZES) for (const exercise of [exercises.guided, exercises.flat]) {
  test(`at ${width} × ${height} everything of ${exercise} is in view, before and after an emergency stop`, async () => {
    const page = await bench.page({ viewport: { width, height } });
    await start(bench, page, exercise);
    assert.deepEqual(await wrong(page), []);
    await act(page, { act: "press-emergency-stop" });
    await page.waitForSelector("#emergency.pressed");
    await page.waitForSelector(".alarm");
    assert.deepEqual(await wrong(page), []);
    bench.quiet();
    await page.context().close();
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
