/**
 * How far a large picture is from the converged one without converging all of it: the reference is traced on some
 * square patches alone, spread over the frame by a seed, and kept in the system's temporary folder under a name that
 * changes with the scene. Deviation as in src/picture/testing.ts: stops of the mixed luminance, 95th percentile over
 * pixels within 6 stops under the card.
 */

import { createHash } from "node:crypto";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { serialize } from "node:v8";
import {
  createTracer,
  GUIDE_STRIDE,
  type Layer,
  layerIds,
  type PackedScene,
  type RenderRequest,
  readGuides,
  readLayer,
  SUM_STRIDE,
  type Tile,
} from "../src/picture/index.ts";

export interface Reference {
  readonly tiles: readonly Tile[];
  /** Mixed luminance, tile after tile, row by row; 0.18 at the card. */
  readonly luminance: Float32Array;
}

const SIDE = 16;
/** Far from the seeds of what is measured. */
const REFERENCE_SEED = 7777;
/** A card's 0.18 less 6 stops. */
const LEAST = 0.18 / 64;

/** Traces the patches, or takes them from the folder. Paths are those of each pixel. */
export function referenceOf(
  scene: PackedScene,
  request: RenderRequest,
  weights: readonly number[],
  { paths, patches, seed }: { readonly paths: number; readonly patches: number; readonly seed: number },
): Reference {
  const tiles = spread(request.width, request.height, patches, seed);
  const key = createHash("sha256")
    .update(serialize([scene, request, weights, tiles]))
    .digest("hex")
    .slice(0, 12);
  const file = join(tmpdir(), `stopwise-reference-${request.width}x${request.height}-${paths}-${key}.f32`);
  if (existsSync(file)) {
    const bytes = readFileSync(file);
    return { tiles, luminance: new Float32Array(Uint8Array.from(bytes).buffer) };
  }
  const luminance = new Float32Array(tiles.length * SIDE * SIDE);
  const tracer = createTracer(scene, { ...request, seed: REFERENCE_SEED });
  const ids = layerIds(scene, request);
  tiles.forEach((tile, k) => {
    const sums = ids.map(() => new Float32Array(SUM_STRIDE * SIDE * SIDE));
    const guides = new Float32Array(GUIDE_STRIDE * SIDE * SIDE);
    tracer.trace(tile, 0, paths, sums, guides);
    const read = readGuides(guides, SIDE, SIDE);
    const layers = sums.map((own, i) => readLayer(own, read, ids[i] as string));
    for (let i = 0; i < SIDE * SIDE; i++) luminance[k * SIDE * SIDE + i] = mixedAt(layers, weights, i);
  });
  writeFileSync(file, Buffer.from(luminance.buffer));
  return { tiles, luminance };
}

/** Luminance of the mix at a pixel. */
export function mixedAt(layers: readonly Pick<Layer, "rgb">[], weights: readonly number[], i: number): number {
  return layers.reduce((sum, { rgb }, k) => sum + (weights[k] ?? 0) * luminanceAt(rgb, i), 0);
}

export const luminanceAt = (rgb: Float32Array, i: number): number =>
  0.2126 * (rgb[3 * i] as number) + 0.7152 * (rgb[3 * i + 1] as number) + 0.0722 * (rgb[3 * i + 2] as number);

/** Stops by which `at` (luminance of a pixel of the whole picture) is off the reference, sorted by size, with sign. */
export function deviations(reference: Reference, width: number, at: (pixel: number) => number): readonly number[] {
  const stops: number[] = [];
  reference.tiles.forEach((tile, k) => {
    for (let i = 0; i < SIDE * SIDE; i++) {
      const want = reference.luminance[k * SIDE * SIDE + i] as number;
      if (want < LEAST) continue;
      const pixel = (tile.y + Math.floor(i / SIDE)) * width + tile.x + (i % SIDE);
      stops.push(Math.log2(Math.max(1e-9, at(pixel)) / want));
    }
  });
  return stops.sort((a, b) => Math.abs(a) - Math.abs(b));
}

/** 95th percentile of the deviation. */
export function deviation(reference: Reference, width: number, at: (pixel: number) => number): number {
  const stops = deviations(reference, width, at);
  return Math.abs(stops[Math.floor(0.95 * (stops.length - 1))] as number);
}

/** When a falling deviation, measured at some moments, passes a limit: straight between neighbours in logarithms. */
export function timeTo(
  limit: number,
  course: readonly { readonly ms: number; readonly stops: number }[],
): number | null {
  const after = course.findIndex(({ stops }) => stops <= limit);
  if (after < 0) return null;
  const [a, b] = [course[after - 1], course[after]];
  if (a === undefined || b === undefined) return (b as { readonly ms: number }).ms;
  const t = Math.log(a.stops / limit) / Math.log(a.stops / b.stops);
  return a.ms * (b.ms / a.ms) ** t;
}

/** Patches at random on a lattice of the patch's size, none twice. */
function spread(width: number, height: number, count: number, seed: number): readonly Tile[] {
  const [columns, rows] = [Math.floor(width / SIDE), Math.floor(height / SIDE)];
  const free = Array.from({ length: columns * rows }, (_, i) => i);
  let state = seed >>> 0;
  return Array.from({ length: Math.min(count, free.length) }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    const [place] = free.splice(Math.floor((state / 2 ** 32) * free.length), 1) as [number];
    return { x: SIDE * (place % columns), y: SIDE * Math.floor(place / columns), width: SIDE, height: SIDE };
  });
}
