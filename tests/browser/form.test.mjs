// The form of the plates, reported from the panel: what the controller makes of it, and what it refuses.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { act, begin, exercises, refusal, start, text, untilAlarm, untilState } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

const told = (page) => text(page, ".form-told");
const untilTold = (page, part) => page.waitForFunction((wanted) => document.querySelector(".form-told").textContent.includes(wanted), part);
// Rows of the interlock table: a form beyond the limit, and one that was not reported.
const [LIMIT, OVERDUE] = [49, 50];

test("the form of the plates is reported, turns the rings, and is refused where it must be", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.flat);
  await untilState(page, "Idle");
  assert.match(await told(page), /Recall the recipe first/);
  await act(page, { act: "report-form", lower: 2.4, upper: -1.8 });
  await page.waitForSelector(".group.form .answer:not([hidden])");
  assert.match(await refusal(page, "report-form"), /recall a recipe that keeps the plates flat first/);

  await act(page, { act: "recall-recipe", slot: 1 });
  await untilAlarm(page, OVERDUE);
  await untilTold(page, "Not reported");
  assert.match(await told(page), /Rings: as programmed/);

  await page.fill("#form-lower", "");
  await page.click('[data-act="report-form"]');
  assert.match(await refusal(page, "report-form"), /type what you read of both plates/);

  // No plate has such a form: the controller itself refuses, and nothing has changed.
  await act(page, { act: "report-form", lower: 9000, upper: 0 });
  await page.waitForFunction(() => document.querySelector(".group.form .answer").textContent.includes("refused"));
  assert.match(await told(page), /Not reported/);

  // Beyond the recipe's limit no cycle starts.
  await act(page, { act: "report-form", lower: 8, upper: 0 });
  await untilAlarm(page, LIMIT);
  await act(page, { act: "start" });
  await page.waitForTimeout(500);
  assert.equal(await text(page, ".state-name"), "Idle");

  await act(page, { act: "report-form", lower: 2.4, upper: -1.8 });
  await untilTold(page, "Lower +2.4, upper −1.8 µm, 0 of 3 batches old");
  assert.match(await told(page), /Rings: reversed/);
  bench.quiet();
  await page.context().close();
});
