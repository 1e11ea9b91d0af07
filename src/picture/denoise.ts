/**
 * A variance-guided à-trous filter over one layer (after Dammertz et al. 2010 and the spatial part of Schied et al.
 * 2017, "Spatiotemporal Variance-Guided Filtering"; from memory), over its parts apart: `shade`, what of the closed
 * form gets through (N/G of sums.ts), and `rest`, everything else. The closed form itself stays as sharp as it is, and
 * so does reflectance, for both parts are divided by it first. How much two pixels may differ and still be averaged is
 * their own estimated noise; what surface they show is asked of the guides. All weights are polynomials that end: behind
 * an edge nothing gets in. A layer is filtered by itself: nothing of another light can enter it. Off is not calling it.
 * 64 bytes per pixel of scratch, of one layer at a time.
 */

import { luminanceOf, noiseOf, SUM_STRIDE } from "./sums.ts";
import type { Guides, Layer } from "./types.ts";

/** Passes of growing reach: 1, 2, 4, 8, 16 pixels. */
export const FILTER_PASSES = 5;
/** Tones farther apart than so many σ of their difference are an edge. */
export const TONE_SIGMAS = 3;
/** Off the plane through the other pixel's surface by this part of its distance: another surface. */
export const DEPTH_STEP = 0.01;
/** Normals at a smaller cosine, and reflectances farther apart, are other surfaces. */
export const LEAST_COSINE = 0.8;
export const ALBEDO_STEP = 0.15;
/** A lone pixel so many times as bright as its neighbours is a spark, if its halves differ by this part of it. */
export const SPARK = 2;
export const SPARK_SIGMA = 0.4;
/** A pixel whose own half-difference squared is over 1/this of its neighbours' mean is known worse than they are. */
export const OUTLIER = 0.25;
/** Half the side of the window over which variance is estimated. */
export const VARIANCE_REACH = 3;
/** Variance at which a part of that pixel is not known at all. */
const VOID = -1;
/** B3 spline weights 3/8, 1/4, 1/16. */
const KERNEL: readonly number[] = [0.375, 0.25, 0.0625];

/** Four numbers per pixel: rgb and the variance of its luminance; negative where there is none of this part. */
type Plane = Float32Array;

/** What geometry the filter compares, flat for the inner loop: normal, position, reach of a step in depth, albedo. */
interface Features {
  readonly width: number;
  readonly height: number;
  /** Ten numbers per pixel. */
  readonly data: Float32Array;
}
const FEATURES = 10;

/** The filtered layer; sizes must agree. σ of a pixel falls with what was averaged. */
export function denoiseLayer(layer: Layer, guides: Guides): Layer {
  const { width, height, sums, ...kept } = layer;
  if (guides.width !== width || guides.height !== height) throw new RangeError("guides and layer have one size");
  const features = featuresOf(guides);
  const rest = filtered(withoutSparks(restPlane(layer, guides), width, height), features);
  const shade = sums ? filtered(shadePlane(sums, guides), features) : null;
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

function filtered(plane: Plane, features: Features): Plane {
  let from = plane;
  let to: Plane = new Float32Array(plane.length);
  steadyVariance(from, to, features);
  [from, to] = [to, from];
  for (let pass = 0; pass < FILTER_PASSES; pass++) {
    smooth(from, to, features, 1 << pass);
    [from, to] = [to, from];
  }
  return from;
}

/**
 * One pixel's half-difference is itself a draw with one degree of freedom: the mean over alike neighbours steadies
 * it. Where there are no halves yet, the neighbours' own spread stands in.
 */
function steadyVariance(from: Plane, to: Plane, features: Features): void {
  const { width, height } = features;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      to.set(from.subarray(4 * i, 4 * i + 4), 4 * i);
      if ((from[4 * i + 3] as number) < 0) continue;
      let [halves, known, weights, sum, squares] = [0, 0, 0, 0, 0];
      for (let ny = Math.max(0, y - VARIANCE_REACH); ny <= Math.min(height - 1, y + VARIANCE_REACH); ny++) {
        for (let nx = Math.max(0, x - VARIANCE_REACH); nx <= Math.min(width - 1, x + VARIANCE_REACH); nx++) {
          const j = ny * width + nx;
          const value = from[4 * j + 3] as number;
          if (value < 0) continue;
          const weight = j === i ? 1 : alike(features.data, i, j);
          if (weight === 0) continue;
          const tone = toneOf(from, j);
          weights += weight;
          sum += weight * tone;
          squares += weight * tone * tone;
          if (Number.isNaN(value)) continue;
          halves += weight * value;
          known += weight;
        }
      }
      const mean = sum / weights;
      const steady = known > 0 ? halves / known : Math.max(0, squares / weights - mean * mean);
      const own = from[4 * i + 3] as number;
      to[4 * i + 3] = Number.isNaN(own) ? steady : Math.max(steady, OUTLIER * own);
    }
  }
}

/** One pass: a weighted mean of 5 × 5 pixels, `step` apart; variance goes with the squares of the weights. */
function smooth(from: Plane, to: Plane, { width, height, data }: Features, step: number): void {
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const own = from[4 * i + 3] as number;
      let r = from[4 * i] as number;
      let g = from[4 * i + 1] as number;
      let b = from[4 * i + 2] as number;
      let variance = own;
      if (own >= 0) {
        const tone = luminanceOf(r, g, b);
        const centre = (KERNEL[0] as number) ** 2;
        let sum = centre;
        r *= centre;
        g *= centre;
        b *= centre;
        variance = centre * centre * own;
        for (let dy = -2; dy <= 2; dy++) {
          const ny = y + dy * step;
          if (ny < 0 || ny >= height) continue;
          const row = KERNEL[dy < 0 ? -dy : dy] as number;
          for (let dx = -2; dx <= 2; dx++) {
            const nx = x + dx * step;
            if (nx < 0 || nx >= width || (dx === 0 && dy === 0)) continue;
            const j = ny * width + nx;
            const other = from[4 * j + 3] as number;
            if (other < 0) continue;
            const jr = from[4 * j] as number;
            const jg = from[4 * j + 1] as number;
            const jb = from[4 * j + 2] as number;
            const off = tone - luminanceOf(jr, jg, jb);
            const t = 1 - (off * off) / (TONE_SIGMAS * TONE_SIGMAS * (own + other) + 1e-20);
            if (t <= 0) continue;
            const like = alike(data, i, j);
            if (like === 0) continue;
            const weight = row * (KERNEL[dx < 0 ? -dx : dx] as number) * t * t * like;
            r += weight * jr;
            g += weight * jg;
            b += weight * jb;
            variance += weight * weight * other;
            sum += weight;
          }
        }
        r /= sum;
        g /= sum;
        b /= sum;
        variance /= sum * sum;
      }
      to[4 * i] = r;
      to[4 * i + 1] = g;
      to[4 * i + 2] = b;
      to[4 * i + 3] = variance;
    }
  }
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

function featuresOf({ width, height, albedo, normal, middle, depth }: Guides): Features {
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
  return { width, height, data };
}

const toneOf = (plane: Plane, i: number): number =>
  luminanceOf(plane[4 * i] as number, plane[4 * i + 1] as number, plane[4 * i + 2] as number);

/** Black surfaces are not divided by nothing. */
const base = (guides: Guides, at: number): number => Math.max(0.02, guides.albedo[at] as number);

const baseLuminance = (guides: Guides, i: number): number =>
  luminanceOf(base(guides, 3 * i), base(guides, 3 * i + 1), base(guides, 3 * i + 2));

/**
 * A pixel more than twice as bright as all eight neighbours, and that in one of its halves alone, is a rare path that
 * hit: it is brought down to the brightest of them. A catchlight shines in both halves and stays.
 */
function withoutSparks(plane: Plane, width: number, height: number): Plane {
  const calm = Float32Array.from(plane);
  const tones = Float32Array.from({ length: width * height }, (_, i) => toneOf(plane, i));
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = y * width + x;
      const own = tones[i] as number;
      if ((plane[4 * i + 3] as number) < (SPARK_SIGMA * own) ** 2) continue;
      let most = 0;
      for (let ny = Math.max(0, y - 1); ny <= Math.min(height - 1, y + 1); ny++) {
        for (let nx = Math.max(0, x - 1); nx <= Math.min(width - 1, x + 1); nx++) {
          const j = ny * width + nx;
          if (j !== i) most = Math.max(most, tones[j] as number);
        }
      }
      if (own <= SPARK * most || most === 0) continue;
      for (let c = 0; c < 3; c++) calm[4 * i + c] = ((plane[4 * i + c] as number) * most) / own;
      calm[4 * i + 3] = ((plane[4 * i + 3] as number) * most * most) / (own * own);
    }
  }
  return calm;
}
