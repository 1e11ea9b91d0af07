/**
 * Makes src/scene/skin-table.ts from the measured spectra of 50 subjects (NIST Reference Data Set of Human Skin
 * Reflectance): luminous reflectance Y and linear Rec. 709 colour of every subject under D65 (ISO/CIE 11664-2),
 * and straight lines of ln(channel/Y) over ln Y through them. Run with the folder of the data:
 *   node scripts/make-skin-table.ts ../shared/data/skin_reflectance
 */

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { cmf, cmfFromNm, cmfStepNm } from "../src/colour/cie-1931-table.ts";
import { linearSrgbOfXyz } from "../src/colour/srgb.ts";

export interface SkinColour {
  readonly Y: number;
  readonly rgb: readonly number[];
}

/** CIE standard illuminant D65, relative power from 380 to 780 nm by 10 (ISO/CIE 11664-2; from memory, checked by its white point). */
export const d65: readonly number[] = [
  49.9755, 54.6482, 82.7549, 91.486, 93.4318, 86.6823, 104.865, 117.008, 117.812, 114.861, 115.923, 108.811, 109.354,
  107.802, 104.79, 107.689, 104.405, 104.046, 100, 96.3342, 95.788, 88.6856, 90.0062, 89.5991, 87.6987, 83.2886,
  83.6992, 80.0268, 80.2146, 82.2778, 78.2842, 69.7213, 71.6091, 74.349, 61.604, 69.8856, 75.087, 63.5927, 46.4182,
  66.8054, 63.3828,
];

/** XYZ of a reflectance under D65, Y of the perfect white = 1. */
export function xyzUnderD65(reflectance: (nm: number) => number): { X: number; Y: number; Z: number } {
  const sum = [0, 0, 0];
  let white = 0;
  d65.forEach((power, i) => {
    const nm = 380 + 10 * i;
    const at = ((nm - cmfFromNm) / cmfStepNm) * 3;
    for (let k = 0; k < 3; k++) sum[k]! += power * cmf[at + k]! * reflectance(nm);
    white += power * cmf[at + 1]!;
  });
  return { X: sum[0]! / white, Y: sum[1]! / white, Z: sum[2]! / white };
}

/** Every subject of the file: first column nm, one column a subject. */
export function skinColours(csv: string): SkinColour[] {
  const rows = csv
    .trim()
    .split(/\r?\n/)
    .slice(1)
    .map((line) => line.split(",").map(Number));
  const nm = rows.map((row) => row[0]!);
  return rows[0]!.slice(1).map((_, subject) => {
    const at = (wish: number): number => {
      const i = Math.max(
        1,
        nm.findIndex((x) => x >= wish),
      );
      const t = Math.min(1, Math.max(0, (wish - nm[i - 1]!) / (nm[i]! - nm[i - 1]!)));
      return rows[i - 1]![subject + 1]! * (1 - t) + rows[i]![subject + 1]! * t;
    };
    const xyz = xyzUnderD65(at);
    return { Y: xyz.Y, rgb: [...linearSrgbOfXyz(xyz)] };
  });
}

/** Least-squares lines of ln(channel / Y) over ln Y. */
export function fitSkin(colours: readonly SkinColour[]): { lines: [number, number][]; spread: number[] } {
  const lines: [number, number][] = [];
  const spread: number[] = [];
  for (let k = 0; k < 3; k++) {
    const points = colours.map(({ Y, rgb }) => [Math.log(Y), Math.log(rgb[k]! / Y)] as const);
    const mean = (f: (p: readonly [number, number]) => number): number =>
      points.reduce((s, p) => s + f(p), 0) / points.length;
    const [mx, my] = [mean((p) => p[0]), mean((p) => p[1])];
    const b = mean((p) => (p[0] - mx) * (p[1] - my)) / mean((p) => (p[0] - mx) ** 2);
    const a = my - b * mx;
    lines.push([a, b]);
    spread.push(Math.sqrt(mean((p) => (p[1] - a - b * p[0]) ** 2)));
  }
  return { lines, spread };
}

if (import.meta.main) {
  const folder = process.argv[2];
  if (folder === undefined) throw new Error("name the folder that holds skin_50_subjects_average.csv");
  const colours = skinColours(readFileSync(join(folder, "skin_50_subjects_average.csv"), "utf8"));
  const fit = fitSkin(colours);
  const ys = colours.map((c) => c.Y);
  const row = (line: readonly [number, number]): string => `[${line[0].toFixed(4)}, ${line[1].toFixed(4)}]`;
  writeFileSync(
    join(import.meta.dirname, "../src/scene/skin-table.ts"),
    `/**
 * Colour of skin over its luminous reflectance Y: ln(channel / Y) = a + b·ln Y for linear Rec. 709 red, green and
 * blue under D65. Made by scripts/make-skin-table.ts from the NIST Reference Data Set of Human Skin Reflectance
 * (50 subjects, doi 10.18434/M38597; J. Res. NIST 122.026).
 */

export const skinLines: readonly (readonly [a: number, b: number])[] = [
  ${fit.lines.map(row).join(",\n  ")},
];

/** Root mean square of what the lines leave, ln per channel: people of equal Y differ by that. */
export const skinSpread: readonly [r: number, g: number, b: number] = [${fit.spread.map((s) => s.toFixed(4)).join(", ")}];

/** Least and greatest Y among the subjects: beyond, the lines are continued. */
export const skinMeasuredRange: readonly [least: number, greatest: number] = [${Math.min(...ys).toFixed(4)}, ${Math.max(...ys).toFixed(4)}];
`,
  );
}
