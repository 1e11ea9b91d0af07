/** What the words of `render` ask for, with a fault for each that asks for what cannot be; and the memory it takes. */

import { extname } from "node:path";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { readNumber, readWhole } from "./figures.ts";
import { checkNewFile } from "./output.ts";
import { quoted } from "./print.ts";
import { readView, type View } from "./render-view.ts";
import type { Words } from "./words.ts";

export interface RenderWords {
  readonly out: string;
  readonly width: number;
  readonly height: number;
  readonly noiseStops: number;
  readonly mostSamples: number;
  readonly alone: string | null;
  readonly layers: string | null;
  /** Layers as OpenEXR instead of PFM. */
  readonly exr: boolean;
  /** Every light alone and all together in one picture. */
  readonly strip: boolean;
  /** Where the lens walks to; null: it stays. */
  readonly view: View | null;
  /** Never the graphics card. */
  readonly processor: boolean;
  readonly falseColour: boolean;
  readonly sixteen: boolean;
  readonly filter: boolean;
}

/** Small enough for a processor alone. */
export const DEFAULTS = { width: 480, height: 600, noiseStops: 0.15, mostSamples: 4096 } as const;
export const MOST_PIXELS = 40_000_000;
const LONGEST_SIDE = 16_384;
const SHORTEST_SIDE = 8;

/**
 * Bytes at the end of the last pass: per pixel and layer 48 of sums, 16 each of the layer read from them, of the
 * filtered one and of the filtered one before; per pixel 112 of guides, 12 of mix, 28 of the file; the scene and the threads.
 */
export const memoryOf = (width: number, height: number, layers: number): number =>
  width * height * (96 * layers + 152) + 150e6;

/** Every fault at once. */
export function readRenderWords(words: Words): Result<RenderWords> {
  const faults: Fault[] = [];
  const take = <T>(read: Result<T>, instead: T): T => {
    if (read.ok) return read.value;
    faults.push(...read.faults);
    return instead;
  };
  const { width, height } = take(readSize(words.value("size")), DEFAULTS);
  const noise = words.value("noise") ?? String(DEFAULTS.noiseStops);
  const noiseStops = take(readNumber(noise, "--noise", 0.005, 3), DEFAULTS.noiseStops);
  const most = words.value("samples") ?? String(DEFAULTS.mostSamples);
  const mostSamples = take(readWhole(most, "--samples", 1, 65_536), DEFAULTS.mostSamples);
  const view = take(readView(words.value("view")), null);
  const out = take(readOut(words.value("out")), "");
  const [falseColour, sixteen] = [words.has("false-colour"), words.has("sixteen")];
  if (falseColour && sixteen) {
    const what = "False colour has eleven bands and needs no 16 bits";
    faults.push(fault("options-clash", what, "--sixteen", "Leave --sixteen or --false-colour out."));
  }
  const [alone, layers] = [words.value("alone"), words.value("layers")];
  const [exr, strip] = [words.has("exr"), words.has("strip")];
  if (exr && layers === null) {
    const what = "--exr says how layers are written, and none are asked for";
    faults.push(fault("option-missing", what, "--exr", "Add --layers DIR."));
  }
  if (strip && alone !== null) {
    const what = "A strip shows every light alone already";
    faults.push(fault("options-clash", what, "--alone", "Leave --alone or --strip out."));
  }
  if (strip && sixteen) {
    faults.push(fault("options-clash", "A strip has 8 bits", "--sixteen", "Leave --sixteen or --strip out."));
  }
  if (faults.length > 0) return failure(...faults);
  return success({
    ...{ out, width, height, noiseStops, mostSamples, alone, layers, falseColour, sixteen },
    ...{ exr, strip, view, processor: words.has("processor"), filter: !words.has("no-filter") },
  });
}

function readOut(out: string | null): Result<string> {
  if (out === null) return failure(fault("option-missing", "--out is missing", "--out", "Add --out FILE.png."));
  if (extname(out).toLowerCase() !== ".png") {
    return failure(fault("render-ending", `${quoted(out)} does not end in .png`, "--out", "Name such a file."));
  }
  const free = checkNewFile(out);
  return free.ok ? success(out) : free;
}

/** "1200x1500", width first. */
function readSize(text: string | null): Result<{ readonly width: number; readonly height: number }> {
  if (text === null) return success(DEFAULTS);
  const found = /^(\d{1,9})\s*[x×]\s*(\d{1,9})$/i.exec(text.trim());
  if (found === null) {
    return failure(fault("size-form", `${quoted(text)} is no size`, "--size", "Write width x height, as 480x600."));
  }
  const [width, height] = [Number(found[1]), Number(found[2])];
  const sides = [width, height];
  if (sides.some((side) => side < SHORTEST_SIDE || side > LONGEST_SIDE)) {
    const mend = `Write sides from ${SHORTEST_SIDE} to ${LONGEST_SIDE} pixels.`;
    return failure(fault("size-range", `${quoted(text)} has a side out of range`, "--size", mend));
  }
  if (width * height <= MOST_PIXELS) return success({ width, height });
  const gigabytes = (memoryOf(width, height, 1) / 1e9).toFixed(1);
  const what = `${quoted(text)} is ${(width * height) / 1e6} megapixels, ${gigabytes} GB for one light`;
  return failure(fault("size-range", what, "--size", `Ask for at most ${MOST_PIXELS / 1e6} megapixels.`));
}
