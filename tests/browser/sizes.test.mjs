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
