/**
 * What varies over the skin as a share of its reflectance: redder lips and cheeks, shade round the eyes, under
 * the brows' hair and between the lips. By eye. Millimetres, the head's frame.
 */

import type { Rgb } from "../types.ts";
import { browHalfWidth, browLine } from "./fine-hairs.ts";
import { mouthHalfMm, mouthLine } from "./head-field.ts";

const bump = (far: number, width: number): number => Math.exp(-(far * far) / (width * width));

export function complexion(px: number, y: number, z: number): Rgb {
  const x = Math.abs(px);
  let [r, g, b] = [1, 1, 1];
  const stain = (share: number, to: Rgb): void => {
    r *= 1 - share * (1 - to[0]);
    g *= 1 - share * (1 - to[1]);
    b *= 1 - share * (1 - to[2]);
  };
  if (z < -90) return [1, 1, 1];
  stain(lipShare(x, y, z), [0.86, 0.55, 0.56]);
  if (x < mouthHalfMm + 1 && z > -40) stain(0.75 * bump(y - mouthLine(x), 1), [0.35, 0.2, 0.2]);
  stain(0.5 * bump(Math.hypot(x - 36, (y + 2) * 0.9), 19), [0.97, 0.84, 0.84]);
  stain(0.45 * bump(Math.hypot(x, y - 1, (z + 6) * 0.7), 10), [0.97, 0.84, 0.83]);
  stain(0.5 * bump(Math.hypot((x - 31) * 0.7, y - 32), 12.5), [0.86, 0.78, 0.78]);
  const brow = x > 9 && x < 52 ? bump((y - browLine(x)) / Math.max(0.6, browHalfWidth(x)), 1.05) : 0;
  stain(0.4 * brow, [0.5, 0.46, 0.44]);
  return [r, g, b];
}

/** 1 on the lips, 0 off them, over about a millimetre. */
function lipShare(x: number, y: number, z: number): number {
  if (z < -38 || x > mouthHalfMm + 1) return 0;
  const end = Math.max(0, 1 - (x / (mouthHalfMm - 0.3)) ** 2);
  const line = mouthLine(x);
  const upper = line + 7.6 * end ** 0.75 - 1.7 * bump(x, 3.4) * end;
  const lower = line - 9.6 * end ** 0.7;
  const inside = Math.min(upper - y, y - lower);
  const t = Math.min(1, Math.max(0, 0.5 + inside / 1.4));
  return t * t * (3 - 2 * t);
}
