/**
 * A meter held at a spot of the picture: straight light of each front past what stands between, as photometry and the
 * scene give it; and what panels and room add there, read from the traced layer: π·L over reflectance is what a flat
 * receptor along the surface gets in all, less the straight light of the same receptor. That part is an estimate:
 * it has the layer's noise, and the shine of skin in it.
 */

import type { Front } from "../../../../photometry/index.ts";
import { type Guides, type Layer, type PackedScene, probeLights, spotUnder } from "../../../../picture/index.ts";
import { closestHit, newHit, newStack } from "../../../../scene/index.ts";
import { dot, subtract, type Vec3 } from "../../../../units/index.ts";
import type { Held, ProbedLight } from "./messages.ts";

/** Numbers per material, and the two kinds that have a matt base (picture/pack.ts). */
const MATERIAL_STRIDE = 16;
const MATT_KINDS: readonly number[] = [0, 1];
/** Neighbours this far each way steady the layer's figure. */
const AROUND = 1;

/** Null where nothing is seen. `layerOf` hands out the kept layer of a light. */
export function probeSpot(
  scene: PackedScene,
  fronts: readonly Front[],
  guides: Guides,
  layerOf: (lightId: string) => Layer | undefined,
  x: number,
  y: number,
  held: Held,
): readonly ProbedLight[] | null {
  const spot = spotUnder(guides, x, y);
  if (spot === null) return null;
  const straight = probeLights(scene, fronts, spot, { kind: held.receptor }, held.aim);
  const along = isMatt(scene, spot.position) ? probeLights(scene, fronts, spot, { kind: "disc" }, "normal") : null;
  const lights = straight.map(({ lightId, factor }, i) => {
    const layer = layerOf(lightId);
    if (along === null || layer === undefined) return { lightId, factor, returned: null };
    const received = receivedAt(layer, guides, x, y);
    return {
      lightId,
      factor,
      returned: received === null ? null : Math.max(0, received - (along[i]?.factor ?? 0)),
    };
  });
  // The room's own light comes from everywhere: all of it is in the layer.
  const room = layerOf("ambient");
  if (room === undefined) return lights;
  return [...lights, { lightId: "ambient", factor: 0, returned: along && receivedAt(room, guides, x, y) }];
}

/** Whether the surface that the camera sees there has a matt base to read light from. */
function isMatt(scene: PackedScene, position: Vec3): boolean {
  const [hit, stack] = [newHit(), newStack(scene.bvh)];
  const way = subtract(position, scene.camera.position);
  let from = 1e-4;
  for (;;) {
    if (!closestHit(scene, ...scene.camera.position, ...way, from, 1.01, hit, stack)) return false;
    if (scene.hidden[hit.triangle] === 0 || !scene.hasHidden) break;
    from = hit.t + 1e-4;
  }
  const material = scene.mesh.materials[hit.triangle] as number;
  return MATT_KINDS.includes(scene.materials[MATERIAL_STRIDE * material] as number);
}

/** Layer over reflectance in luminance, mean of the pixels around that lie on the same surface. */
function receivedAt(layer: Layer, guides: Guides, x: number, y: number): number | null {
  const { width, height } = guides;
  if (layer.width !== width) return null;
  const i = y * width + x;
  const own = vector(guides.normal, i);
  let [sum, count] = [0, 0];
  for (let ny = Math.max(0, y - AROUND); ny <= Math.min(height - 1, y + AROUND); ny++) {
    for (let nx = Math.max(0, x - AROUND); nx <= Math.min(width - 1, x + AROUND); nx++) {
      const j = ny * width + nx;
      const near = Math.abs((guides.depth[j] as number) - (guides.depth[i] as number)) < 0.03;
      const albedo = luminance(vector(guides.albedo, j));
      if (!near || albedo < 0.005 || dot(own, vector(guides.normal, j)) < 0.9) continue;
      sum += luminance(vector(layer.rgb, j)) / albedo;
      count++;
    }
  }
  return count === 0 ? null : sum / count;
}

const vector = (from: Float32Array, i: number): Vec3 => [
  from[3 * i] as number,
  from[3 * i + 1] as number,
  from[3 * i + 2] as number,
];

const luminance = ([r, g, b]: Vec3): number => 0.2126 * r + 0.7152 * g + 0.0722 * b;
