/**
 * Which tiles of a picture on the card go on: those where more than 5 % of the pixels are noisier than asked. With
 * 95 % of every tile's pixels within the goal, so are 95 % of the picture's (as the work room's renderer does). The
 * list is the tracer's: a dispatch's size, how many tiles, their numbers in any order.
 */

import { TILE_ROW } from "./gpu-buffers.ts";

/** Pixels of a tile of 64 that may be noisier than asked. */
const MAY_BE_OVER = 3;

/** What the shader reads: size, layers, the asked noise in stops, the least tone that counts, then each layer's weight. */
export function chooseBuffer(
  width: number,
  height: number,
  weights: readonly number[],
  noiseStops: number,
  least: number,
): ArrayBuffer {
  const buffer = new ArrayBuffer(4 * (5 + weights.length));
  new Uint32Array(buffer).set([width, height, weights.length]);
  new Float32Array(buffer).set([noiseStops, least, ...weights], 3);
  return buffer;
}

/** An empty list, before `choose` adds to it. */
export const emptyTiles: Uint32Array<ArrayBuffer> = Uint32Array.of(TILE_ROW, 0, 1, 0);

/** Entry point `choose`: a workgroup is a tile. */
export const chooseWgsl: string = /* wgsl */ `
struct Goal { width: u32, height: u32, layers: u32, noise: f32, least: f32, weights: array<f32> }
@group(0) @binding(0) var<storage, read> goal: Goal;
@group(0) @binding(1) var<storage, read> layers: array<vec4f>;
@group(0) @binding(2) var<storage, read_write> tiles: array<atomic<u32>>;
var<workgroup> over: atomic<u32>;

fn isOver(i: u32) -> bool {
  var value = 0.0;
  var variance = 0.0;
  for (var layer = 0u; layer < goal.layers; layer++) {
    let w = goal.weights[layer];
    if (w == 0.0) { continue; }
    let own = layers[layer * goal.width * goal.height + i];
    value += w * dot(own.xyz, vec3f(0.2126, 0.7152, 0.0722));
    variance += w * w * own.w * own.w;
  }
  return value > 0.0 && value >= goal.least && log2(1.0 + sqrt(variance) / value) > goal.noise;
}

@compute @workgroup_size(8, 8)
fn choose(
  @builtin(global_invocation_id) id: vec3u,
  @builtin(workgroup_id) group: vec3u,
  @builtin(local_invocation_index) local: u32,
) {
  if (id.x < goal.width && id.y < goal.height && isOver(id.y * goal.width + id.x)) { atomicAdd(&over, 1u); }
  workgroupBarrier();
  if (local != 0u || atomicLoad(&over) <= ${MAY_BE_OVER}u) { return; }
  let place = atomicAdd(&tiles[3], 1u);
  atomicStore(&tiles[4u + place], group.y * ((goal.width + 7u) / 8u) + group.x);
  atomicMax(&tiles[1], place / ${TILE_ROW}u + 1u);
}
`;
