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

  for (const [width, height] of [[1280, 800], [1024, 768], [820, 1180]]) {
    await page.setViewportSize({ width, height });
    await page.waitForTimeout(200);
    // Where a finger would land, each control of the bench is what is hit.
    const covered = await page.evaluate(() => [...document.querySelectorAll(".group.bench .key, .group.bench select, .group.bench input")].filter((control) => {
      const box = control.getBoundingClientRect();
      const hit = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
      return box.height < 44 || !(hit === control || control.contains(hit));
    }).map((control) => control.dataset.act ?? control.id));
    assert.deepEqual(covered, [], `${width} x ${height}`);
  }

  await act(page, { act: "judge-parts", verdict: "too-thin" });
  await page.waitForFunction(() => document.querySelector("#panel").textContent.includes("Reset ends the batch"));
  bench.quiet();
  await page.context().close();
});
