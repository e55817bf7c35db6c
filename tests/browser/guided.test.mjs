// Somebody who has never seen the page completes the guided cycle with nothing but the page: by pointer, and by keyboard alone.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { act, begin, exercises, finishAttempt, follow, pace, ready, start, state, step, watch } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

// Longest way through the guided cycle, ms.
const LONGEST = 120000;

// Goes from step to step by what the page says until no step is left. Gives the steps seen.
async function through(page, press) {
  const seen = [];
  const until = Date.now() + LONGEST;
  let last = "";
  let tried = 0;
  while (Date.now() < until) {
    const now = await step(page);
    if (!now.includes("Step")) return seen;
    if (now !== last) {
      last = now;
      tried = 0;
      seen.push(Number(now.match(/Step (\d+)/)[1]));
    }
    // A step that has been done may take the machine a moment; it is not done twice in that.
    if (tried === 0 || tried > 40) {
      if (await follow(page, press)) tried = 1;
    } else {
      tried += 1;
    }
    await page.waitForTimeout(50);
  }
  throw new Error(`the guide stays at "${last}": ${await page.innerText("#task-text")}`);
}

test("by pointer: every step in turn, to Complete, unloaded, measured, passed", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.guided, { trainee: "Never Seen It" });
  await pace(page, "5x");
  const of = Number((await step(page)).match(/of (\d+)/)[1]);
  await pace(page, "20x");
  const seen = await through(page, act);
  assert.equal(seen[0], 1);
  assert.equal(seen.at(-1), of, `all ${of} steps came: ${seen}`);
  assert.ok(await page.locator(".news.kind-found").count(), "what was found at unloading is told");
  assert.ok(await page.isVisible("#found"), "and shown");
  const bands = await page.locator("#found svg.bands").evaluateAll((all) => all.map((one) => one.getAttribute("aria-label")));
  assert.equal(bands.length, 4, "both faces of the worst part under an optical flat, laid on and tipped");
  for (const label of bands) assert.match(label, /face, flat (laid on|tipped by 5 bands): .*helium light/);
  const attempt = await finishAttempt(page);
  await page.click("#to-debrief");
  await page.waitForSelector(".verdict.good");
  assert.match(await page.innerText(".verdict"), /passed[\s\S]*Never Seen It/);
  assert.match(page.url(), new RegExp(`/debrief/${attempt}\\?station=`));
  bench.quiet();
  await page.context().close();
});

// Moves the focus to a control with Tab alone, like a hand that has no pointer.
async function tabTo(page, selector) {
  for (let i = 0; i < 120; i += 1) {
    if (await page.evaluate((wanted) => document.activeElement?.matches(wanted), selector)) return;
    await page.keyboard.press("Tab");
  }
  throw new Error(`Tab does not reach ${selector}`);
}

async function byKeys(page, what) {
  if (what.act === "confirm-parts") {
    await tabTo(page, "#pieces");
    await page.keyboard.press("Control+a");
    await page.keyboard.type(String(what.pieces));
  } else if (what.act === "recall-recipe") {
    await tabTo(page, "#slot");
    for (let i = 0; i < what.slot; i += 1) await page.keyboard.press("ArrowDown");
  }
  const selector = what.act === "understood" ? "#understood" : `[data-act="${what.act}"]`;
  await tabTo(page, selector);
  await page.keyboard.press(what.act === "confirm-parts" ? "Enter" : "Space");
}

test("by keyboard alone: from the list of exercises to the debrief, with the focus always to be seen", async () => {
  const page = await bench.page();
  await page.goto(`${bench.url}/?seed=1`);
  await page.waitForSelector("#exercises input");
  await tabTo(page, "#exercises input");
  const wanted = await page.locator("#exercises input").evaluateAll((all, id) => all.findIndex((one) => one.value === id), exercises.guided);
  const at = await page.locator("#exercises input").evaluateAll((all) => all.findIndex((one) => one.checked));
  for (let i = at; i < wanted; i += 1) await page.keyboard.press("ArrowDown");
  await tabTo(page, "#trainee");
  await page.keyboard.type("Keys Only");
  await page.keyboard.press("Enter");
  await ready(page);

  await tabTo(page, '.skips a[href="#emergency"]');
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement.id), "emergency", "the first stop of Tab leads to the emergency stop");
  assert.notEqual(await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle), "none", "the focus is to be seen");

  await tabTo(page, '#pace [data-pace="20x"]');
  await page.keyboard.press("Space");
  await page.waitForSelector('#pace [data-pace="20x"][aria-pressed=true]');
  await through(page, byKeys);
  await tabTo(page, "#finish");
  await page.keyboard.press("Enter");
  await page.waitForSelector("#ended[open]");
  await tabTo(page, "#to-debrief");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".verdict.good");
  bench.quiet();
  await page.context().close();
});

test("hold-to-run moves only while it is held: by pointer, by Space, and never after the page is left", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.loaded);
  await act(page, { act: "setup-key", on: true });
  await page.waitForSelector('[data-act="setup-key"][aria-pressed=true]');
  await act(page, { act: "set-mode", mode: "setup" });
  await page.waitForSelector('[data-mode="setup"][aria-pressed=true]');
  await act(page, { act: "select-move", movement: "purge" });
  await page.waitForSelector('[data-move="purge"][aria-pressed=true]');
  const held = () => page.waitForSelector('[data-act="hold-to-run"].held');
  const free = () => page.waitForSelector('[data-act="hold-to-run"]:not(.held)');

  await act(page, { act: "hold-to-run", on: true });
  await held();
  const seen = await page.evaluate(() => {
    const held = getComputedStyle(document.querySelector('[data-act="hold-to-run"]'));
    return [held.color, held.backgroundColor];
  });
  assert.deepEqual(seen, ["rgb(255, 255, 255)", "rgb(47, 54, 60)"], "readable while it is held, under the pointer too");
  await page.waitForFunction(() => document.querySelector("#panel").dataset.phase === "manual");
  await page.waitForSelector('.lamp.on[data-lamp="pump"]');
  await act(page, { act: "hold-to-run", on: false });
  await free();
  await page.waitForSelector('.lamp:not(.on)[data-lamp="pump"]');

  await page.focus('[data-act="hold-to-run"]');
  await page.keyboard.down("Space");
  await held();
  await page.keyboard.up("Space");
  await free();

  await page.keyboard.down("Space");
  await held();
  await page.evaluate(() => dispatchEvent(new Event("blur")));
  await free();
  await page.keyboard.up("Space");
  assert.equal(await state(page), "Idle");
  bench.quiet();
  await page.context().close();
});

test("a new state and a new step of the guide are told to who cannot see them", async () => {
  const page = await bench.page();
  await start(bench, page, exercises.guided);
  await page.evaluate(() => {
    globalThis.told = [];
    const look = new MutationObserver((all) => globalThis.told.push(...all.map(({ target }) => target.parentElement?.closest("[aria-live=polite]") ?? target.closest?.("[aria-live=polite]")).filter(Boolean).map((node) => node.textContent)));
    look.observe(document.body, { subtree: true, childList: true, characterData: true });
  });
  await act(page, { act: "reset" });
  await page.waitForFunction(() => globalThis.told.includes("Idle") && globalThis.told.some((text) => /guard/i.test(text)));
  bench.quiet();
  await page.context().close();
});

// A page that hangs, or a line that is lost, lets go: somebody else sees the control free within half a second.
test("hold-to-run is let go within half a second when the page hangs", async () => {
  const page = await bench.page();
  const station = await start(bench, page, exercises.loaded);
  await act(page, { act: "setup-key", on: true });
  await page.waitForSelector('[data-act="setup-key"][aria-pressed=true]');
  const watcher = await bench.page();
  await watcher.goto(`${bench.url}/`);
  await watcher.evaluate(() => {
    globalThis.held = [];
    globalThis.seen = ({ switches }) => {
      const now = switches.hold_to_run;
      if (globalThis.held.at(-1)?.now !== now) globalThis.held.push({ now, at: Date.now() });
    };
  });
  await watch(watcher, station);
  await act(page, { act: "hold-to-run", on: true });
  await page.waitForSelector('[data-act="hold-to-run"].held');
  // As long as the page lives it stays held.
  await page.waitForTimeout(1500);
  assert.equal(await watcher.evaluate(() => globalThis.held.at(-1).now), true);
  const hung = await page.evaluate(() => {
    const from = Date.now();
    while (Date.now() - from < 2000);
    return from;
  });
  const held = await watcher.evaluate(() => globalThis.held);
  const free = held.find(({ now, at }) => !now && at > hung);
  assert.ok(free, JSON.stringify(held));
  assert.ok(free.at - hung < 600, `${free.at - hung} ms, of which 100 for the frame`);
  await page.mouse.up();
  bench.quiet();
  await page.context().close();
  await watcher.context().close();
});
