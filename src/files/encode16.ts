/**
 * Display-linear light to 16-bit sRGB codes through a table of 65,537 points, straight between them: within a
 * hundredth of a code of picture's `encodePixels16`, without a power for each of a file's hundred million values.
 */

import { srgbEncode } from "../colour/index.ts";

const STEPS = 65_536;
const table: Float32Array = /* @__PURE__ */ Float32Array.from(
  { length: STEPS + 2 },
  (_, i) => 65_535 * srgbEncode(Math.min(1, i / STEPS)),
);

/** Values under 0 and over 1 are held there. */
export function encode16(linear: Float32Array): Uint16Array {
  const codes = new Uint16Array(linear.length);
  for (let i = 0; i < linear.length; i++) {
    const light = linear[i] as number;
    if (!(light > 0)) continue;
    const place = light >= 1 ? STEPS : light * STEPS;
    const low = Math.floor(place);
    const from = table[low] as number;
    codes[i] = from + (place - low) * ((table[low + 1] as number) - from) + 0.5;
  }
  return codes;
}
