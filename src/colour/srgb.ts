/**
 * sRGB: transfer function, primaries and luminance (IEC 61966-2-1:1999). Values 0…1; linear values are
 * proportional to light and may pass 1 until they are shown.
 */

import type { Xyz } from "./chromaticity.ts";

export type Rgb = readonly [r: number, g: number, b: number];

/** Encoded value 0…1 to linear light. */
export const srgbDecode = (c: number): number => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);

/** Linear light 0…1 to encoded value. */
export const srgbEncode = (l: number): number => (l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055);

/** Linear light to the nearest 8-bit code, clipped. */
export const srgbCode = (l: number): number => Math.round(255 * srgbEncode(Math.min(1, Math.max(0, l))));

/** Relative luminance of linear sRGB (Rec. 709 weights). */
export const luminance = ([r, g, b]: Rgb): number => 0.2126 * r + 0.7152 * g + 0.0722 * b;

/** Linear sRGB of tristimulus values with Y = 1 at white (Rec. 709 primaries, D65); negative outside the gamut. */
export function linearSrgbOfXyz({ X, Y, Z }: Xyz): Rgb {
  return [
    3.2409699 * X - 1.5373832 * Y - 0.4986108 * Z,
    -0.9692436 * X + 1.8759675 * Y + 0.0415551 * Z,
    0.0556301 * X - 0.203977 * Y + 1.0569715 * Z,
  ];
}

/** "#rrggbb" of a linear colour, clipped. */
export const hexOfLinear = (rgb: Rgb): string =>
  `#${rgb.map((l) => srgbCode(l).toString(16).padStart(2, "0")).join("")}`;

/** Linear colour of "#rrggbb"; RangeError for anything else (programmer mistake). */
export function linearOfHex(hex: string): Rgb {
  const match = /^#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})$/i.exec(hex);
  if (match === null) throw new RangeError(`not a colour of the form #rrggbb: ${hex}`);
  const part = (i: number): number => srgbDecode(Number.parseInt(match[i] as string, 16) / 255);
  return [part(1), part(2), part(3)];
}
