// The operator's page on a shop screen and on tablets: everything in view, nothing cut, nothing covered.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { act, begin, exercises, pace, start, untilPhase } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

const SIZES = [[1280, 800], [1024, 768], [820, 1180], [1920, 1080]];

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

// Words that are cut short, and words that lie over each other. What scrolls may be longer than its box; what is for readers of the page
// only has no box.
const unread = (page) => page.evaluate(() => {
  const found = [];
  const named = (node) => `${node.tagName.toLowerCase()}.${node.className.baseVal ?? node.className} "${node.textContent.trim().slice(0, 30)}"`;
  const pen = document.createElement("canvas").getContext("2d");
  const visible = (node) => node.checkVisibility({ visibilityProperty: true }) && !node.closest(".unseen, .lamp-state, .task-text, .alarm-list, .news-list, .skips, .now[hidden]");
  const wide = (text, style) => {
    pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    return pen.measureText(text).width;
  };
  for (const field of [...document.querySelectorAll("#shop select, #shop input")].filter(visible)) {
    const style = getComputedStyle(field);
    // A list keeps room for its arrow.
    const room = field.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - (field.tagName === "SELECT" ? 16 : 0);
    const text = field.tagName === "SELECT" ? field.selectedOptions[0]?.text ?? "" : field.value || field.placeholder;
    if (wide(text, style) > room + 1) found.push(`${named(field)}: "${text}" is cut, ${Math.ceil(wide(text, style))} px in ${Math.floor(room)}`);
  }
  const leaves = [];
  const walk = document.createTreeWalker(document.querySelector("#shop"), NodeFilter.SHOW_TEXT);
  for (let text = walk.nextNode(); text; text = walk.nextNode()) {
    const node = text.parentElement;
    if (!text.data.trim() || !visible(node) || node.closest("select, option, title, style") || getComputedStyle(node).clipPath !== "none" || getComputedStyle(node.parentElement).clipPath !== "none") continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    const box = range.getBoundingClientRect();
    if (!box.width) continue;
    for (let around = node; around && around.id !== "shop"; around = around.parentElement) {
      const style = getComputedStyle(around);
      if (style.overflowX === "visible" || around instanceof SVGElement) continue;
      const edge = around.getBoundingClientRect();
      if (box.right > edge.right + 1 || box.left < edge.left - 1 || box.bottom > edge.bottom + 2) found.push(`${named(node)} is cut`);
      break;
    }
    leaves.push([node, box]);
  }
  leaves.forEach(([node, a], index) => {
    for (const [other, b] of leaves.slice(index + 1)) {
      if (node === other || node.contains(other) || other.contains(node)) continue;
      const over = Math.min(Math.min(a.right, b.right) - Math.max(a.left, b.left), Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top));
      if (over > 3) found.push(`${named(node)} and ${named(other)} lie over each other by ${over.toFixed(1)} px`);
    }
  });
  return [...new Set(found)];
});

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
