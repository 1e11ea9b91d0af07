/**
 * Where a file stops telling light. The rule of domain 10.4 is 0.98 of the white level; some files stop lower (a channel
 * of five bits, a camera that scales its white): then many pixels stand at one top code, far more than just under it.
 */

import type { FrameImage, Rgb } from "./types.ts";

/** First value of each channel that counts as clipped, the unit of the image. */
export function clipOf(image: Pick<FrameImage, "rgb" | "clip">): Rgb {
  return [pileOf(image, 0), pileOf(image, 1), pileOf(image, 2)];
}

/** A pile is a thousandth of the pixels, and four times what the three per cent under it hold. */
const PILE_PART = 0.001;
const PILE_TIMES = 4;
const PILE_UNDER = 0.03;

function pileOf({ rgb, clip }: Pick<FrameImage, "rgb" | "clip">, channel: number): number {
  let top = 0;
  for (let i = channel; i < rgb.length; i += 3) if ((rgb[i] as number) > top) top = rgb[i] as number;
  // Low piles are lamps of a screen, masks, black: a file that stops there would be a fault of its own.
  if (top >= clip || top < 0.5) return clip;
  let [at, under] = [0, 0];
  for (let i = channel; i < rgb.length; i += 3) {
    const value = rgb[i] as number;
    if (value >= top - 1e-6) at++;
    else if (value >= top - PILE_UNDER - 1e-6) under++;
  }
  return at > (PILE_PART * rgb.length) / 3 && at > PILE_TIMES * under ? top - 1e-6 : clip;
}
