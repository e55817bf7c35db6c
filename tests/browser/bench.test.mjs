// The operator inspects the parts: what is measured is shown to be read, nothing covers the controls, and what is missing is asked for.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { act, begin, exercises, pace, refusal, start, text, untilState } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

const lines = (page) => page.locator("#found-list > li").allInnerTexts();

// Where a finger would land, each control of a group is what is hit, at the sizes of a panel and of tablets.
async function reached(page, group) {
  for (const [width, height] of [[1280, 800], [1024, 768], [820, 1180]]) {
    await page.setViewportSize({ width, height });
    await page.waitForTimeout(200);
    const covered = await page.evaluate((inside) => [...document.querySelectorAll(`${inside} .key, ${inside} select, ${inside} input`)].filter((control) => {
      const box = control.getBoundingClientRect();
      const hit = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
      return box.height < 44 || !(hit === control || control.contains(hit));
    }).map((control) => control.dataset.act ?? control.id), group);
    assert.deepEqual(covered, [], `${width} x ${height}`);
  }
}

test("what is done at the machine between cycles is chosen, takes its time, and says what came of it", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.tended);
  await page.click('[data-act="work"]');
  assert.match(await refusal(page, "work"), /choose what to do at the machine first/);
  await act(page, { act: "work", task: "lay-straightedge" });
  await page.waitForFunction(() => document.querySelector(".group.bench .answer").textContent.includes("the guard is closed"));
  await act(page, { act: "work", task: "sample-slurry" });
  await page.waitForFunction(() => document.querySelector("#panel").textContent.includes("Under way: sample the slurry"));
  await pace(page, "20x");
  await page.waitForFunction(() => document.querySelector("#found-list").textContent.includes("By weight the slurry holds"), undefined, { timeout: 20000 });
  assert.match(await text(page, "#found-list"), /1[123]\.\d % of grains.*worn round/s);
  await reached(page, ".group.bench");
  bench.quiet();
  await page.context().close();
});

test("the shift book is told, and what is handed over is chosen from what could be said", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.handover);
  await page.waitForFunction(() => document.body.textContent.includes("Shift book: 05:20 agitator was off"));
  await page.click('[data-act="hand-over"]');
  assert.match(await refusal(page, "hand-over"), /choose what to hand over first/);
  await act(page, { act: "hand-over", statement: "gauge-open" });
  await page.waitForFunction(() => document.body.textContent.includes("Handed over: The size gauge reads high"));
  await reached(page, ".group.bench");
  bench.quiet();
  await page.context().close();
});

test("parts are measured, laid under the flat, and judged at the bench", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.inspected);
  assert.match(await text(page, '[data-act="unload-carriers"]'), /^Unload$/);

  // What nobody typed or chose is asked for, and nothing is sent.
  await page.click('[data-act="measure-parts"]');
  assert.match(await refusal(page, "measure-parts"), /type how many parts to measure/);
  await page.click('[data-act="judge-parts"]');
  assert.match(await refusal(page, "judge-parts"), /choose what you find of the parts first/);
  await act(page, { act: "measure-parts", parts: 3 });
  await page.waitForFunction(() => document.querySelector(".group.bench .answer").textContent.includes("no lapped parts lie on the bench"));

  await act(page, { act: "confirm-parts", pieces: 15 });
  await act(page, { act: "start" });
  await pace(page, "20x");
  await untilState(page, "Complete", 60000);
  await pace(page, "1x");
  for (const word of ["unlock-guard", "open-guard", "unload-carriers"]) {
    await act(page, { act: word });
    await page.waitForTimeout(300);
  }
  await page.waitForSelector("#found:not([hidden])");
  assert.equal((await lines(page)).some((line) => line.includes("µm")), false, "no size is told that nobody measured");

  await act(page, { act: "measure-parts", parts: 3 });
  await page.waitForFunction(() => document.querySelectorAll("#found-list > li").length === 4);
  const told = (await lines(page)).slice(1);
  for (const line of told) assert.match(line, /^Part \d+ \(carrier \d\): (\d+\.\d(; )?){5} µm\.$/);
  await act(page, { act: "lay-flat" });
  await page.waitForSelector("#found-list svg, #found-list canvas, #found-list img");

  await reached(page, ".group.bench");

  await act(page, { act: "judge-parts", verdict: "too-thin" });
  await page.waitForFunction(() => document.querySelector("#panel").textContent.includes("Reset ends the batch"));
  bench.quiet();
  await page.context().close();
});
