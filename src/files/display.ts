/**
 * From a frame's linear light to a screen's: raw files through the white balance as shot and the camera's matrix to
 * linear sRGB; other files are taken as they are. No curve of its own: sRGB's comes after, as for the picture.
 */

import type { LinearFrame } from "../frames/index.ts";

/** In place. Rows of pixels may be given alone. */
export function toDisplay(
  rgb: Float32Array,
  { balance, toSrgb }: Pick<LinearFrame, "balance" | "toSrgb">,
): Float32Array {
  if (balance === null && toSrgb === null) return rgb;
  const [red, green, blue] = balance ?? [1, 1, 1];
  const [a = 1, b = 0, c = 0, d = 0, e = 1, f = 0, g = 0, h = 0, i = 1] = toSrgb ?? [];
  for (let p = 0; p < rgb.length; p += 3) {
    const x = red * (rgb[p] as number);
    const y = green * (rgb[p + 1] as number);
    const z = blue * (rgb[p + 2] as number);
    rgb[p] = a * x + b * y + c * z;
    rgb[p + 1] = d * x + e * y + f * z;
    rgb[p + 2] = g * x + h * y + i * z;
  }
  return rgb;
}
