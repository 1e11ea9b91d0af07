import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { fittedSize, runsWidth, textBox, textWidth, wrapRuns } from "./measure.ts";
import { lengthText, plainText, readingRuns, runsOf } from "./words.ts";

interface Font {
  readonly unitsPerEm: number;
  layout(text: string, features: object): { readonly advanceWidth: number };
}
const require = createRequire(import.meta.url);
const fontkit: { create(bytes: Uint8Array): Font } = require("fontkit");
const faces = {
  400: "400Regular/Archivo_400Regular",
  600: "600SemiBold/Archivo_600SemiBold",
  700: "700Bold/Archivo_700Bold",
};
const fontOf = (weight: 400 | 600 | 700): Font =>
  fontkit.create(readFileSync(require.resolve(`@expo-google-fonts/archivo/${faces[weight]}.ttf`)));

const samples = [
  "Choir headshots",
  "f/5.6 at −3.7",
  "30 × 120 strip, grid",
  "45° camera left",
  "Größe, naïve, Łódź",
  "1.25 m",
];

test("widths of words equal the font's own, without kerning, as fontkit lays them out", () => {
  for (const weight of [400, 600, 700] as const) {
    const font = fontOf(weight);
    for (const sample of samples) {
      const { advanceWidth } = font.layout(sample, { tnum: true, lnum: true, kern: false, liga: false });
      const wanted = (advanceWidth / font.unitsPerEm) * 12;
      assert.ok(Math.abs(textWidth(sample, 12, weight) - wanted) < 0.05, `${weight} ${sample}`);
    }
  }
});

test("tabular figures are all of one width", () => {
  const widths = [..."0123456789"].map((digit) => textWidth(digit, 10, 600));
  assert.equal(new Set(widths).size, 1);
});

test("a reading has a quiet f/, its mark and a raised tenth, also a zero", () => {
  assert.deepEqual(readingRuns(5.7), [{ text: "f/", quiet: true }, { text: "5.6" }, { text: "7", raised: true }]);
  assert.equal(plainText(readingRuns(6)), "f/8.00");
  assert.equal(plainText(readingRuns(null)), "dark");
});

test("fractions that the font lacks are set from figures", () => {
  assert.equal(plainText(runsOf("⅛+⅓")), "1⁄8+1⁄3");
  assert.ok(runsWidth(runsOf("⅓"), 12, 400) < runsWidth([{ text: "1/3" }], 12, 400));
});

test("feet are exact: 4 ft 1 1/4 in is 1.251 m (1 in = 25.4 mm, international yard and pound agreement 1959)", () => {
  assert.equal(lengthText(49.25 * 0.0254, "feet"), "4′ 1¼″");
  assert.equal(lengthText(1.25, "metres"), "1.25 m");
});

test("wrapped lines keep to the width and lose no word; pieces of a reading stay together", () => {
  const runs = [
    ...runsOf("M on its marks, alone, fire 1: "),
    ...readingRuns(5),
    ...runsOf(" at −3.7, as close as this head goes"),
  ];
  for (const width of [60, 90, 140, 400]) {
    const lines = wrapRuns(runs, 11, 400, width);
    for (const line of lines) assert.ok(runsWidth(line, 11, 400) <= width + 1e-9);
    const words = (of: readonly { readonly text: string }[]): string =>
      of
        .map((r) => r.text)
        .join("")
        .replace(/ +/g, " ")
        .trim();
    assert.equal(lines.map(words).join(" "), words(runs));
    assert.ok(lines.some((line) => plainText(line).includes("f/5.60")));
  }
});

test("text shrinks to its cell and no further, and boxes follow the anchor", () => {
  const runs = runsOf("trigger groups");
  const size = fittedSize(runs, 12, 400, 30);
  assert.ok(Math.abs(runsWidth(runs, size, 400) - 30) < 1e-9);
  assert.equal(fittedSize(runs, 12, 400, 1000), 12);
  const end = textBox({ x: 100, y: 50, size: 12, anchor: "end", weight: 400, runs });
  assert.ok(Math.abs(end.x + end.width - 100) < 1e-9);
});
