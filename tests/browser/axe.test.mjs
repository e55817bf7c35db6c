// Roles, names, contrast: axe-core finds nothing on any page in its main states.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { judge } from "./contrast.mjs";
import { act, axe, begin, exercises, finishAttempt, start } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

// In both looks; the page is left in the one it had.
async function clean(page, what) {
  const was = await page.evaluate(() => document.documentElement.dataset.theme);
  for (const theme of ["light", "dark"]) {
    await page.evaluate((wanted) => { document.documentElement.dataset.theme = wanted; }, theme);
    assert.deepEqual(await axe(page), [], `${what}, ${theme}`);
  }
  await page.evaluate((wanted) => { document.documentElement.dataset.theme = wanted; }, was);
}

test("the check itself can fail", async () => {
  const page = await bench.page();
  await page.goto(`${bench.url}/`);
  await page.evaluate(() => {
    const low = document.createElement("p");
    low.textContent = "hardly seen";
    low.style.color = "#bbb";
    document.querySelector("main").append(low, document.createElement("button"));
  });
  const found = (await axe(page)).join();
  assert.match(found, /color-contrast/);
  assert.match(found, /button-name/);
  // What it cannot judge is judged by the pixels.
  await page.evaluate(() => {
    const weak = document.createElement("p");
    weak.id = "weak";
    weak.textContent = "hardly seen either";
    weak.style = "color:#bbb;background:linear-gradient(#fff,#fefefe);position:fixed;left:0;top:0;width:700px;padding:20px;z-index:99";
    document.body.append(weak);
  });
  assert.match((await axe(page)).join("\n"), /contrast 1\.9\d: #weak/);
  const { judged } = await judge(page, ["#weak", "h1", "#nobody"]);
  assert.equal(judged, 1, "only what is in view and not covered");
  await page.context().close();
});

test("operator's page: choosing, guided step, refusal, emergency stop, all interlocks, watching, lost, over", async () => {
  const page = await bench.page();
  await page.goto(`${bench.url}/`);
  await page.waitForSelector("#exercises input");
  await clean(page, "choosing");
  const station = await start(bench, page, exercises.guided);
  await clean(page, "guided step");
  await act(page, { act: "restart" });
  await page.waitForSelector(".answer:not([hidden])");
  await clean(page, "refusal");
  await act(page, { act: "press-emergency-stop" });
  await page.waitForSelector("#emergency.pressed");
  await page.waitForSelector(".alarm");
  await clean(page, "emergency stop");
  await page.click("text=All interlocks");
  await page.waitForSelector("dialog[open] tbody tr");
  const { rows } = await (await fetch(`${bench.url}/api/vocabulary`)).json();
  assert.equal(await page.locator("dialog[open] tbody tr").count(), rows.length);
  await clean(page, "all interlocks");
  await page.keyboard.press("Escape");
  const watcher = await bench.page();
  await watcher.goto(`${bench.url}/?station=${station}`);
  await watcher.waitForSelector("#seat:not([hidden])");
  await watcher.waitForSelector(".alarm");
  await clean(watcher, "watching");
  await watcher.context().close();
  bench.quiet();
  await page.context().close();
});

test("instructor's page and debrief", async () => {
  const page = await bench.page();
  const station = await start(bench, page, exercises.loaded, { trainee: "<b onclick=alert(1)>Bo</b>" });
  const desk = await bench.page();
  await desk.goto(`${bench.url}/instructor`);
  await clean(desk, "instructor, list");
  await desk.click(`[data-station="${station}"] button`);
  await desk.waitForFunction(() => document.querySelector("#opened .time-value")?.textContent);
  await clean(desk, "instructor, opened");
  assert.match(await desk.innerText("#opened-title"), /^<b onclick=alert\(1\)>Bo<\/b>: /, "a name is text, never markup");
  const attempt = await finishAttempt(page);
  await clean(page, "over");
  await page.click("#to-debrief");
  await page.waitForSelector(".time-line");
  await clean(page, "debrief");
  assert.equal(await page.locator(".signatures").isVisible(), false, "for paper");
  await page.emulateMedia({ media: "print" });
  assert.match(await page.innerText(".signatures"), new RegExp(`Attempt ${attempt}, exercise ${exercises.loaded}, seed \\d+, run 0x[0-9a-f]{16}\\. Printed `));
  assert.equal(await page.locator(".sign").count(), 2);
  await clean(page, "debrief on paper");
  bench.quiet();
  await page.context().close();
  await desk.context().close();
});

test("light or dark: as the device asks, or as it was chosen; paper is white", async () => {
  const page = await bench.page({ colorScheme: "dark" });
  const theme = () => page.evaluate(() => document.documentElement.dataset.theme);
  const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor.match(/\d+/g).reduce((sum, part) => sum + Number(part), 0) / 3);
  await page.goto(`${bench.url}/`);
  assert.equal(await theme(), "dark");
  assert.ok(await ground() < 60);
  await page.emulateMedia({ colorScheme: "light" });
  await page.waitForFunction(() => document.documentElement.dataset.theme === "light");
  assert.ok(await ground() > 200);
  await page.click(".theme");
  assert.equal(await theme(), "dark");
  assert.equal(await page.innerText(".theme"), "Light");
  // Kept on every page, until it is chosen otherwise.
  for (const at of ["/instructor", "/class", "/exercises"]) {
    await page.goto(`${bench.url}${at}`);
    assert.equal(await theme(), "dark", at);
    await clean(page, at);
  }
  await page.emulateMedia({ media: "print" });
  assert.ok(await ground() > 200, "paper");
  bench.quiet();
  await page.context().close();
});
