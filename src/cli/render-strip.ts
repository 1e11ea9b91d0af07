/** The strip: each light alone and all together side by side at one exposure, with their tags under them. */

import type { Setup } from "../setup/index.ts";
import { aloneOf, type SetupPicture } from "../work/index.ts";
import { openLettering } from "./lettering.ts";

export interface Strip {
  readonly pixels: Uint8ClampedArray;
  readonly width: number;
  readonly height: number;
  /** What stands under each picture, from the left. */
  readonly labels: readonly string[];
}

const GROUND = 24;
const INK = 225;
const AMBIENT = "ambient";

interface Frame {
  readonly label: string;
  readonly linear: Float32Array;
}

/** Letters as tall as a line of a page beside pictures of usual size, never too small to read. */
const letterSize = (height: number): number => Math.max(14, Math.round(height * 0.045));
const gapOf = (width: number): number => Math.max(4, Math.round(width * 0.02));

/** Pixels of the whole strip. */
export function stripSize(width: number, height: number, frames: number): { width: number; height: number } {
  const gap = gapOf(width);
  return { width: frames * (width + gap) + gap, height: height + 2 * gap + 2 * letterSize(height) };
}

/** `encode` turns display-linear rgb into 8-bit rgba, plain or in false colour. */
export async function stripOf(
  setup: Setup,
  picture: SetupPicture,
  width: number,
  height: number,
  encode: (linear: Float32Array) => Uint8ClampedArray,
): Promise<Strip> {
  const frames = framesOf(setup, picture);
  const size = stripSize(width, height, frames.length);
  const gap = gapOf(width);
  const data = new Uint8ClampedArray(4 * size.width * size.height).fill(GROUND);
  for (let i = 3; i < data.length; i += 4) data[i] = 255;
  const lettering = await openLettering();
  const letters = letterSize(height);
  frames.forEach(({ label, linear }, i) => {
    const left = gap + i * (width + gap);
    const pixels = encode(linear);
    for (let y = 0; y < height; y++) {
      data.set(pixels.subarray(4 * width * y, 4 * width * (y + 1)), 4 * ((gap + y) * size.width + left));
    }
    // A tag is short; words that are wider than their picture are set smaller.
    const fit = Math.min(letters, (letters * width) / Math.max(1, lettering.widthOf(label, letters)));
    const x = left + (width - lettering.widthOf(label, fit)) / 2;
    lettering.write({ data, ...size }, label, x, gap + height + 1.4 * letters, fit, INK);
  });
  return { pixels: data, ...size, labels: frames.map(({ label }) => label) };
}

/** Lights that are on in the setup's order, then the room's ambient where it is measured, then all. */
function framesOf(setup: Setup, picture: SetupPicture): readonly Frame[] {
  const lights = setup.lights.filter(({ on }) => on);
  const alone = lights.map(({ id, tag }): Frame => ({ label: tag, linear: aloneOf(picture, id) }));
  const ambient = picture.layers.some(({ lightId }) => lightId === AMBIENT)
    ? [{ label: AMBIENT, linear: aloneOf(picture, AMBIENT) }]
    : [];
  return [...alone, ...ambient, { label: "all", linear: picture.together }];
}

/** How many pictures a strip of this setup holds. */
export const stripFrames = (setup: Setup): number =>
  setup.lights.filter(({ on }) => on).length + ((setup.room.ambientLx ?? 0) > 0 ? 1 : 0) + 1;
