// The form in which exercises are made: a copy of one, what is wrong with it beside its control, kept, offered, changed in its place.

import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import path from "node:path";
import { after, before, test } from "node:test";
import { axe, begin, exercises, ready, text } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin({ own: true });
});
after(() => bench.end());

const said = (page, part) => page.waitForFunction((wanted) => document.querySelector("#answer").textContent.includes(wanted), part);
const check = async (page, part) => {
  await page.click("#check");
  await said(page, part);
};
const open = async (page, id) => {
  await page.waitForFunction((wanted) => [...document.querySelectorAll("#from option")].some((one) => one.value === wanted), id);
  await page.selectOption("#from", id);
  await page.click("#open");
  await page.waitForSelector("#fields input");
};
const field = (list, key) => (list ? `[data-list="${list}"] [data-key="${key}"]` : `#fields [data-key="${key}"]`);

test("an exercise is made from another one, mended where it is wrong, kept and done", async () => {
  const page = await bench.page();
  await page.goto(`${bench.url}/instructor`);
  await page.click("text=Exercises");
  await open(page, exercises.blocks);
  await check(page, "Nothing is wrong: 100 points can be had.");

  // What is wrong is told beside its control, and in a list that leads there.
  await page.locator(field("events", "step")).fill("9");
  await check(page, "1 thing is wrong");
  assert.match(await text(page, '[data-list="events"] .wrong'), /has no step 9; expected a step from 1 to 2/);
  await page.click("#errors button");
  assert.equal(await page.evaluate(() => document.activeElement.dataset.key), "step");
  assert.deepEqual(await axe(page), [], "with an error");
  await page.locator(field("events", "step")).fill("2");
  await page.locator(field("expected", "component")).nth(4).selectOption("pump");
  await check(page, "1 thing is wrong");
  assert.match(await text(page, '[data-list="expected"] .wrong'), /`pump` never fails in this exercise/);
  await page.locator(field("expected", "component")).nth(4).selectOption("slurry-line");
  await check(page, "Nothing is wrong");
  assert.equal(await page.locator(".wrong, [aria-invalid]").count(), 0);

  // An entry out, another one in, one up: the text says so.
  const ids = () => page.locator(field("expected", "id")).evaluateAll((all) => all.map((one) => one.value));
  const before = await ids();
  await page.click('[data-add="forbidden"]');
  await check(page, "wrong");
  await page.locator('[data-list="forbidden"] > fieldset').last().locator("button", { hasText: "Take out" }).click();
  await page.locator('[data-list="expected"] > fieldset').nth(3).locator("button", { hasText: "Up" }).click();
  assert.deepEqual(await ids(), [before[0], before[1], before[3], before[2], ...before.slice(4)]);
  await check(page, "Nothing is wrong: 100 points");

  await page.fill(field(null, "id"), "our-line");
  await page.fill(field(null, "title"), "Our slurry line <b>blocks</b> (invented)");
  await page.click("#keep");
  await said(page, 'Kept as "our-line", 100 points.');
  const file = await readFile(path.join(bench.own, "our-line.toml"), "utf8");
  assert.match(file, /^# Made in the page of exercises\.\nformat = "scenario-1"\nid = "our-line"\n/);
  assert.match(file, /title = "Our slurry line <b>blocks<\/b> \(invented\)"/);

  // Operators find it without a restart, and a machine is there for it.
  const operator = await bench.page();
  await operator.goto(`${bench.url}/?seed=1`);
  await operator.check('#exercises input[value="our-line"]');
  assert.match(await operator.innerText("#exercises"), /Our slurry line <b>blocks<\/b>/);
  await operator.fill("#trainee", "Test");
  await operator.click("#begin button[type=submit]");
  await ready(operator);
  await operator.context().close();

  for (const [width, height] of [[1280, 800], [1024, 768], [820, 1180], [1920, 1080]]) {
    await page.setViewportSize({ width, height });
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `wider than ${width} px`);
    const small = await page.locator("#fields button, #fields input, #fields select, .keys button").evaluateAll((all) => all.filter((one) => one.checkVisibility() && one.getBoundingClientRect().height < 44).length);
    assert.equal(small, 0, `controls too small for a finger at ${width}`);
  }
  assert.deepEqual(await axe(page), []);
  bench.quiet();
  await page.context().close();
});

test("what was made here is changed in its place, but not over somebody else's change", async () => {
  const [page, other] = [await bench.page(), await bench.page()];
  for (const desk of [page, other]) {
    await desk.goto(`${bench.url}/exercises`);
    await open(desk, "our-line");
    await said(desk, "it is changed in its place");
    assert.equal(await desk.inputValue(field(null, "id")), "our-line");
  }
  await page.fill(field(null, "pass"), "90");
  await page.click("#keep");
  await said(page, 'Kept as "our-line"');
  assert.match(await readFile(path.join(bench.own, "our-line.toml"), "utf8"), /\npass = 90\n/);
  await page.fill(field(null, "pass"), "95");
  await page.click("#keep");
  await page.waitForTimeout(300);
  await said(page, 'Kept as "our-line"');
  bench.quiet();
  await other.fill(field(null, "pass"), "10");
  await other.click("#keep");
  await said(other, "was changed by somebody else meanwhile");
  assert.match(await readFile(path.join(bench.own, "our-line.toml"), "utf8"), /\npass = 95\n/);
  // The refusal itself is what the browser complains of.
  assert.ok(bench.faults.splice(0).every((fault) => /409/.test(fault)));
  await page.context().close();
  await other.context().close();
});

test("a blank form asks for everything, and a file that is broken by hand is told", async () => {
  const page = await bench.page();
  await writeFile(path.join(bench.own, "by-hand.toml"), "format = \"scenario-1\"\nid = \"by-hand\"\n");
  await page.goto(`${bench.url}/exercises`);
  await page.waitForSelector("#broken:not([hidden])");
  assert.match(await text(page, "#broken"), /by-hand\.toml\s+line \d+: /);
  await open(page, "");
  await page.click("#check");
  await said(page, "things are wrong");
  const told = await page.locator("#errors li").allInnerTexts();
  assert.deepEqual(told, [
    "`id` and `title` are missing at the top, before the first table",
    "`recipe`, `brief` and `practise` are missing in `training`",
    "`id`, `text`, one of `act`, `reaches`, `within` and `points` are missing in `training`, `expected` entry 1",
  ]);
  // Of an act's keys only those stand there that go with it.
  await page.locator(field("expected", "act|reaches")).selectOption("0");
  await page.locator(field("expected", "act")).selectOption("recall-recipe");
  const shown = await page.locator('[data-list="expected"] [data-parameter]').evaluateAll((all) => all.filter((one) => one.checkVisibility()).map((one) => one.dataset.key));
  assert.deepEqual(shown, ["slot", "not-slot"]);
  assert.deepEqual(await axe(page), []);
  bench.quiet();
  await page.context().close();
});
