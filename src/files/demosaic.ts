/**
 * From a colour-filter mosaic to rgb. Bilinear: every missing colour is the mean of its nearest neighbours of that
 * colour. It is linear in the data, so that sums of frames stay sums; sharper methods choose directions by the
 * content and are not. Negative values after black subtraction are kept. Where any contributing site clips, the value
 * is white itself, so that a clipped highlight never reads as an unclipped one.
 */

/** The colour of each site of the 2 × 2 pattern, row by row: 0 red, 1 green, 2 blue. */
export type Pattern = readonly [number, number, number, number];

export interface Mosaic {
  readonly width: number;
  readonly height: number;
  /** Sensor codes of the visible area. */
  readonly codes: Uint16Array;
  readonly pattern: Pattern;
  /** Black of each site of the pattern, sensor codes. */
  readonly black: readonly [number, number, number, number];
  readonly white: number;
  /** Codes at or above count as clipped. */
  readonly clipCode: number;
}

export interface Picture {
  readonly width: number;
  readonly height: number;
  /** Parts of white over black. */
  readonly rgb: Float32Array;
}

/** Full size. */
export function demosaic(mosaic: Mosaic): Picture {
  const { width, height } = mosaic;
  const light = normalised(mosaic);
  const neighbours = sitesAround(mosaic.pattern, width);
  const rgb = new Float32Array(3 * width * height);
  for (let y = 0; y < height; y++) {
    const inside = y > 0 && y < height - 1;
    for (let x = 0; x < width; x++) {
      const at = y * width + x;
      const site = ((y & 1) << 1) | (x & 1);
      for (let c = 0; c < 3; c++) {
        const offsets = neighbours[3 * site + c] as Int32Array;
        rgb[3 * at + c] =
          inside && x > 0 && x < width - 1 ? meanOf(light, at, offsets) : edgeMean(light, mosaic, x, y, c);
      }
    }
  }
  return { width, height, rgb };
}

/** Half size: each 2 × 2 block becomes a pixel, its greens averaged; an odd last row or column is left out. */
export function binned(mosaic: Mosaic): Picture {
  const { pattern } = mosaic;
  const width = mosaic.width >> 1;
  const height = mosaic.height >> 1;
  const light = normalised(mosaic);
  const rgb = new Float32Array(3 * width * height);
  const offsets = [0, 1, 2].map((c) =>
    Int32Array.from(
      [0, 1, 2, 3].filter((site) => pattern[site] === c).map((site) => (site >> 1) * mosaic.width + (site & 1)),
    ),
  );
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const corner = 2 * y * mosaic.width + 2 * x;
      for (let c = 0; c < 3; c++) rgb[3 * (y * width + x) + c] = meanOf(light, corner, offsets[c] as Int32Array);
    }
  }
  return { width, height, rgb };
}

/** Stands for a clipped site: so large that any mean with it gives it away. */
const CLIPPED = 1e6;
const settled = (mean: number): number => (mean > 1e3 ? 1 : mean);

/** Every site as a part of white over its own black. */
function normalised({ width, height, codes, black, white, clipCode }: Mosaic): Float32Array {
  const light = new Float32Array(width * height);
  const scale = black.map((level) => 1 / (white - level));
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const site = ((y & 1) << 1) | (x & 1);
      const code = codes[y * width + x] as number;
      light[y * width + x] = code >= clipCode ? CLIPPED : (code - (black[site] as number)) * (scale[site] as number);
    }
  }
  return light;
}

function meanOf(light: Float32Array, at: number, offsets: Int32Array): number {
  let sum = 0;
  for (let i = 0; i < offsets.length; i++) sum += light[at + (offsets[i] as number)] as number;
  return settled(sum / offsets.length);
}

/** For each site and colour, where that colour lies: the site itself, or those of the 3 × 3 around it. */
function sitesAround(pattern: Pattern, width: number): readonly Int32Array[] {
  const found: Int32Array[] = [];
  for (let site = 0; site < 4; site++) {
    for (let c = 0; c < 3; c++)
      found.push(Int32Array.from(around(pattern, site >> 1, site & 1, c), ([y, x]) => y * width + x));
  }
  return found;
}

/** Steps [down, right] to the sites of a colour, from a site of the pattern. */
function around(pattern: Pattern, y: number, x: number, c: number): readonly (readonly [number, number])[] {
  const colour = (dy: number, dx: number): number | undefined => pattern[(((y + dy) & 1) << 1) | ((x + dx) & 1)];
  if (colour(0, 0) === c) return [[0, 0]];
  const steps = [-1, 0, 1].flatMap((dy) => [-1, 0, 1].map((dx) => [dy, dx] as const));
  return steps.filter(([dy, dx]) => colour(dy, dx) === c);
}

/** The same at the rim, where some neighbours are missing. */
function edgeMean(light: Float32Array, { width, height, pattern }: Mosaic, x: number, y: number, c: number): number {
  const there = around(pattern, y & 1, x & 1, c)
    .map(([dy, dx]) => ({ row: y + dy, column: x + dx }))
    .filter(({ row, column }) => row >= 0 && row < height && column >= 0 && column < width);
  const sum = there.reduce((total, { row, column }) => total + (light[row * width + column] as number), 0);
  return settled(sum / there.length);
}
