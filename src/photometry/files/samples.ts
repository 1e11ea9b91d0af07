/**
 * Small good files for tests, invented: a Lambertian downlight in LM-63 and a two-sided light in EULUMDAT.
 * Tests change one thing at a time.
 */

import { printIes } from "./print-ies.ts";
import type { PhotometricWeb } from "./web.ts";

/** LM-63-2002, type C, three vertical angles, two planes (quadrant). Line numbers as in the array. */
export const iesLines: readonly string[] = [
  "IESNA:LM-63-2002",
  "[TEST] invented 1",
  "[TESTLAB] none",
  "[ISSUEDATE] 2020-01-01",
  "[MANUFAC] none",
  "[LUMINAIRE] Invented downlight",
  "TILT=NONE",
  "1 -1 1 3 2 1 2 0.3 0.6 0",
  "1 1 100",
  "0 45 90",
  "0 90",
  "1000 500 0",
  "1000 300 0",
];

/** The lines with some of them (counted from 1) replaced; null takes a line out. */
export function changed(lines: readonly string[], changes: Readonly<Record<number, string | null>>): string {
  return lines
    .map((line, i) => (i + 1 in changes ? (changes[i + 1] ?? null) : line))
    .filter((line) => line !== null)
    .join("\n");
}

export interface LdtShape {
  readonly isym: number;
  readonly planes: readonly number[];
  readonly vertical: readonly number[];
  /** One list per stored plane, cd/klm. */
  readonly values: readonly (readonly number[])[];
}

/** EULUMDAT lines of an invented light: one lamp of 12 000 lm, 100 W, opening 600 mm along C90 and 300 mm along C0. */
export function ldtLines({ isym, planes, vertical, values }: LdtShape): readonly string[] {
  const head = [
    "None",
    "1",
    `${isym}`,
    `${planes.length}`,
    "0",
    `${vertical.length}`,
    "0",
    "R1",
    "Invented light",
    "N1",
    "n1.ldt",
    "2020-01-01",
  ];
  const sizes = ["700", "400", "80", "600", "300", "0", "0", "0", "0"];
  const lamp = ["100", "100", "1", "0", "1", "1", "Lamp", "12000", "3000", "90", "100"];
  const ratios = ["0.5", "0.5", "0.6", "0.6", "0.7", "0.7", "0.8", "0.8", "0.9", "0.9"];
  return [
    ...head,
    ...sizes,
    ...lamp,
    ...ratios,
    ...planes.map(String),
    ...vertical.map(String),
    ...values.flat().map(String),
  ];
}

/** A web with the given table and nothing else of note. */
export function webOf(
  table: Pick<PhotometricWeb, "type" | "symmetry" | "verticalDeg" | "horizontalDeg" | "candela">,
): PhotometricWeb {
  return {
    source: { format: "LM-63-2019", title: "", keywords: [] },
    ...table,
    lamps: [{ count: 1, name: "", fluxLm: null, colour: "", colourRendering: "", watts: 0 }],
    lumensPerLamp: null,
    absolute: true,
    inputWatts: 0,
    opening: { shape: "point", widthM: 0, lengthM: 0, heightM: 0 },
    tilt: null,
    directRatios: null,
    fluxLm: 0,
    statedFluxLm: null,
    peakCd: 0,
    peakAt: { verticalDeg: 0, horizontalDeg: 0 },
    warnings: [],
  };
}

/** `printIes` of such a web, for tests that need a text. */
export const printTable = (table: Parameters<typeof webOf>[0]): string => printIes(webOf(table));
