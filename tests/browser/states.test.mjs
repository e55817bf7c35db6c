// Every state that an operator and an instructor come to in a day, on every size of screen and in every language: nothing is cut, covered or
// over something else; and axe-core finds nothing in either look. PICTURES=FOLDER keeps a picture of each.

import assert from "node:assert/strict";
import path from "node:path";
import { after, before, test } from "node:test";
import { SIZES, unread, wrong } from "./layout.mjs";
import { act, axe, begin, byTheBook, exercises, finishAttempt, pace, start, untilAlarm, untilPhase } from "./lib.mjs";

const pictures = process.env.PICTURES;
let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

// Layout at every size, then roles, names and contrast in both looks, where words make no difference in one language.
async function looked(page, what, part = "#shop") {
  const { width, height } = page.viewportSize();
  for (const [wide, high] of SIZES) {
    await page.setViewportSize({ width: wide, height: high });
    // Two frames: what measures itself has done so.
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    if (pictures) await page.screenshot({ path: path.join(pictures, `${await page.getAttribute("html", "lang")} ${what} ${wide}.png`) });
    const found = [...(part === "#shop" ? await wrong(page) : await broad(page)), ...(await unread(page, part))];
    assert.deepEqual(found, [], `${what} at ${wide} × ${high}`);
  }
  await page.setViewportSize({ width, height });
  if ((await page.getAttribute("html", "lang")) !== "en") return;
  const was = await page.evaluate(() => document.documentElement.dataset.theme);
  for (const theme of ["light", "dark"]) {
    await page.evaluate((wanted) => { document.documentElement.dataset.theme = wanted; }, theme);
    assert.deepEqual(await axe(page), [], `${what}, ${theme}`);
  }
  await page.evaluate((wanted) => { document.documentElement.dataset.theme = wanted; }, was);
}

const broad = (page) => page.evaluate(() => (document.documentElement.scrollWidth > innerWidth ? [`the page is ${document.documentElement.scrollWidth} px wide`] : []));
const open = (locale) => bench.page({ locale });
const untilData = (page, name, value) => page.waitForSelector(`#panel[data-${name}="${value}"]`, { timeout: 60000 });

async function over(page) {
  bench.quiet();
  await page.context().close();
}

for (const locale of ["en-US", "de-DE", "es-ES"]) {
  test(`${locale}: a cycle from the list of exercises to the debrief`, async () => {
    const page = await open(locale);
    await page.goto(`${bench.url}/`);
    await page.waitForSelector("#exercises input");
    await page.check(`#exercises input[value="${exercises.loaded}"]`);
    await looked(page, "choosing", "#lobby");
    await start(bench, page, exercises.loaded);
    await looked(page, "idle");
    for (const what of byTheBook.slice(0, 4)) await act(page, what);
    await page.waitForFunction(() => document.querySelector('[data-lamp="loaded"].on'));
    await looked(page, "parts laid in, guard open");
    for (const what of byTheBook.slice(4)) {
      await act(page, what);
      await page.waitForTimeout(150);
    }
    await pace(page, "20x");
    await untilPhase(page, "dwell", 60000);
    await pace(page, "1x");
    await looked(page, "running");
    await act(page, { act: "hold" });
    await untilData(page, "state", "held");
    await looked(page, "held");
    await act(page, { act: "reset" });
    await page.waitForSelector(".answer:not([hidden])");
    await looked(page, "held, and refused");
    await page.click(".answer:not([hidden])");
    await act(page, { act: "restart" });
    await pace(page, "20x");
    await untilData(page, "state", "complete");
    await pace(page, "1x");
    await looked(page, "complete");
    for (const word of ["unlock-guard", "open-guard", "unload-carriers"]) {
      await act(page, { act: word });
      await page.waitForTimeout(150);
    }
    await page.waitForSelector("#found:not([hidden])");
    await looked(page, "parts taken out and laid under the flat");
    await finishAttempt(page);
    await looked(page, "over");
    await page.click("#to-debrief");
    await page.waitForSelector(".time-line");
    await looked(page, "debrief", "body");
    await over(page);
  });

  test(`${locale}: a fault, its alarms, a remedy under way, Setup`, async () => {
    const page = await open(locale);
    await start(bench, page, exercises.loaded);
    await act(page, { act: "press-emergency-stop" });
    await untilAlarm(page, 1);
    await looked(page, "emergency stop");
    await act(page, { act: "release-emergency-stop" });
    await page.click(".alarms .heading button:last-child");
    await page.waitForSelector("dialog[open] tbody tr");
    await looked(page, "all interlocks", "dialog[open]");
    await page.keyboard.press("Escape");
    await act(page, { act: "remedy", component: "pump" });
    await untilData(page, "at-work", "yes");
    await looked(page, "at work");
    await pace(page, "20x");
    await untilData(page, "at-work", "no");
    await pace(page, "1x");
    await act(page, { act: "reset" });
    await untilData(page, "state", "idle");
    await act(page, { act: "set-mode", mode: "setup" });
    await act(page, { act: "setup-key", on: true });
    await act(page, { act: "select-move", movement: "lower" });
    await looked(page, "Setup");
    const watcher = await open(locale);
    await watcher.goto(page.url());
    await watcher.waitForSelector("#seat:not([hidden])");
    await looked(watcher, "watching");
    await watcher.context().close();
    await over(page);
  });

  test(`${locale}: what operators do besides, and an assessment`, async () => {
    for (const exercise of [exercises.inspected, exercises.tended, exercises.handover, exercises.drawn]) {
      const page = await open(locale);
      await start(bench, page, exercise, { seed: null });
      await looked(page, exercise);
      await over(page);
    }
  });

  test(`${locale}: the instructor's pages`, async () => {
    const page = await open(locale);
    const station = await start(bench, page, exercises.loaded, { trainee: "Maximiliane Oberhollenzer" });
    const desk = await open(locale);
    await desk.goto(`${bench.url}/instructor`);
    await desk.waitForSelector(`[data-station="${station}"] button`);
    await looked(desk, "instructor, list", "body");
    await desk.click(`[data-station="${station}"] button`);
    await desk.waitForFunction(() => document.querySelector("#opened .time-value")?.textContent);
    await looked(desk, "instructor, opened", "body");
    await finishAttempt(page);
    await desk.goto(`${bench.url}/class`);
    await desk.waitForSelector("#class .ready");
    await looked(desk, "class", "body");
    await desk.goto(`${bench.url}/exercises`);
    await desk.waitForFunction(() => document.querySelectorAll("#from option").length > 1);
    await desk.click("#open");
    await desk.waitForSelector("#fields input");
    await looked(desk, "exercises", "body");
    await desk.context().close();
    await over(page);
  });
}
