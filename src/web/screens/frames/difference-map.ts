/**
 * The difference map's colours: blue where the frame is brighter, amber where the sum is, grey where they agree, a step
 * each tenth of a stop; stripes where a pixel clips, dark where it is too dark to tell. Blue and amber of like
 * lightness differ for every kind of colour sight.
 */

import { CLIPPED, type SumCheck, TOO_DARK, USABLE } from "../../../frames/index.ts";
import type { Shown } from "./messages.ts";

type Colour = readonly [number, number, number];

/** From −0.3 (frame brighter) to +0.3. */
const COLOURS: readonly Colour[] = [
  [39, 63, 120],
  [63, 104, 152],
  [102, 136, 158],
  [114, 114, 114],
  [168, 147, 102],
  [208, 168, 96],
  [240, 196, 112],
];
const MIDDLE = 3;

export const differenceLegend = (): readonly { readonly stops: number; readonly colour: Colour }[] =>
  COLOURS.map((colour, i) => ({ stops: (i - MIDDLE) / 10, colour }));

const DARK: Colour = [24, 24, 24];
const STRIPES: readonly [Colour, Colour] = [
  [255, 255, 255],
  [90, 90, 90],
];

export function differenceMap({ width, height, stops, state }: SumCheck): Shown {
  const rgba = new Uint8ClampedArray(4 * width * height);
  for (let i = 0; i < width * height; i++) {
    rgba.set(colourOf(stops[i] as number, state[i] as number, ((i % width) + Math.floor(i / width)) % 4 < 2), 4 * i);
    rgba[4 * i + 3] = 255;
  }
  return { width, height, rgba };
}

function colourOf(stops: number, state: number, stripe: boolean): Colour {
  if (state === CLIPPED) return STRIPES[stripe ? 0 : 1];
  if (state !== USABLE) return state === TOO_DARK ? DARK : [0, 0, 0];
  return COLOURS[Math.min(COLOURS.length - 1, Math.max(0, Math.round(10 * stops) + MIDDLE))] as Colour;
}
