// An assessment from the page: the clock cannot be turned, nothing is told on the way, a diagnosis comes before a remedy.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { act, begin, exercises, finishAttempt, start, text, untilState } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

test("an assessment is drawn by nobody's seed", async () => {
  const page = await bench.page();
  await page.goto(`${bench.url}/?seed=7`);
  await page.check(`#exercises input[value="${exercises.drawn}"]`);
  assert.match(await text(page, "#chosen-facts"), /drawn anew each time/);
  await page.fill("#trainee", "Chooser");
  await page.click("#begin button[type=submit]");
  await page.waitForFunction(() => document.body.innerText.includes("a seed that nobody chooses"));
  await page.context().close();
});

test("in an assessment the clock goes on, a diagnosis comes first, and only the debrief tells", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.drawn, { trainee: "Assessed", seed: null });
  await untilState(page, "Idle");
  assert.equal(await page.locator("#pace button:not(:disabled)").count(), 0, "no pace to choose");

  await act(page, { act: "remedy", component: "pump" });
  await page.waitForFunction(() => document.querySelector(".group.stores .answer").textContent.includes("say first what you think is wrong"));
  await act(page, { act: "diagnose", component: "pump" });
  await act(page, { act: "remedy", component: "pump" });
  // It takes its time, and the machine is locked off meanwhile.
  await page.waitForSelector('#panel[data-at-work="yes"]');
  assert.match(await text(page, ".waits"), /^Being put right: /);
  await act(page, { act: "start" });
  await page.waitForFunction(() => document.body.innerText.includes("has locked the machine off"));

  await finishAttempt(page);
  await page.click("#to-debrief");
  await page.waitForSelector(".verdict");
  const told = await page.innerText("#debrief");
  assert.match(told, /Drawn for this attempt: /);
  assert.match(told, /Diagnosis: pump/);
  assert.equal(await page.locator(".verdict.not").count(), 1);
  await page.context().close();
});
