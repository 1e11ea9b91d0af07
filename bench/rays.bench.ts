/**
 * Rays per second of the CPU twin's traversal against three-mesh-bvh (a general-purpose library) on the same mesh, the
 * bust and studio of the four-light demo, one thread, the same rays for both: from the lens to the first surface, from
 * there to random points on the fronts (shadow), and from there into the half space (bounce). Both trees are built by
 * surface area; three-mesh-bvh has no query of its own for "anything in between", so it answers shadow rays by its
 * nearest hit within reach. Answers are compared first.
 */

import { BufferAttribute, BufferGeometry, DoubleSide, Ray } from "three";
import { MeshBVH, SAH } from "three-mesh-bvh";
import { cameraRay, newRay } from "../src/picture/index.ts";
import { anyHit, buildBvh, buildScene, closestHit, newHit, newStack, type Scene } from "../src/scene/index.ts";
import { demoSetups, type Setup } from "../src/setup/index.ts";
import { consume, printMachine, printRatio, printSink, race, type Timing } from "./harness.ts";

/** Origin, direction (unit) and reach per ray. */
interface Rays {
  readonly name: string;
  readonly count: number;
  readonly data: Float64Array;
}

type Six = readonly [number, number, number, number, number, number];

const STRIDE = 7;
const FAR = 100;
const COUNT = 60_000;
const SEED = 20_261_125;

const scene: Scene = buildScene(demoSetups()[0] as Setup, { equipment: "hidden" });
const triangles = scene.mesh.indices.length / 3;
const random = makeRandom(SEED);

printMachine();
console.log(`   the four-light demo, ${triangles} triangles, ${COUNT} rays of each kind, seed ${SEED}, one thread`);
const geometry = (): BufferGeometry =>
  new BufferGeometry()
    .setAttribute("position", new BufferAttribute(scene.mesh.positions, 3))
    .setIndex(new BufferAttribute(scene.mesh.indices.slice(), 1));
const theirs = new MeshBVH(geometry(), { strategy: SAH });

const primary = primaryRays();
const hits = hitsOf(primary);
const shadow = shadowRays(hits);
const bounce = bounceRays(hits);

for (const rays of [primary, bounce]) compare(rays, false);
compare(shadow, true);

console.log("   building the tree");
const [built, others] = race(
  [
    { name: "ours, surface area", run: () => buildBvh(scene.mesh).nodeCount },
    { name: "three-mesh-bvh, surface area", run: () => Number(new MeshBVH(geometry(), { strategy: SAH }) !== null) },
  ],
  { rounds: 5 },
);
printRatio(others, built);
printSink();

function compare(rays: Rays, any: boolean): void {
  const [a, b] = [new Float32Array(rays.count), new Float32Array(rays.count)];
  ourRun(rays, any, a);
  theirRun(rays, b);
  const unlike = any
    ? a.reduce((n, t, i) => n + Number(t > 0 !== (b[i] as number) > 0), 0)
    : a.reduce((n, t, i) => n + Number(Math.abs(t - (b[i] as number)) > 1e-4 * Math.max(1, t)), 0);
  console.log(`   ${rays.name}: ${unlike} of ${rays.count} answers differ`);
  const [ours, other] = race(
    [
      { name: `${rays.name}, ours`, run: () => ourRun(rays, any, a) },
      { name: `${rays.name}, three-mesh-bvh`, run: () => theirRun(rays, b) },
    ],
    { rounds: 15, warm: 6 },
  );
  printRatio(other, ours);
  console.log(`   ${rate(rays, ours)} and ${rate(rays, other)} million rays a second by minima (medians)`);
}

function rate({ count }: Rays, timing: Timing | undefined): string {
  const { minMs, medianMs } = timing as Timing;
  return `${(count / 1000 / minMs).toFixed(2)} (${(count / 1000 / medianMs).toFixed(2)})`;
}

/** Distance of each ray's nearest hit (1 for any hit), 0 for none. */
function ourRun({ data, count }: Rays, any: boolean, out: Float32Array): number {
  const [hit, stack] = [newHit(), newStack(scene.bvh)];
  let sum = 0;
  for (let i = 0; i < count; i++) {
    const k = STRIDE * i;
    const [ox, oy, oz] = [data[k] as number, data[k + 1] as number, data[k + 2] as number];
    const [dx, dy, dz] = [data[k + 3] as number, data[k + 4] as number, data[k + 5] as number];
    const reach = data[k + 6] as number;
    if (any) out[i] = anyHit(scene, ox, oy, oz, dx, dy, dz, 1e-4, reach, stack) ? 1 : 0;
    else out[i] = closestHit(scene, ox, oy, oz, dx, dy, dz, 1e-4, reach, hit, stack) ? hit.t : 0;
    sum += out[i] as number;
  }
  return sum;
}

function theirRun({ data, count }: Rays, out: Float32Array): number {
  const ray = new Ray();
  let sum = 0;
  for (let i = 0; i < count; i++) {
    const k = STRIDE * i;
    ray.origin.set(data[k] as number, data[k + 1] as number, data[k + 2] as number);
    ray.direction.set(data[k + 3] as number, data[k + 4] as number, data[k + 5] as number);
    out[i] = theirs.raycastFirst(ray, DoubleSide, 1e-4, data[k + 6] as number)?.distance ?? 0;
    sum += out[i] as number;
  }
  return sum;
}

function primaryRays(): Rays {
  const data = new Float64Array(STRIDE * COUNT);
  const ray = newRay();
  const [width, height] = [200, 300];
  for (let i = 0; i < COUNT; i++) {
    const [x, y] = [i % width, Math.floor(i / width) % height];
    cameraRay(scene.camera, width, height, x + random(), y + random(), 0, 0, ray);
    data.set([ray.ox, ray.oy, ray.oz, ray.dx, ray.dy, ray.dz, FAR], STRIDE * i);
  }
  return { name: "lens", count: COUNT, data };
}

interface Spots {
  readonly positions: readonly (readonly [number, number, number])[];
  readonly normals: readonly (readonly [number, number, number])[];
}

/** Where the lens's rays end, a tenth of a millimetre off the surface, with the normal toward the lens. */
function hitsOf({ data, count }: Rays): Spots {
  const [hit, stack] = [newHit(), newStack(scene.bvh)];
  const positions: [number, number, number][] = [];
  const normals: [number, number, number][] = [];
  const { indices, positions: p } = scene.mesh;
  for (let i = 0; i < count; i++) {
    const [ox, oy, oz, dx, dy, dz] = [...data.subarray(STRIDE * i, STRIDE * i + 6)] as unknown as Six;
    if (!closestHit(scene, ox, oy, oz, dx, dy, dz, 1e-4, FAR, hit, stack)) continue;
    const at = (k: number, axis: number): number => p[3 * (indices[3 * hit.triangle + k] as number) + axis] as number;
    const u = [0, 1, 2].map((axis) => at(1, axis) - at(0, axis)) as [number, number, number];
    const v = [0, 1, 2].map((axis) => at(2, axis) - at(0, axis)) as [number, number, number];
    const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]] as const;
    const side = n[0] * dx + n[1] * dy + n[2] * dz > 0 ? -1 : 1;
    const scale = side / Math.hypot(...n);
    const normal = [n[0] * scale, n[1] * scale, n[2] * scale] as [number, number, number];
    normals.push(normal);
    positions.push([
      ox + hit.t * dx + 1e-4 * normal[0],
      oy + hit.t * dy + 1e-4 * normal[1],
      oz + hit.t * dz + 1e-4 * normal[2],
    ]);
  }
  return { positions, normals };
}

/** To points of the fronts' outlines, corners weighed at random; a tenth of a millimetre short of them. */
function shadowRays({ positions }: Spots): Rays {
  const data = new Float64Array(STRIDE * COUNT);
  for (let i = 0; i < COUNT; i++) {
    const from = positions[i % positions.length] as readonly [number, number, number];
    const { front } = scene.emitters[i % scene.emitters.length] as Scene["emitters"][number];
    const weights = front.outline.map(() => random() + 1e-6);
    const total = weights.reduce((sum, w) => sum + w, 0);
    const to = [0, 1, 2].map((axis) =>
      front.outline.length === 0
        ? (front.centre[axis] as number)
        : front.outline.reduce(
            (sum, corner, k) => sum + (corner[axis] as number) * ((weights[k] as number) / total),
            0,
          ),
    ) as [number, number, number];
    const d = [to[0] - from[0], to[1] - from[1], to[2] - from[2]] as const;
    const length = Math.hypot(...d);
    data.set([...from, d[0] / length, d[1] / length, d[2] / length, length - 1e-3], STRIDE * i);
  }
  return { name: "shadow", count: COUNT, data };
}

/** Even over the half space about the normal. */
function bounceRays({ positions, normals }: Spots): Rays {
  const data = new Float64Array(STRIDE * COUNT);
  for (let i = 0; i < COUNT; i++) {
    const k = i % positions.length;
    const n = normals[k] as readonly [number, number, number];
    const z = 2 * random() - 1;
    const [r, phi] = [Math.sqrt(1 - z * z), 2 * Math.PI * random()];
    const d = [r * Math.cos(phi), r * Math.sin(phi), z] as const;
    const side = d[0] * n[0] + d[1] * n[1] + d[2] * n[2] < 0 ? -1 : 1;
    const from = positions[k] as readonly [number, number, number];
    data.set([...from, side * d[0], side * d[1], side * d[2], FAR], STRIDE * i);
  }
  return { name: "bounce", count: COUNT, data };
}

function makeRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}
consume(hits.positions.length);
