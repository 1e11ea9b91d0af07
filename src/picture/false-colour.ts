/**
 * Stops as colours: each pixel's tone in stops from the 18 % card, one colour per stop, even steps to the eye
 * (stops-palette.ts, made by scripts/make-stops-palette.ts), with marks where the picture clips or drowns. Tone is
 * the luminance of the mixed picture, Rec. 709 weights; white clips at log2(1/0.18) = +2.47 stops.
 */

import { srgbCode } from "../colour/index.ts";
import { FIRST_STOP, stopColours } from "./stops-palette.ts";
import { CARD, luminanceOf } from "./sums.ts";

/** First 8-bit code that still tells a shadow from black: below it a tone counts as crushed. */
export const CRUSHED: number = 2 / 255 / 12.92;

/** Stops over (positive) or under the card; −Infinity for black. */
export const toneStops = (y: number): number => Math.log2(y / CARD);

export type ToneMark = "clipped" | "crushed" | null;

/** Clipped where any channel passes 1, crushed where luminance falls under code 2. */
export function toneMark(r: number, g: number, b: number): ToneMark {
  if (Math.max(r, g, b) > 1) return "clipped";
  return luminanceOf(r, g, b) < CRUSHED ? "crushed" : null;
}

/** 8-bit colour of a tone, its band: stops rounded to the nearest whole one, ends held. */
export function stopColour(stops: number): readonly [number, number, number] {
  const i = Math.min(stopColours.length - 1, Math.max(0, Math.round(stops) - FIRST_STOP));
  return stopColours[Number.isNaN(i) ? 0 : i] as [number, number, number];
}

/** One entry of the legend. */
export interface LegendEntry {
  readonly label: string;
  readonly colour: readonly [number, number, number];
  /** Stops from the card; null for the two marks. */
  readonly stops: number | null;
  readonly mark: ToneMark;
}

/** The legend from bright to dark: clipped, +2 … −6, crushed. */
export function stopsLegend(): readonly LegendEntry[] {
  const steps = stopColours.map((colour, i): LegendEntry => {
    const stops = FIRST_STOP + i;
    return { label: stops === 0 ? "card" : stops > 0 ? `+${stops}` : `−${-stops}`, colour, stops, mark: null };
  });
  return [
    { label: "clipped", colour: [255, 255, 255], stops: null, mark: "clipped" },
    ...steps.reverse(),
    { label: "crushed", colour: [0, 0, 0], stops: null, mark: "crushed" },
  ];
}

/** False-colour pixels, rgba, of a mixed picture. Marks are stripes that keep their pitch of 6 pixels. */
export function falseColourPixels(linear: Float32Array, width: number, out?: Uint8ClampedArray): Uint8ClampedArray {
  const count = linear.length / 3;
  const pixels = out ?? new Uint8ClampedArray(4 * count);
  for (let i = 0; i < count; i++) {
    const [r, g, b] = [linear[3 * i] as number, linear[3 * i + 1] as number, linear[3 * i + 2] as number];
    const mark = toneMark(r, g, b);
    const stripe = mark !== null && ((i % width) + Math.floor(i / width)) % 6 < 3;
    const colour = stripe ? (mark === "clipped" ? WHITE : BLACK) : stopColour(toneStops(luminanceOf(r, g, b)));
    pixels.set(colour, 4 * i);
    pixels[4 * i + 3] = 255;
  }
  return pixels;
}

/** Marks over an ordinary picture: stripes on clipped and crushed pixels, the rest as it is. */
export function markPixels(linear: Float32Array, width: number, pixels: Uint8ClampedArray): void {
  for (let i = 0; i < linear.length / 3; i++) {
    const mark = toneMark(linear[3 * i] as number, linear[3 * i + 1] as number, linear[3 * i + 2] as number);
    if (mark === null || ((i % width) + Math.floor(i / width)) % 6 >= 3) continue;
    pixels.set(mark === "clipped" ? CLIPPED_MARK : CRUSHED_MARK, 4 * i);
  }
}

const WHITE: readonly [number, number, number] = [255, 255, 255];
const BLACK: readonly [number, number, number] = [0, 0, 0];
/** On a picture white on white would not show: a mid grey on the bright, a lighter one on the dark. */
const CLIPPED_MARK: readonly [number, number, number] = [srgbCode(0.18), srgbCode(0.18), srgbCode(0.18)];
const CRUSHED_MARK: readonly [number, number, number] = [srgbCode(0.1), srgbCode(0.1), srgbCode(0.1)];
