/**
 * What the first surfaces under each pixel are, summed over all its paths in one flat array that both twins fill, and
 * read as means: a pixel on an outline is then partly one surface and partly the other, and what is filtered by it has
 * smooth outlines. The first path's own spot is kept apart: a real point of a surface, for the probe. 56 bytes per pixel.
 */

import type { Guides, Tile } from "./types.ts";

/** Numbers per pixel: sums of albedo, normal, position; position and distance of path 0; how many paths. */
export const GUIDE_STRIDE = 14;

/** Adds a tile's guides, row by row, to those of the whole picture. */
export function addGuides(whole: Float32Array, width: number, part: Float32Array, tile: Tile): void {
  addRows(whole, width, part, tile, GUIDE_STRIDE);
}

/** Adds `stride` numbers per pixel of a tile, row by row, to those of the whole picture. */
export function addRows(whole: Float32Array, width: number, part: Float32Array, tile: Tile, stride: number): void {
  const row = stride * tile.width;
  for (let y = 0; y < tile.height; y++) {
    const to = stride * ((tile.y + y) * width + tile.x);
    for (let i = 0; i < row; i++) whole[to + i] = (whole[to + i] as number) + (part[y * row + i] as number);
  }
}

/** Means of what was summed. Pixels without a path are black nothing. */
export function readGuides(flat: Float32Array, width: number, height: number): Guides {
  const count = width * height;
  const triple = (): Float32Array => new Float32Array(3 * count);
  const guides = {
    ...{ width, height, albedo: triple(), normal: triple(), middle: triple(), position: triple() },
    ...{ depth: new Float32Array(count), paths: new Float32Array(count) },
  };
  for (let i = 0; i < count; i++) {
    const at = GUIDE_STRIDE * i;
    const paths = flat[at + 13] as number;
    const mean = paths > 0 ? 1 / paths : 0;
    for (let c = 0; c < 3; c++) {
      guides.albedo[3 * i + c] = mean * (flat[at + c] as number);
      guides.normal[3 * i + c] = mean * (flat[at + 3 + c] as number);
      guides.middle[3 * i + c] = mean * (flat[at + 6 + c] as number);
      guides.position[3 * i + c] = flat[at + 9 + c] as number;
    }
    guides.depth[i] = flat[at + 12] as number;
    guides.paths[i] = paths;
  }
  return guides;
}
