// Makes the two pictures of the README anew: `TWINPLATE=target/release/twinplate node tests/browser/pictures.mjs`.

import path from "node:path";
import { act, begin, finishAttempt, pace, root, start, untilAlarm, untilPhase, untilState } from "./lib.mjs";

const image = (name) => path.join(root, "docs/img", name);
// Thinks for a while, simulated s at 1×.
const thinks = (page, seconds) => page.waitForTimeout(1000 * seconds);

const bench = await begin();
try {
  const page = await bench.page();
  await start(bench, page, "slurry-line-blocks", { trainee: "Trainee A" });
  await act(page, { act: "confirm-parts", pieces: 15 });
  await thinks(page, 1);
  await act(page, { act: "start" });
  await pace(page, "20x");
  await untilPhase(page, "dwell", 60000);
  await pace(page, "1x");
  await untilAlarm(page, 18, 120000);
  await thinks(page, 0.25);
  await page.screenshot({ path: image("train-panel.png") });

  await untilState(page, "Stopped", 60000);
  await thinks(page, 3);
  await act(page, { act: "acknowledge" });
  await thinks(page, 2.5);
  // The mistake of the picture: what has not been put right is started again.
  await act(page, { act: "start" });
  await thinks(page, 6);
  await act(page, { act: "check-slurry" });
  await thinks(page, 5);
  await act(page, { act: "remedy", component: "slurry-line" });
  // Somebody is at work on it for some minutes.
  await page.waitForSelector('#panel[data-at-work="yes"]');
  await pace(page, "20x");
  await page.waitForSelector('#panel[data-at-work="no"]', { timeout: 60000 });
  await pace(page, "1x");
  for (const [word, after] of [["reset", 2], ["raise", 1.5]]) {
    await thinks(page, after);
    await act(page, { act: word });
  }
  await thinks(page, 1);
  await pace(page, "5x");
  await untilPhase(page, "rest", 60000);
  for (const word of ["reset", "unlock-guard", "open-guard", "unload-carriers"]) {
    await thinks(page, 0.6);
    await act(page, { act: word });
  }
  await thinks(page, 1);
  await finishAttempt(page);
  await page.setViewportSize({ width: 1280, height: 1020 });
  await page.click("#to-debrief");
  await page.waitForSelector(".time-line");
  await page.screenshot({ path: image("train-debrief.png") });
} finally {
  await bench.end();
}
