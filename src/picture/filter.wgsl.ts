/**
 * The WGSL twin of sums.ts's reading and of denoise.ts: layers from sums, the filter over two layers at a time (what
 * geometry says of a neighbour is asked once for all their parts), and a thin choice of pixels for the noise estimate.
 * Layers are vec4, linear rgb and σ, one picture after another. Surfaces are three vec4 a pixel: unit normal and reach
 * of a step in depth, mean position and paths, reflectance. Planes are vec4, rgb and variance: shade, then rest, of
 * each layer. A workgroup is 8 × 8 pixels.
 */

import {
  ALBEDO_STEP,
  CALM,
  DEPTH_STEP,
  FILTER_PASSES,
  LEAST_COSINE,
  OUTLIER,
  STAYS,
  TONE_SIGMAS,
  VARIANCE_REACH,
} from "./denoise.ts";
import { GUIDE_STRIDE } from "./guides.ts";
import { SUM_STRIDE } from "./sums.ts";

/** Layers that go through the filter together: more would not fit the registers. */
export const FILTER_GROUP = 2;
/** Reach of each pass, pixels. */
export const FILTER_STEPS: readonly number[] = Array.from({ length: FILTER_PASSES }, (_, pass) => 1 << pass);

/** `step` is the reach of an à-trous pass, or every how manieth pixel is chosen thinly. */
export function filterParams(
  width: number,
  height: number,
  part: { readonly firstLayer: number; readonly layers: number; readonly step: number },
): Uint32Array<ArrayBuffer> {
  return Uint32Array.of(width, height, part.firstLayer, part.layers, part.step, 0, 0, 0);
}

const head = /* wgsl */ `
struct Params { width: u32, height: u32, first: u32, layers: u32, step: u32, spare0: u32, spare1: u32, spare2: u32 }
@group(0) @binding(0) var<uniform> params: Params;
fn luminanceOf(c: vec3f) -> f32 { return dot(c, vec3f(0.2126, 0.7152, 0.0722)); }
fn count() -> u32 { return params.width * params.height; }
`;

/** Before every entry point that is one invocation a pixel. */
const eachPixel = /* wgsl */ `(@builtin(global_invocation_id) id: vec3u) {
  if (id.x >= params.width || id.y >= params.height) { return; }
  let i = id.y * params.width + id.x;`;

/** Entry point `resolve`: sums → layers as they fell; z counts layers. */
export const resolveWgsl: string = `${head}
@group(0) @binding(1) var<storage, read> sums: array<f32>;
@group(0) @binding(2) var<storage, read> guides: array<f32>;
@group(0) @binding(3) var<storage, read_write> layers: array<vec4f>;

fn ratioOf(n: f32, a: f32, g: f32) -> f32 { return select(0.0, n * a / g, g > 0.0); }

@compute @workgroup_size(8, 8)
fn resolve${eachPixel}
  let at = id.z * count() + i;
  let s = ${SUM_STRIDE}u * at;
  let n = vec3f(sums[s], sums[s + 1u], sums[s + 2u]);
  let rest = vec3f(sums[s + 5u], sums[s + 6u], sums[s + 7u]);
  let a = sums[s + 3u];
  let g = sums[s + 4u];
  let paths = guides[${GUIDE_STRIDE}u * i + 13u];
  let odd = floor(paths / 2.0);
  let rgb = (n * select(0.0, a / g, g > 0.0) + rest) / paths;
  let first = (ratioOf(sums[s + 8u], sums[s + 9u], sums[s + 10u]) + sums[s + 11u]) / odd;
  let evenN = luminanceOf(n) - sums[s + 8u];
  let evenRest = luminanceOf(rest) - sums[s + 11u];
  let second = (ratioOf(evenN, a - sums[s + 9u], g - sums[s + 10u]) + evenRest) / (paths - odd);
  layers[at] = vec4f(rgb, select(luminanceOf(rgb), 0.5 * abs(first - second), odd > 0.0));
}
`;

/** Every plane of a group in turn, written out: a loop over registers would put them into memory. */
const planes = (of: (p: number) => string): string =>
  Array.from({ length: 2 * FILTER_GROUP }, (_, p) => of(p)).join("\n");

/**
 * Entry points of the filter over `params.layers` layers from `params.first`: `settle` (guides → surfaces), `divide`
 * (sums → planes; z counts layers), `steady` (their variances), `smooth` as `smoothPlanes` (one à-trous
 * pass), `join` (planes → layers; z counts layers).
 */
export const filterWgsl: string = `${head}
@group(0) @binding(1) var<storage, read> sums: array<f32>;
@group(0) @binding(2) var<storage, read> guides: array<f32>;
@group(0) @binding(3) var<storage, read_write> layers: array<vec4f>;
@group(0) @binding(4) var<storage, read_write> surfaces: array<vec4f>;
@group(0) @binding(5) var<storage, read> source: array<vec4f>;
@group(0) @binding(6) var<storage, read_write> target_: array<vec4f>;
// Of each plane: mean tone of alike neighbours, that mean's variance, the pixel's own draw of its variance, the steadied one.
@group(0) @binding(7) var<storage, read_write> hints: array<vec4f>;

// Variances that are none: no such part here, and not known yet.
const VOID = -1.0;
const UNKNOWN = 1e30;

fn base(i: u32) -> vec3f { return max(vec3f(0.02), surfaces[3u * i + 2u].xyz); }

@compute @workgroup_size(8, 8)
fn settle${eachPixel}
  let g = ${GUIDE_STRIDE}u * i;
  let paths = guides[g + 13u];
  let n = vec3f(guides[g + 3u], guides[g + 4u], guides[g + 5u]) / paths;
  surfaces[3u * i] = vec4f(n / max(1e-6, length(n)), ${DEPTH_STEP} * guides[g + 12u]);
  surfaces[3u * i + 1u] = vec4f(vec3f(guides[g + 6u], guides[g + 7u], guides[g + 8u]) / paths, paths);
  surfaces[3u * i + 2u] = vec4f(vec3f(guides[g], guides[g + 1u], guides[g + 2u]) / paths, 0.0);
}

fn shadePart(s: u32, i: u32) -> vec4f {
  let a = sums[s + 3u];
  let g = sums[s + 4u];
  if (!(a > 0.0 && g > 0.0)) { return vec4f(0.0, 0.0, 0.0, VOID); }
  let rho = base(i);
  let n = vec3f(sums[s], sums[s + 1u], sums[s + 2u]);
  let g1 = sums[s + 10u];
  let n1 = sums[s + 8u];
  let whole = luminanceOf(n);
  // Where only one half met the light, all that is known is the whole.
  var half = whole / g;
  if (g1 > 0.0 && g - g1 > 0.0) { half = 0.5 * (n1 / g1 - (whole - n1) / (g - g1)); }
  return vec4f(n / g * (luminanceOf(rho) / rho), half * half);
}
fn restPart(layer: u32, i: u32) -> vec4f {
  let s = ${SUM_STRIDE}u * (layer * count() + i);
  let paths = surfaces[3u * i + 1u].w;
  let odd = floor(paths / 2.0);
  let first = sums[s + 11u];
  let value = vec3f(sums[s + 5u], sums[s + 6u], sums[s + 7u]);
  let whole = luminanceOf(value);
  let half = 0.5 * (first / odd - (whole - first) / (paths - odd)) / luminanceOf(base(i));
  return vec4f(value / paths / base(i), select(UNKNOWN, half * half, odd > 0.0));
}

@compute @workgroup_size(8, 8)
fn divide${eachPixel}
  let layer = params.first + id.z;
  target_[2u * id.z * count() + i] = shadePart(${SUM_STRIDE}u * (layer * count() + i), i);
  target_[(2u * id.z + 1u) * count() + i] = restPart(layer, i);
}

struct Surface { normal: vec4f, middle: vec3f, tint: vec3f }
fn surfaceAt(i: u32) -> Surface {
  return Surface(surfaces[3u * i], surfaces[3u * i + 1u].xyz, surfaces[3u * i + 2u].xyz);
}
// The CPU twin keeps likeness in eight bits.
fn inEightBits(x: f32) -> f32 { return floor(255.0 * x * x + 0.5) / 255.0; }
// 0…1: the same surface as the own pixel's, turned alike, in the plane through it, as reflecting.
fn alike(own: Surface, j: u32) -> f32 {
  let normal = surfaces[3u * j];
  if ((own.normal.w == 0.0) != (normal.w == 0.0)) { return 0.0; }
  let d = own.tint - surfaces[3u * j + 2u].xyz;
  let tint = max(0.0, 1.0 - dot(d, d) / ${ALBEDO_STEP ** 2});
  if (own.normal.w == 0.0) { return inEightBits(tint); }
  let turned = max(0.0, (dot(own.normal.xyz, normal.xyz) - ${LEAST_COSINE}) / ${1 - LEAST_COSINE});
  let off = dot(own.normal.xyz, surfaces[3u * j + 1u].xyz - own.middle) / own.normal.w;
  let all = tint * turned * max(0.0, 1.0 - off * off);
  return inEightBits(all);
}

@compute @workgroup_size(8, 8)
fn steady${eachPixel}
  let n = count();
  let own = surfaceAt(i);
  // Halves' squares, their weights, all weights, tones, their squares.
${planes((p) => `  var halves${p} = 0.0; var known${p} = 0.0; var weights${p} = 0.0; var tones${p} = 0.0; var squares${p} = 0.0; var weights2${p} = 0.0;`)}
  let low = vec2u(max(vec2i(id.xy) - ${VARIANCE_REACH}, vec2i(0)));
  let high = min(id.xy + ${VARIANCE_REACH}u, vec2u(params.width, params.height) - 1u);
  for (var y = low.y; y <= high.y; y++) {
    for (var x = low.x; x <= high.x; x++) {
      let j = y * params.width + x;
      var weight = 1.0;
      if (j != i) { weight = alike(own, j); }
      if (weight == 0.0) { continue; }
${planes(
  (p) => `
      if (${p >> 1}u < params.layers) {
        let part = source[${p}u * n + j];
        if (part.w >= 0.0) {
          let tone = luminanceOf(part.xyz);
          weights${p} += weight;
          weights2${p} += weight * weight;
          tones${p} += weight * tone;
          squares${p} += weight * tone * tone;
          if (part.w < UNKNOWN) { halves${p} += weight * part.w; known${p} += weight; }
        }
      }`,
)}
    }
  }
${planes(
  (p) => `
  if (${p >> 1}u < params.layers) {
    var part = source[${p}u * n + i];
    if (part.w >= 0.0) {
      let mean = tones${p} / weights${p};
      var variance = max(0.0, squares${p} / weights${p} - mean * mean);
      if (known${p} > 0.0) { variance = halves${p} / known${p}; }
      let draw = part.w;
      part.w = select(max(variance, ${OUTLIER} * draw), variance, draw == UNKNOWN);
      let ofMean = part.w * weights2${p} / (weights${p} * weights${p});
      hints[${p}u * n + i] = vec4f(mean, ofMean, draw, part.w);
    }
    target_[${p}u * n + i] = part;
  }`,
)}
}

@compute @workgroup_size(8, 8)
fn smoothPlanes${eachPixel}
  let n = count();
  let own = surfaceAt(i);
  const kernel = array<f32, 3>(0.375, 0.25, 0.0625);
  const centre = 0.375 * 0.375;
${planes(
  (p) => `
  var part${p} = vec4f(0.0, 0.0, 0.0, VOID);
  if (${p >> 1}u < params.layers) { part${p} = source[${p}u * n + i]; }
  var tone${p} = luminanceOf(part${p}.xyz);
  var spread${p} = part${p}.w;
  if (params.step == 1u && part${p}.w >= 0.0) {
    tone${p} = hints[${p}u * n + i].x;
    spread${p} = hints[${p}u * n + i].y;
  }
  // None of this part, or no noise in it.
  let isNoisy${p} = part${p}.w > ${CALM} * tone${p} * tone${p};
  var mean${p} = centre * part${p}.xyz;
  var variance${p} = centre * centre * part${p}.w;
  var sum${p} = centre;`,
)}
  for (var dy = -2; dy <= 2; dy++) {
    let y = i32(id.y) + dy * i32(params.step);
    if (y < 0 || y >= i32(params.height)) { continue; }
    for (var dx = -2; dx <= 2; dx++) {
      let x = i32(id.x) + dx * i32(params.step);
      if (x < 0 || x >= i32(params.width) || (dx == 0 && dy == 0)) { continue; }
      let j = u32(y) * params.width + u32(x);
      let like = kernel[abs(dy)] * kernel[abs(dx)] * alike(own, j);
      if (like == 0.0) { continue; }
${planes(
  (p) => `
      if (isNoisy${p}) {
        let other = source[${p}u * n + j];
        var otherTone = luminanceOf(other.xyz);
        var otherSpread = other.w;
        if (params.step == 1u) {
          let hint = hints[${p}u * n + j];
          otherTone = hint.x;
          otherSpread = hint.y;
        }
        let off = tone${p} - otherTone;
        let t = 1.0 - off * off / (${TONE_SIGMAS ** 2}.0 * (spread${p} + otherSpread) + 1e-20);
        if (other.w >= 0.0 && t > 0.0) {
          let weight = like * t * t;
          mean${p} += weight * other.xyz;
          variance${p} += weight * weight * other.w;
          sum${p} += weight;
        }
      }`,
)}
    }
  }
${planes(
  (p) => `
  if (${p >> 1}u < params.layers) {
    if (isNoisy${p}) { part${p} = vec4f(mean${p} / sum${p}, variance${p} / (sum${p} * sum${p})); }
    target_[${p}u * n + i] = part${p};
  }`,
)}
}

// A pixel's own draw of its variance, as far as the filter brought the steadied one down, and a part that stays.
fn stays(at: u32, left: f32) -> f32 {
  let hint = hints[at];
  return hint.z * (select(0.0, left / hint.w, hint.w > 0.0) + ${STAYS ** 2});
}

@compute @workgroup_size(8, 8)
fn join${eachPixel}
  let layer = (params.first + id.z) * count() + i;
  let rho = base(i);
  let y = luminanceOf(rho);
  let shade = source[2u * id.z * count() + i];
  let rest = source[(2u * id.z + 1u) * count() + i];
  let closed = select(0.0, sums[${SUM_STRIDE}u * layer + 3u] / surfaces[3u * i + 1u].w, shade.w >= 0.0);
  var variance = y * y * stays((2u * id.z + 1u) * count() + i, rest.w);
  if (shade.w >= 0.0) { variance += closed * closed * stays(2u * id.z * count() + i, shade.w); }
  layers[layer] = vec4f(rho * (rest.xyz + shade.xyz * (closed / y)), sqrt(variance));
}
`;

/** Entry point `thin`: every `params.step`th pixel of every layer (z), 64 a workgroup. */
export const thinWgsl: string = `${head}
@group(0) @binding(1) var<storage, read> layers: array<vec4f>;
@group(0) @binding(2) var<storage, read_write> chosen: array<vec4f>;
@compute @workgroup_size(64)
fn thin(@builtin(global_invocation_id) id: vec3u) {
  let each = (count() + params.step - 1u) / params.step;
  if (id.x >= each) { return; }
  chosen[id.z * each + id.x] = layers[id.z * count() + id.x * params.step];
}
`;
