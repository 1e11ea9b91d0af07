/**
 * A few letters in a picture of 8-bit rgba pixels: outlines of the installed Archivo, opened by fontkit, filled by the
 * non-zero rule with 4 × 4 samples a pixel.
 */

import { createRequire } from "node:module";
import { fontsFromPackage } from "../pdf/fonts-node.ts";

/** The part of fontkit that is used; the package carries no types. */
interface Font {
  readonly unitsPerEm: number;
  layout(text: string): {
    readonly glyphs: readonly { readonly path: { readonly commands: readonly Command[] } }[];
    readonly positions: readonly { readonly xAdvance: number }[];
  };
}
interface Command {
  readonly command: string;
  readonly args: readonly number[];
}
/** A straight piece of an outline, x and y of both ends, pixels, y down. */
type Edge = readonly [number, number, number, number];

export interface Lettering {
  /** Writes text with its baseline's left end at (x, y), `size` pixels per em, in one grey. Cuts what leaves the picture. */
  write(pixels: Pixels, text: string, x: number, y: number, size: number, grey: number): void;
  /** Width of a text, pixels. */
  widthOf(text: string, size: number): number;
}

export interface Pixels {
  readonly data: Uint8ClampedArray;
  readonly width: number;
  readonly height: number;
}

const SAMPLES = 4;

export async function openLettering(): Promise<Lettering> {
  const fontkit = createRequire(import.meta.url)("fontkit") as { create(bytes: Uint8Array): Font };
  const font = fontkit.create((await fontsFromPackage()).semibold);
  const widthOf = (text: string, size: number): number =>
    font.layout(text).positions.reduce((sum, { xAdvance }) => sum + xAdvance, 0) * (size / font.unitsPerEm);
  return {
    widthOf,
    write(pixels, text, x, y, size, grey) {
      const { glyphs, positions } = font.layout(text);
      const scale = size / font.unitsPerEm;
      let pen = x;
      glyphs.forEach(({ path }, i) => {
        fill(pixels, edgesOf(path.commands, pen, y, scale), grey);
        pen += (positions[i]?.xAdvance ?? 0) * scale;
      });
    },
  };
}

/** Straight edges of a glyph; curves in eight pieces, enough for letters of a label's size. */
function edgesOf(commands: readonly Command[], x0: number, y0: number, scale: number): readonly Edge[] {
  const edges: Edge[] = [];
  let [x, y, startX, startY] = [x0, y0, x0, y0];
  const lineTo = (nx: number, ny: number): void => {
    edges.push([x, y, nx, ny]);
    [x, y] = [nx, ny];
  };
  for (const { command, args } of commands) {
    const points = args.map((value, i) => (i % 2 === 0 ? x0 + value * scale : y0 - value * scale));
    if (command === "moveTo") [x, y, startX, startY] = [points[0]!, points[1]!, points[0]!, points[1]!];
    else if (command === "closePath") lineTo(startX, startY);
    else curve([x, y, ...points], lineTo);
  }
  return edges;
}

/** De Casteljau on a straight, quadratic or cubic piece: control points x, y, x, y… from the pen on. */
function curve(points: readonly number[], lineTo: (x: number, y: number) => void): void {
  const pieces = points.length === 4 ? 1 : 8;
  for (let k = 1; k <= pieces; k++) {
    const t = k / pieces;
    let left = [...points];
    while (left.length > 2) {
      left = left.slice(0, -2).map((value, i) => value + t * ((left[i + 2] as number) - value));
    }
    lineTo(left[0] as number, left[1] as number);
  }
}

/** Paints the inside of the edges over what is there. */
function fill(pixels: Pixels, edges: readonly Edge[], grey: number): void {
  const xs = edges.flatMap(([a, , b]) => [a, b]);
  const ys = edges.flatMap(([, a, , b]) => [a, b]);
  if (edges.length === 0) return;
  const clamp = (value: number, most: number): number => Math.min(most, Math.max(0, Math.floor(value)));
  const [left, right] = [clamp(Math.min(...xs), pixels.width), clamp(Math.max(...xs) + 1, pixels.width)];
  const [top, bottom] = [clamp(Math.min(...ys), pixels.height), clamp(Math.max(...ys) + 1, pixels.height)];
  for (let y = top; y < bottom; y++) {
    for (let x = left; x < right; x++) blend(pixels, x, y, coverage(edges, x, y), grey);
  }
}

function coverage(edges: readonly Edge[], x: number, y: number): number {
  let inside = 0;
  for (let i = 0; i < SAMPLES * SAMPLES; i++) {
    const px = x + ((i % SAMPLES) + 0.5) / SAMPLES;
    const py = y + (Math.floor(i / SAMPLES) + 0.5) / SAMPLES;
    if (winding(edges, px, py) !== 0) inside++;
  }
  return inside / (SAMPLES * SAMPLES);
}

/** Crossings of a ray to the right, upward ones against downward ones. */
function winding(edges: readonly Edge[], px: number, py: number): number {
  let turns = 0;
  for (const [ax, ay, bx, by] of edges) {
    if (ay <= py === by <= py) continue;
    if (ax + ((py - ay) / (by - ay)) * (bx - ax) > px) turns += by > ay ? 1 : -1;
  }
  return turns;
}

function blend({ data, width }: Pixels, x: number, y: number, share: number, grey: number): void {
  const at = 4 * (y * width + x);
  for (let c = 0; c < 3; c++) data[at + c] = (data[at + c] as number) * (1 - share) + grey * share;
}
