/**
 * Makes src/colour/cie-1931-table.ts from the 1 nm CIE 1931 2° colour-matching functions (a CSV with the
 * columns nm, x, y, z): every fifth nanometre, six decimals. At that step Planck and daylight chromaticities
 * move by less than 4·10⁻⁶. Run: node scripts/make-cmf-table.ts TABLE.csv > src/colour/cie-1931-table.ts
 */

import { readFileSync } from "node:fs";

const stepNm = 5;

/** The TypeScript source of the table. */
export function cmfTableSource(csv: string): string {
  const rows = csv
    .trim()
    .split(/\r?\n/)
    .slice(1)
    .map((line) => line.split(",").map(Number))
    .filter((row) => ((row[0] as number) - 360) % stepNm === 0);
  const body = rows.map(([, x, y, z]) => `  ${[x, y, z].map((v) => Number((v as number).toFixed(6))).join(", ")},`);
  return [
    "/**",
    " * CIE 1931 2° colour-matching functions x̄, ȳ, z̄ from 360 to 830 nm every 5 nm (CIE 15; ISO/CIE 11664-1).",
    " * Made by scripts/make-cmf-table.ts from a 1 nm table under the BSD-3-Clause licence in LICENSE-cie-table.txt.",
    " */",
    "",
    `export const cmfFromNm = ${rows[0]?.[0]};`,
    `export const cmfStepNm = ${stepNm};`,
    "",
    "/** x̄, ȳ, z̄ of one wavelength after the other. */",
    "// biome-ignore format: three numbers a line",
    "export const cmf: readonly number[] = [",
    ...body,
    "];",
    "",
  ].join("\n");
}

if (import.meta.main) process.stdout.write(cmfTableSource(readFileSync(process.argv[2] as string, "utf8")));
