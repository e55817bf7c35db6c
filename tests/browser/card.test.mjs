// The setup card prints on one sheet, A4 and letter, for every demonstration recipe; on a screen nothing leaves the page.

import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { promisify } from "node:util";
import { begin, binary, root } from "./lib.mjs";

const RECIPES = ["alumina-diamond", "glass-f800", "glass-polish", "silicon-f1000", "steel-f400", "zirconia-fixed"];

let bench;
let folder;
before(async () => {
  bench = await begin();
  folder = await mkdtemp(path.join(tmpdir(), "twinplate-card-"));
});
after(async () => {
  await bench.end();
  await rm(folder, { recursive: true, force: true });
});

for (const recipe of RECIPES) {
  test(`the card of ${recipe} is one sheet`, async () => {
    const file = path.join(folder, `${recipe}.html`);
    await promisify(execFile)(binary, ["card", `recipes/recipes/${recipe}.toml`, "--unchecked", "--date", "2026-03-02", "--report", file], { cwd: root });
    const page = await bench.page();
    await page.goto(pathToFileURL(file).href);
    for (const format of ["A4", "Letter"]) {
      const pdf = (await page.pdf({ format, preferCSSPageSize: false })).toString("latin1");
      assert.equal(pdf.match(/\/Type\s*\/Page\b/g)?.length, 1, format);
    }
    for (const [width, height] of [[1280, 800], [820, 1180]]) {
      await page.setViewportSize({ width, height });
      assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${width} px`);
    }
    const html = await readFile(file, "utf8");
    assert.ok(html.includes("NOT CHECKED"));
    bench.quiet();
    await page.context().close();
  });
}
