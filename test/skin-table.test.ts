/** The scene's table of skin colours against the measured spectra it was made from. */

import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import test from "node:test";
import { fitSkin, skinColours, xyzUnderD65 } from "../scripts/make-skin-table.ts";
import { skinColour } from "../src/scene/index.ts";
import { skinLines, skinMeasuredRange } from "../src/scene/skin-table.ts";

const file = join(import.meta.dirname, "../../shared/data/skin_reflectance/skin_50_subjects_average.csv");
const skip = existsSync(file) ? false : "the skin spectra are not on this machine";

test("a perfect white under the D65 table has D65's chromaticity 0.3127, 0.3290 (ISO/CIE 11664-2) within 0.0002", () => {
  const { X, Y, Z } = xyzUnderD65(() => 1);
  assert.ok(Math.abs(X / (X + Y + Z) - 0.3127) < 2e-4);
  assert.ok(Math.abs(Y / (X + Y + Z) - 0.329) < 2e-4);
});

test("the table of skins is what the NIST skin reflectance of 50 subjects gives", { skip }, () => {
  const colours = skinColours(readFileSync(file, "utf8"));
  assert.equal(colours.length, 50);
  const { lines } = fitSkin(colours);
  lines.forEach((line, k) => {
    assert.ok(Math.abs(line[0] - skinLines[k]![0]) < 1e-4 && Math.abs(line[1] - skinLines[k]![1]) < 1e-4);
  });
  const ys = colours.map((c) => c.Y);
  assert.ok(Math.abs(Math.min(...ys) - skinMeasuredRange[0]) < 1e-4);
  assert.ok(Math.abs(Math.max(...ys) - skinMeasuredRange[1]) < 1e-4);
});

test("a measured person's colour lies near the table's at equal reflectance: within 0.25 stop in blue, 0.1 in red and green", {
  skip,
}, () => {
  for (const { Y, rgb } of skinColours(readFileSync(file, "utf8"))) {
    const table = skinColour(Y);
    const off = rgb.map((c, k) => Math.abs(Math.log2(c / table[k]!)));
    assert.ok(off[0]! < 0.1 && off[1]! < 0.1 && off[2]! < 0.25, `Y ${Y.toFixed(3)}: ${off.map((x) => x.toFixed(3))}`);
  }
});
