// Every page in every language: chosen on the page, remembered, and no English left where the language has its own words.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import path from "node:path";
import { after, before, test } from "node:test";
import { act, begin, exercises, root, start, untilAlarm } from "./lib.mjs";

let bench;
before(async () => {
  bench = await begin();
});
after(() => bench.end());

const ROOMS = ["panel", "operator", "teacher", "review", "session", "acts", "debrief", "server"];

// Messages of one line without arguments: name and text.
async function plain(language) {
  const found = new Map();
  for (const room of ROOMS) {
    const text = await readFile(path.join(root, `sim-host/words/catalogues/${language}/${room}.ftl`), "utf8");
    for (const [, id, said] of text.matchAll(/^([a-z][a-z0-9-]*) = ([^{}\n]+)$/gm)) found.set(id, said.trim());
  }
  return found;
}

// English texts that the language says otherwise, and nowhere in the same way.
async function strange(language) {
  const [english, own] = [await plain("en"), await plain(language)];
  const said = new Set(own.values());
  return [...english].filter(([id, text]) => own.has(id) && own.get(id) !== text && !said.has(text) && /\p{L}{3}/u.test(text)).map(([, text]) => text);
}

// What of these is to be read on the page.
const left = (page, texts) => page.evaluate((texts) => {
  const found = new Set();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let text = walk.nextNode(); text; text = walk.nextNode()) {
    if (!text.parentElement.closest("script, style, [lang]:not(html)")) found.add(text.data.trim());
  }
  for (const node of document.querySelectorAll("[aria-label], [title], [placeholder]")) for (const name of ["aria-label", "title", "placeholder"]) found.add(node.getAttribute(name));
  return texts.filter((text) => found.has(text));
}, texts);

const EXPECTED = {
  de: { start: "Start", stop: "Not-Halt", idle: "Inaktiv" },
  es: { start: "Arrancar", stop: "parada de emergencia", idle: "Inactiva" },
};

for (const [language, words] of Object.entries(EXPECTED)) {
  test(`the pages can be read in ${language}, and the choice is remembered`, async () => {
    const english = await strange(language);
    assert.ok(english.length > 200, `${english.length} texts to look for`);
    const page = await bench.page();
    await page.goto(`${bench.url}/`);
    await page.waitForLoadState("networkidle");
    assert.equal(await page.getAttribute("html", "lang"), "en");
    await Promise.all([page.waitForNavigation(), page.selectOption(".language", language)]);
    await page.waitForSelector("#exercises input");
    await page.waitForLoadState("networkidle");
    assert.equal(await page.getAttribute("html", "lang"), language);
    assert.deepEqual(await left(page, english), [], "the list of exercises");

    await start(bench, page, exercises.loaded);
    assert.equal(await page.getAttribute("html", "lang"), language);
    assert.equal((await page.innerText('[data-act="start"]')).replaceAll("\u00AD", ""), words.start);
    assert.deepEqual(await left(page, english), [], "the machine");
    await act(page, { act: "press-emergency-stop" });
    await untilAlarm(page, 1);
    assert.ok((await page.innerText(".alarm")).toLowerCase().includes(words.stop.toLowerCase()), await page.innerText(".alarm"));
    assert.deepEqual(await left(page, english), [], "the machine, stopped");

    await page.click("#finish");
    await page.click("#to-debrief");
    await page.waitForSelector(".verdict");
    assert.deepEqual(await left(page, english), [], "the debrief");
    for (const other of ["/instructor", "/class", "/exercises"]) {
      await page.goto(`${bench.url}${other}`);
      await page.waitForSelector("h1");
      await page.waitForLoadState("networkidle");
      assert.equal(await page.getAttribute("html", "lang"), language);
      assert.deepEqual(await left(page, english), [], other);
    }
    bench.quiet();
    await page.context().close();
  });
}

test("a browser that asks for a language gets it, and one that nobody speaks here is answered in English", async () => {
  for (const [locale, language] of [["es-MX", "es"], ["de-AT", "de"], ["fi-FI", "en"]]) {
    const page = await bench.page({ locale });
    await page.goto(`${bench.url}/`);
    await page.waitForSelector("#exercises input");
    assert.equal(await page.getAttribute("html", "lang"), language, locale);
    bench.quiet();
    await page.context().close();
  }
});
