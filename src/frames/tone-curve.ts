/**
 * Curves from a file's codes to light. Tables stand for any curve: an embedded profile's, sRGB's (IEC 61966-2-1:1999)
 * or one recovered from a bracket. Codes and light run 0…1.
 */

import { srgbDecode } from "../colour/index.ts";
import type { ToneCurve } from "./types.ts";

/** A curve from its formula, one for the three channels. */
export function curveOf(name: string, lightOfCode: (code: number) => number, entries = 4096): ToneCurve {
  const table = Float32Array.from({ length: entries }, (_, i) => lightOfCode(i / (entries - 1)));
  return { name, tables: [table, table, table] };
}

/** Decoding of sRGB. */
export const srgbCurve: ToneCurve = /* @__PURE__ */ curveOf("sRGB", srgbDecode);

/** Light at a code, straight between the table's entries; codes outside 0…1 are held at the ends. */
export function lightAt(curve: ToneCurve, channel: 0 | 1 | 2, code: number): number {
  const table = curve.tables[channel];
  const place = Math.min(1, Math.max(0, code)) * (table.length - 1);
  const i = Math.min(table.length - 2, Math.floor(place));
  const from = table[i] as number;
  return from + (place - i) * ((table[i + 1] as number) - from);
}

/** Code at a light: the inverse, by halving; where the curve is level, the middle of the level part is not promised. */
export function codeAt(curve: ToneCurve, channel: 0 | 1 | 2, light: number): number {
  const table = curve.tables[channel];
  const last = table.length - 1;
  if (light <= (table[0] as number)) return 0;
  if (light >= (table[last] as number)) return 1;
  let [low, high] = [0, last];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((table[middle] as number) <= light) low = middle;
    else high = middle;
  }
  const [from, to] = [table[low] as number, table[high] as number];
  return (low + (to > from ? (light - from) / (to - from) : 0)) / last;
}

/** Light of every code that a channel of so many bits can carry: a table to read codes through at full size. */
export function lightOfCodes(curve: ToneCurve | null, bits: number, channel: 0 | 1 | 2): Float32Array {
  const top = 2 ** bits - 1;
  return Float32Array.from({ length: top + 1 }, (_, i) => (curve ? lightAt(curve, channel, i / top) : i / top));
}

/** Entries of a table of steps (`NoiseModel.steps`). */
const STEP_ENTRIES = 65;

/** Width of one code in light, green's, at (i/64)²: what quantising costs along the curve. */
export function stepsOf(curve: ToneCurve | null, bits: number): Float32Array {
  const top = 2 ** bits - 1;
  return Float32Array.from({ length: STEP_ENTRIES }, (_, i) => {
    if (!curve) return 1 / top;
    const code = codeAt(curve, 1, (i / (STEP_ENTRIES - 1)) ** 2);
    const [from, to] = [Math.max(0, code - 0.5 / top), Math.min(1, code + 0.5 / top)];
    return (lightAt(curve, 1, to) - lightAt(curve, 1, from)) / ((to - from) * top);
  });
}
