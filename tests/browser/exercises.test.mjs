// Every exercise, with a right and with a wrong response, by the page's own controls: the scripts beside the exercises are done by
// hand here, and the debrief must show what the script says that they are worth.

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import path from "node:path";
import { after, before, test } from "node:test";
import { act, begin, finishAttempt, pace, root, seconds, start } from "./lib.mjs";

const folder = path.join(root, "recipes/exercises/scripts");
// Pages that run at the same time: two cores draw no more.
const TOGETHER = 6;
// Longest wait for a phase, a state or an alarm, ms.
const LONGEST = 300000;

const parameter = { "confirm-parts": ["pieces", Number], "recall-recipe": ["slot", Number], "remedy": ["component", String], "set-mode": ["mode", String],
  "select-move": ["movement", String], "setup-key": ["on", (text) => text === "on"], "hold-to-run": ["on", (text) => text === "on"] };

// A script's lines, as `twinplate train --headless` reads them.
function parse(text) {
  const script = { expects: {}, steps: [] };
  for (const whole of text.split("\n")) {
    const line = whole.replace(/#.*/, "").trim();
    if (!line) continue;
    const [word, ...rest] = line.split(/\s+/);
    if (word === "exercise") [script.exercise] = rest;
    else if (word === "expect") script.expects[rest[0]] = rest.slice(1).join(" ");
    else if (word === "seed") script.seed = Number(rest[0]);
    else script.steps.push(line);
  }
  return script;
}

async function wait(page, line) {
  const at = line.match(/^(\+?)([\d.]+) s$/);
  if (at) {
    const until = Number(at[2]) + (at[1] ? await seconds(page) : 0);
    await page.waitForFunction((time) => document.querySelector(".time-value").textContent.split(":").reduce((sum, part) => sum * 60 + Number(part), 0) >= time || document.querySelector("#ended[open]"), until, { timeout: LONGEST, polling: 20 });
    return;
  }
  const [, kind, word] = line.match(/^wait (?:(state|row|step) )?(\S+)/);
  await page.waitForFunction(([what, name]) => {
    const { phase, state, step } = document.querySelector("#panel").dataset;
    if (what === "step") return phase === "dwell" && step === name;
    if (what === "state") return state.toLowerCase() === name;
    if (what === "row") return [...document.querySelectorAll(".alarm")].some((alarm) => alarm.dataset.name === name);
    return phase === name;
  }, [kind ?? "phase", word], { timeout: LONGEST, polling: 20 });
}

const FACTORS = [["20x", 20], ["5x", 5], ["1x", 1]];
// Simulated time that may pass unseen while the page answers, s: at an alarm, and between two things done.
const UNSEEN = { alarm: 5, act: 2 };

// The scripts count simulated seconds, and a busy computer answers late: time then goes slower, so that a hand here is as quick as a
// person's. On an idle one everything goes at 20×.
async function play(page, script) {
  let now = "20x";
  let answer = 0.05;
  let holding = false;
  const timed = async (what) => {
    const from = performance.now();
    await what();
    answer = Math.max(0.6 * answer, (performance.now() - from) / 1000);
  };
  const go = async (unseen) => {
    const [word] = FACTORS.find(([, factor]) => factor * answer <= unseen) ?? FACTORS.at(-1);
    // A hand that holds a control does not go to the clock.
    if (word === now || holding) return;
    await timed(() => pace(page, word));
    now = word;
  };
  for (const line of script.steps) {
    if (line.startsWith("wait ")) {
      await go(line === "wait state complete" ? Infinity : UNSEEN.alarm);
      await wait(page, line);
    } else if (/^(\+|[\d.]+ s$)/.test(line)) {
      await go(UNSEEN.act);
      await wait(page, line);
    } else {
      const [word, value] = line.split(/\s+/);
      const what = { act: word };
      if (parameter[word]) what[parameter[word][0]] = parameter[word][1](value);
      if (word === "hold-to-run") holding = what.on;
      // The next thing is done when this one was taken, not while it is on its way.
      await timed(async () => {
        await act(page, what);
        await page.waitForFunction(() => !document.querySelector("[aria-busy]"), undefined, { polling: 20 });
      });
    }
  }
}

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

const names = (await readdir(folder)).filter((name) => name.endsWith(".txt")).sort();
const scripts = await Promise.all(names.map(async (name) => ({ name, ...parse(await readFile(path.join(folder, name), "utf8")) })));
const exercises = [...new Set(scripts.map((script) => script.exercise))];
const right = (script) => script.expects.lost === "nothing";
// The suite of scripts does them all; here one right and one wrong response of each exercise go through the page. `ALL=1` for all.
const chosen = exercises.flatMap((exercise) => {
  const own = scripts.filter((script) => script.exercise === exercise);
  return process.env.ALL ? own : [own.find((script) => script.name === `${exercise}.txt` && right(script)) ?? own.find(right), own.find((script) => !right(script))];
});

test("every exercise that is offered has a right and a wrong response", async () => {
  const offered = (await readdir(path.join(root, "recipes/exercises"))).filter((name) => name.endsWith(".toml")).map((name) => name.replace(".toml", "")).sort();
  assert.deepEqual([...exercises].sort(), offered);
  assert.equal(chosen.includes(undefined), false, exercises.filter((one) => !scripts.some((script) => script.exercise === one && right(script)) || !scripts.some((script) => script.exercise === one && !right(script))).join());
});

test("by the page's controls each response is worth what its script says", { concurrency: TOGETHER }, async (t) => {
  await Promise.all(chosen.map((script) => t.test(script.name, async () => {
    const page = await bench.page();
    await start(bench, page, script.exercise, { trainee: script.name, seed: script.seed ?? 1 });
    await pace(page, "20x");
    await play(page, script);
    const attempt = (await page.locator("#ended[open]").count()) ? Number((await page.getAttribute("#to-debrief", "href")).match(/\d+/)[0]) : await finishAttempt(page);
    await page.goto(`${bench.url}/debrief/${attempt}`);
    await page.waitForSelector(".verdict");
    const [points] = (await page.innerText(".verdict-points")).split(" ");
    assert.equal(Number(points), Number(script.expects.points), await page.innerText("#debrief"));
    assert.equal(await page.locator(".verdict.good").count() === 1, script.expects.passed === "yes");
    await page.context().close();
  })));
  bench.quiet();
});
