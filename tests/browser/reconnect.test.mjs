// A lost connection in the middle of a dwell: the page says so, acts on nothing, comes back by itself and has missed nothing.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { begin, cycleTo, exercises, pace, seconds, start } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

test("a connection lost in mid-dwell is shown, acts on nothing, and comes back with its seat and all news", async () => {
  const page = await bench.page();
  const cut = { block: false, sockets: [] };
  await page.routeWebSocket(/\/ws\//, (socket) => {
    if (cut.block) {
      socket.close();
      return;
    }
    const server = socket.connectToServer();
    cut.sockets.push([socket, server]);
  });
  await start(bench, page, exercises.loaded);
  await cycleTo(page, "dwell");
  const before = await seconds(page);
  const newsBefore = await page.locator(".news").count();

  cut.block = true;
  for (const [socket, server] of cut.sockets) {
    await server.close();
    await socket.close();
  }
  await page.waitForSelector("#banner:not([hidden])");
  assert.match(await page.innerText("#banner"), /connection lost/i);
  assert.ok(await page.locator("#station.lost").count(), "what is old is marked as old");
  const pressable = await page.locator("#deck button:not(:disabled)").count();
  assert.equal(pressable, 0, "no control can be pressed, the emergency stop neither: it would promise what it cannot do");

  // What happens meanwhile must not be missed: the machine goes on without the page.
  await page.waitForTimeout(1500);
  cut.block = false;
  await page.waitForSelector("#banner", { state: "hidden" });
  await page.waitForFunction(() => !document.querySelector('[data-act="hold"]').disabled);
  // The first frame after the seat is taken shows how far time went on without the page.
  await page.waitForFunction((was) => document.querySelector(".time-value").textContent.split(":").reduce((sum, part) => sum * 60 + Number(part), 0) > was + 1, before);

  await page.click('[data-act="hold"]');
  await page.waitForFunction((count) => document.querySelectorAll(".news").length > count, newsBefore);
  const numbers = await page.$$eval(".news", (all) => all.map((one) => Number(one.dataset.number)).reverse());
  assert.deepEqual(numbers, numbers.map((_, index) => numbers[0] + index), "news without gap or double");
  bench.faults.length = 0; // the cut connection itself is complained of, rightly
  await page.context().close();
});
