/**
 * The WGSL twin of mix.ts and false-colour.ts: adds layers that lie on the card, and makes their sum 8-bit pixels, with
 * marks or as stops. `mixPixels` writes packed RGBA; `paintVertex` and `paintFragment` draw the same words on a canvas.
 * Layers are vec4: linear rgb and σ, one picture after another.
 */

import { srgbCode } from "../colour/index.ts";
import { CRUSHED } from "./false-colour.ts";
import type { LayerGain } from "./mix.ts";
import { FIRST_STOP, stopColours } from "./stops-palette.ts";
import { CARD } from "./sums.ts";
import type { LayerId } from "./types.ts";

/** How the mix is shown: as a picture, with marks for clipped and crushed tones over it, or as stops from the card. */
export type LookKind = "picture" | "marked" | "stops";

export interface Look {
  readonly gains: readonly LayerGain[];
  readonly referenceLxS: number;
  readonly cameraOffsetStops: number;
  readonly kind: LookKind;
}

const KINDS: readonly LookKind[] = ["picture", "marked", "stops"];

/** Words before the weights in `lookBuffer`: width, height, layers, kind. */
const HEAD = 4;

/** What the shader reads: head, then rgb weight and a spare per layer. The weights are those of `mixLayers`. */
export function lookBuffer(ids: readonly LayerId[], width: number, height: number, look: Look): ArrayBuffer {
  const buffer = new ArrayBuffer(4 * (HEAD + 4 * Math.max(1, ids.length)));
  new Uint32Array(buffer).set([width, height, ids.length, KINDS.indexOf(look.kind)]);
  const weights = new Float32Array(buffer);
  const scale = 2 ** -look.cameraOffsetStops / look.referenceLxS;
  ids.forEach((id, layer) => {
    const gain = look.gains.find(({ lightId }) => lightId === id);
    if (!gain?.on) return;
    weights.set(
      gain.tint.map((part) => gain.output * scale * part),
      HEAD + 4 * layer,
    );
  });
  return buffer;
}

const packed = ([r, g, b]: readonly [number, number, number]): string =>
  `${(255 * 2 ** 24 + b * 65536 + g * 256 + r) >>> 0}u`;
const grey = (linear: number): string => packed([srgbCode(linear), srgbCode(linear), srgbCode(linear)]);

const common = /* wgsl */ `
struct Look { width: u32, height: u32, layers: u32, kind: u32, weights: array<vec4f> }
@group(0) @binding(0) var<storage, read> look: Look;
@group(0) @binding(1) var<storage, read> layers: array<vec4f>;

fn mixed(i: u32) -> vec3f {
  var sum = vec3f(0.0);
  for (var layer = 0u; layer < look.layers; layer++) {
    let weight = look.weights[layer].xyz;
    if (all(weight == vec3f(0.0))) { continue; }
    sum += weight * layers[layer * look.width * look.height + i].xyz;
  }
  return sum;
}
fn encoded(linear: vec3f) -> u32 {
  let c = clamp(linear, vec3f(0.0), vec3f(1.0));
  let curve = 1.055 * pow(max(c, vec3f(1e-6)), vec3f(1.0 / 2.4)) - 0.055;
  let codes = vec3u(floor(255.0 * select(curve, 12.92 * c, c <= vec3f(0.0031308)) + 0.5));
  return codes.x | (codes.y << 8u) | (codes.z << 16u) | 0xff000000u;
}
fn stopWord(y: f32) -> u32 {
  const words = array<u32, ${stopColours.length}>(${stopColours.map(packed).join(", ")});
  if (!(y > 0.0)) { return words[0]; }
  return words[u32(clamp(floor(log2(y / ${CARD}) + 0.5) - (${FIRST_STOP}.0), 0.0, ${stopColours.length - 1}.0))];
}
// 0 none, 1 clipped, 2 crushed: only where a stripe of the mark falls.
fn stripe(c: vec3f, y: f32, at: vec2u) -> u32 {
  if ((at.x + at.y) % 6u >= 3u) { return 0u; }
  if (max(c.x, max(c.y, c.z)) > 1.0) { return 1u; }
  return select(0u, 2u, y < ${CRUSHED});
}
fn word(at: vec2u) -> u32 {
  let c = mixed(at.y * look.width + at.x);
  if (look.kind == 0u) { return encoded(c); }
  let y = dot(c, vec3f(0.2126, 0.7152, 0.0722));
  let mark = stripe(c, y, at);
  if (look.kind == 1u) {
    if (mark == 0u) { return encoded(c); }
    return select(${grey(0.1)}, ${grey(0.18)}, mark == 1u);
  }
  if (mark == 0u) { return stopWord(y); }
  return select(0xff000000u, 0xffffffffu, mark == 1u);
}
`;

/** Entry point `mixPixels`: packed RGBA of every pixel, 8 × 8 a workgroup. */
export const mixWgsl: string = `${common}
@group(0) @binding(2) var<storage, read_write> pixels: array<u32>;
@compute @workgroup_size(8, 8)
fn mixPixels(@builtin(global_invocation_id) id: vec3u) {
  if (id.x >= look.width || id.y >= look.height) { return; }
  pixels[id.y * look.width + id.x] = word(id.xy);
}
`;

/** Entry points `paintVertex` and `paintFragment`: one triangle over the whole of a canvas of the picture's size. */
export const paintWgsl: string = `${common}
@vertex
fn paintVertex(@builtin(vertex_index) i: u32) -> @builtin(position) vec4f {
  return vec4f(f32(i & 1u) * 4.0 - 1.0, f32(i >> 1u) * 4.0 - 1.0, 0.0, 1.0);
}
@fragment
fn paintFragment(@builtin(position) at: vec4f) -> @location(0) vec4f {
  return unpack4x8unorm(word(vec2u(at.xy)));
}
`;
