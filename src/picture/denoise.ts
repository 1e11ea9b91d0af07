/**
 * A variance-guided à-trous filter over one layer (after Dammertz et al. 2010 and the spatial part of Schied et al.
 * 2017, "Spatiotemporal Variance-Guided Filtering"; from memory), over its parts apart: `shade`, what of the closed
 * form gets through (N/G of sums.ts), and `rest`, everything else. The closed form itself stays as sharp as it is, and
 * so does reflectance, for both parts are divided by it first. How much two pixels may differ and still be averaged is
 * their own estimated noise; what surface they show is asked of the guides. All weights are polynomials that end: behind
 * an edge nothing gets in. A layer is filtered by itself: nothing of another light can enter it. Off is not calling it.
 * Scratch: 120 bytes per pixel for what geometry says of every neighbour, asked once for all layers, and 44 more.
 */

import { luminanceOf, noiseOf, SUM_STRIDE } from "./sums.ts";
import type { Guides, Layer } from "./types.ts";

/** Passes of growing reach: 1, 2, 4, 8, 16 pixels. */
export const FILTER_PASSES = 5;
/** Tones farther apart than so many σ of their difference are an edge. */
export const TONE_SIGMAS = 4;
/** Off the plane through the other pixel's surface by this part of its distance: another surface. */
export const DEPTH_STEP = 0.01;
/** Normals at a smaller cosine, and reflectances farther apart, are other surfaces. */
export const LEAST_COSINE = 0.8;
export const ALBEDO_STEP = 0.15;
/**
 * A pixel's variance is at least this times its own half-difference squared: a rare bright path is then spread over its
 * neighbours. Left out as an edge, or brought down, it would take light from the picture.
 */
export const OUTLIER = 1;
/**
 * Part of a pixel's deviation that the filter is trusted to leave, whatever its weights promise: edges within the noise
 * and the caution against bright outliers are errors too. By the demo headshot (bench/picture-noise.ts).
 */
export const STAYS = 0.18;
/** Relative variance under which there is no noise to take away: only rounding. */
export const CALM = 1e-10;
/** Half the side of the window over which variance is estimated: that of the first pass. */
export const VARIANCE_REACH = 2;
/** Variance at which a part of that pixel is not known at all. */
const VOID = -1;
/** B3 spline weights 3/8, 1/4, 1/16. */
const KERNEL: readonly number[] = [0.375, 0.25, 0.0625];

/** Four numbers per pixel: rgb and the variance of its luminance; negative where there is none of this part. */
type Plane = Float32Array;

/** What geometry says of the 24 neighbours of each pixel in each pass: 0…255, row by row without the middle. */
interface Likeness {
  readonly width: number;
  readonly height: number;
  readonly passes: readonly Uint8Array[];
}
const NEIGHBOURS = 24;

/** Geometry to compare, flat for the inner loop: normal, position, reach of a step in depth, albedo. */
const FEATURES = 10;

/** A filter for layers that share these guides. */
export function createFilter(guides: Guides): (layer: Layer) => Layer {
  const likeness = likenessOf(guides);
  return (layer) => filterLayer(layer, guides, likeness);
}

/** One layer filtered; of many, `createFilter` looks at their geometry only once. */
export const denoiseLayer = (layer: Layer, guides: Guides): Layer => createFilter(guides)(layer);

/** Sizes must agree. σ of a pixel, a draw of its own deviation as before, falls with what was averaged. */

function filterLayer(layer: Layer, guides: Guides, likeness: Likeness): Layer {
  const { width, height, sums, ...kept } = layer;
  if (guides.width !== width || guides.height !== height) throw new RangeError("guides and layer have one size");
  const rest = filtered(restPlane(layer, guides), likeness);
  const shade = sums ? filtered(shadePlane(sums, guides), likeness) : null;
  const rgb = new Float32Array(3 * width * height);
  const sigma = new Float32Array(width * height);
  for (let i = 0; i < sigma.length; i++) {
    const y = baseLuminance(guides, i);
    const closed = sums && shade && (shade[4 * i + 3] as number) >= 0 ? closedPart(sums, guides, i) : 0;
    for (let c = 0; c < 3; c++) {
      const rho = base(guides, 3 * i + c);
      const direct = closed > 0 ? ((shade as Plane)[4 * i + c] as number) * (closed / y) : 0;
      rgb[3 * i + c] = rho * ((rest[4 * i + c] as number) + direct);
    }
    const own = y * y * (rest[4 * i + 3] as number);
    sigma[i] = Math.sqrt(own + (closed > 0 ? closed * closed * ((shade as Plane)[4 * i + 3] as number) : 0));
  }
  return { ...kept, width, height, rgb, sigma, estimatedNoiseStops: noiseOf(rgb, sigma) };
}

/** A per path of pixel i. */
const closedPart = (sums: Float32Array, { paths }: Guides, i: number): number =>
  (sums[SUM_STRIDE * i + 3] as number) / (paths[i] as number);

/** N/G per channel over reflectance; its variance is the square of half the difference of the two halves. */
function shadePlane(sums: Float32Array, guides: Guides): Plane {
  const plane = new Float32Array(4 * guides.paths.length);
  for (let i = 0; i < guides.paths.length; i++) {
    const s = SUM_STRIDE * i;
    const [a, g] = [sums[s + 3] as number, sums[s + 4] as number];
    if (!(a > 0 && g > 0)) {
      plane[4 * i + 3] = VOID;
      continue;
    }
    const y = baseLuminance(guides, i);
    for (let c = 0; c < 3; c++) plane[4 * i + c] = ((sums[s + c] as number) / g) * (y / base(guides, 3 * i + c));
    const [g1, n1] = [sums[s + 10] as number, sums[s + 8] as number];
    const n = luminanceOf(sums[s] as number, sums[s + 1] as number, sums[s + 2] as number);
    // Where only one half met the light, all that is known is the whole.
    const half = g1 > 0 && g - g1 > 0 ? (n1 / g1 - (n - n1) / (g - g1)) / 2 : n / g;
    plane[4 * i + 3] = half * half;
  }
  return plane;
}

/** Everything but the closed form's part, over reflectance; without sums all of the layer. */
function restPlane({ rgb, sigma, sums }: Layer, guides: Guides): Plane {
  const plane = new Float32Array(4 * sigma.length);
  for (let i = 0; i < sigma.length; i++) {
    const s = SUM_STRIDE * i;
    const paths = guides.paths[i] as number;
    let half = sigma[i] as number;
    if (sums) {
      const odd = Math.floor(paths / 2);
      const first = sums[s + 11] as number;
      const whole = luminanceOf(sums[s + 5] as number, sums[s + 6] as number, sums[s + 7] as number);
      half = odd > 0 ? (first / odd - (whole - first) / (paths - odd)) / 2 : Number.NaN;
    }
    for (let c = 0; c < 3; c++) {
      const value = sums ? (sums[s + 5 + c] as number) / paths : (rgb[3 * i + c] as number);
      plane[4 * i + c] = value / base(guides, 3 * i + c);
    }
    plane[4 * i + 3] = (half / baseLuminance(guides, i)) ** 2;
  }
  return plane;
}

/** All passes. What is left of a pixel's own half-difference squared stands in the variance's place. */
function filtered(plane: Plane, likeness: Likeness): Plane {
  const draws = plane.filter((_, at) => (at & 3) === 3);
  let from = plane;
  let to: Plane = new Float32Array(plane.length);
  const tones = new Float32Array(plane.length / 4);
  const spreads = new Float32Array(plane.length / 4);
  const calm = steadyVariance(from, to, tones, spreads, likeness);
  [from, to] = [to, from];
  const before = from.filter((_, at) => (at & 3) === 3);
  for (let pass = 0; pass < FILTER_PASSES; pass++) {
    if (pass === 0) smooth(from, to, calm, spreads, likeness, pass);
    else {
      readTones(from, tones, spreads);
      smooth(from, to, tones, spreads, likeness, pass);
    }
    [from, to] = [to, from];
  }
  draws.forEach((own, i) => {
    if (own < 0) return;
    const [steady, left] = [before[i] as number, from[4 * i + 3] as number];
    from[4 * i + 3] = own * ((steady > 0 ? left / steady : 0) + STAYS * STAYS);
  });
  return from;
}

/**
 * One pixel's half-difference is itself a draw with one degree of freedom: the mean over alike neighbours steadies
 * it. Where there are no halves yet, the neighbours' own spread stands in.
 */
function steadyVariance(
  from: Plane,
  to: Plane,
  tones: Float32Array,
  spreads: Float32Array,
  { width, height, passes }: Likeness,
): Float32Array {
  const like = passes[0] as Uint8Array;
  const calm = new Float32Array(tones.length);
  readTones(from, tones, spreads);
  to.set(from);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const own = from[4 * i + 3] as number;
      if (own < 0) continue;
      const isKnown = !Number.isNaN(own);
      let halves = isKnown ? 255 * own : 0;
      let known = isKnown ? 255 : 0;
      let weights = 255;
      let weights2 = 255 * 255;
      let sum = 255 * (tones[i] as number);
      let squares = sum * (tones[i] as number);
      for (let k = 0; k < NEIGHBOURS; k++) {
        const weight = like[NEIGHBOURS * i + k] as number;
        if (weight === 0) continue;
        const cell = k < NEIGHBOURS / 2 ? k : k + 1;
        const j = i + (((cell / 5) | 0) - 2) * width + (cell % 5) - 2;
        const value = from[4 * j + 3] as number;
        if (value < 0) continue;
        const tone = tones[j] as number;
        weights += weight;
        weights2 += weight * weight;
        sum += weight * tone;
        squares += weight * tone * tone;
        if (Number.isNaN(value)) continue;
        halves += weight * value;
        known += weight;
      }
      const mean = sum / weights;
      const steady = known > 0 ? halves / known : Math.max(0, squares / weights - mean * mean);
      to[4 * i + 3] = isKnown ? Math.max(steady, OUTLIER * own) : steady;
      calm[i] = mean;
      spreads[i] = ((to[4 * i + 3] as number) * weights2) / (weights * weights);
    }
  }
  return calm;
}

/** One pass: a weighted mean of 5 × 5 pixels, 2^pass apart; variance goes with the squares of the weights. */
function smooth(
  from: Plane,
  to: Plane,
  tones: Float32Array,
  spreads: Float32Array,
  { width, height, passes }: Likeness,
  pass: number,
): void {
  const like = passes[pass] as Uint8Array;
  const step = 1 << pass;
  const centre = (KERNEL[0] as number) ** 2;
  const [offsets, kernel] = [new Int32Array(NEIGHBOURS), new Float64Array(NEIGHBOURS)];
  for (let k = 0; k < NEIGHBOURS; k++) {
    const cell = k < NEIGHBOURS / 2 ? k : k + 1;
    const [dx, dy] = [(cell % 5) - 2, Math.floor(cell / 5) - 2];
    offsets[k] = step * (dy * width + dx);
    kernel[k] = ((KERNEL[Math.abs(dx)] as number) * (KERNEL[Math.abs(dy)] as number)) / 255;
  }
  to.set(from);
  for (let i = 0; i < width * height; i++) {
    const own = from[4 * i + 3] as number;
    const tone = tones[i] as number;
    // None of this part, or no noise in it.
    if (own <= CALM * tone * tone) continue;
    const spread = spreads[i] as number;
    let r = centre * (from[4 * i] as number);
    let g = centre * (from[4 * i + 1] as number);
    let b = centre * (from[4 * i + 2] as number);
    let variance = centre * centre * own;
    let sum = centre;
    for (let k = 0; k < NEIGHBOURS; k++) {
      const alike = like[NEIGHBOURS * i + k] as number;
      if (alike === 0) continue;
      const j = i + (offsets[k] as number);
      const other = from[4 * j + 3] as number;
      if (other < 0) continue;
      const off = tone - (tones[j] as number);
      const t = 1 - (off * off) / (TONE_SIGMAS * TONE_SIGMAS * (spread + (spreads[j] as number)) + 1e-20);
      if (t <= 0) continue;
      const weight = (kernel[k] as number) * alike * t * t;
      r += weight * (from[4 * j] as number);
      g += weight * (from[4 * j + 1] as number);
      b += weight * (from[4 * j + 2] as number);
      variance += weight * weight * other;
      sum += weight;
    }
    to[4 * i] = r / sum;
    to[4 * i + 1] = g / sum;
    to[4 * i + 2] = b / sum;
    to[4 * i + 3] = variance / (sum * sum);
  }
}

function likenessOf(guides: Guides): Likeness {
  const { width, height } = guides;
  const data = featuresOf(guides);
  const passes = Array.from({ length: FILTER_PASSES }, (_, pass) => {
    const likes = new Uint8Array(NEIGHBOURS * width * height);
    for (let i = 0; i < width * height; i++) {
      const [x, y] = [i % width, Math.floor(i / width)];
      for (let k = 0; k < NEIGHBOURS; k++) {
        const cell = k < NEIGHBOURS / 2 ? k : k + 1;
        const nx = x + (((cell % 5) - 2) << pass);
        const ny = y + ((((cell / 5) | 0) - 2) << pass);
        if (nx < 0 || nx >= width || ny < 0 || ny >= height) continue;
        likes[NEIGHBOURS * i + k] = Math.round(255 * alike(data, i, ny * width + nx));
      }
    }
    return likes;
  });
  return { width, height, passes };
}

/** 0…1: the same surface as pixel i's, turned alike, in the plane through it, as reflecting. */
function alike(data: Float32Array, i: number, j: number): number {
  const a = FEATURES * i;
  const b = FEATURES * j;
  const near = data[a + 6] as number;
  if ((near === 0) !== (data[b + 6] === 0)) return 0;
  const dr = (data[a + 7] as number) - (data[b + 7] as number);
  const dg = (data[a + 8] as number) - (data[b + 8] as number);
  const db = (data[a + 9] as number) - (data[b + 9] as number);
  const tint = 1 - (dr * dr + dg * dg + db * db) / (ALBEDO_STEP * ALBEDO_STEP);
  if (tint <= 0) return 0;
  if (near === 0) return tint * tint;
  const ax = data[a] as number;
  const ay = data[a + 1] as number;
  const az = data[a + 2] as number;
  const cosine = ax * (data[b] as number) + ay * (data[b + 1] as number) + az * (data[b + 2] as number);
  const turned = (cosine - LEAST_COSINE) / (1 - LEAST_COSINE);
  if (turned <= 0) return 0;
  const off =
    (ax * ((data[b + 3] as number) - (data[a + 3] as number)) +
      ay * ((data[b + 4] as number) - (data[a + 4] as number)) +
      az * ((data[b + 5] as number) - (data[a + 5] as number))) /
    near;
  const plane = 1 - off * off;
  return plane <= 0 ? 0 : tint * tint * turned * turned * plane * plane;
}

function featuresOf({ width, height, albedo, normal, middle, depth }: Guides): Float32Array {
  const data = new Float32Array(FEATURES * width * height);
  for (let i = 0; i < width * height; i++) {
    const at = FEATURES * i;
    const [x, y, z] = [normal[3 * i] as number, normal[3 * i + 1] as number, normal[3 * i + 2] as number];
    const unit = 1 / Math.max(1e-6, Math.sqrt(x * x + y * y + z * z));
    for (let c = 0; c < 3; c++) {
      data[at + c] = unit * (normal[3 * i + c] as number);
      data[at + 3 + c] = middle[3 * i + c] as number;
      data[at + 7 + c] = albedo[3 * i + c] as number;
    }
    data[at + 6] = DEPTH_STEP * (depth[i] as number);
  }
  return data;
}

/** Each pixel's luminance and its variance. */
function readTones(plane: Plane, tones: Float32Array, spreads: Float32Array): void {
  for (let i = 0; i < tones.length; i++) {
    spreads[i] = plane[4 * i + 3] as number;
    tones[i] = luminanceOf(plane[4 * i] as number, plane[4 * i + 1] as number, plane[4 * i + 2] as number);
  }
}

/** Black surfaces are not divided by nothing. */
const base = (guides: Guides, at: number): number => Math.max(0.02, guides.albedo[at] as number);

const baseLuminance = (guides: Guides, i: number): number =>
  luminanceOf(base(guides, 3 * i), base(guides, 3 * i + 1), base(guides, 3 * i + 2));
