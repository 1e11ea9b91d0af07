/**
 * Rays through the tree, without allocations: the caller keeps one `Hit` and one stack per thread. Triangles
 * by Möller and Trumbore 1997 ("Fast, minimum storage ray/triangle intersection"), both faces, edges included
 * with a slack of 1e-6 so that no ray slips between neighbours. Lengths in metres; directions need not be unit,
 * distances are in their length.
 */

import type { Bvh, Mesh } from "./types.ts";

/** Written by `closestHit`. `triangle` is -1 when nothing was hit; (u, v) weigh the second and third vertex. */
export interface Hit {
  triangle: number;
  t: number;
  u: number;
  v: number;
}

/** What the walk reads: the tree and the triangles. */
export interface Traced {
  readonly mesh: Pick<Mesh, "positions" | "indices">;
  readonly bvh: Bvh;
}

export const newHit = (): Hit => ({ triangle: -1, t: 0, u: 0, v: 0 });

/** A stack deep enough for this tree. */
export const newStack = (bvh: Bvh): Uint32Array => new Uint32Array(2 * bvh.depth + 4);

/** Slack on the triangle's edges, as a share of its size. */
const EDGE = 1e-6;

/** Nearest triangle between tMin and tMax along o + t·d. Returns whether there is one and fills `hit`. */
export function closestHit(
  scene: Traced,
  ox: number,
  oy: number,
  oz: number,
  dx: number,
  dy: number,
  dz: number,
  tMin: number,
  tMax: number,
  hit: Hit,
  stack: Uint32Array,
): boolean {
  const { floats, words, order } = scene.bvh;
  const ix = 1 / dx;
  const iy = 1 / dy;
  const iz = 1 / dz;
  hit.triangle = -1;
  hit.t = tMax;
  let top = 0;
  let node = 0;
  if (enter(floats, 0, ox, oy, oz, ix, iy, iz, tMin, tMax) === Number.POSITIVE_INFINITY) return false;
  for (;;) {
    const first = words[node * 8 + 3]!;
    const count = words[node * 8 + 7]!;
    if (count > 0) {
      for (let i = first; i < first + count; i++) meet(scene.mesh, order[i]!, ox, oy, oz, dx, dy, dz, tMin, hit);
    } else if (first > 0) {
      let near = enter(floats, first * 8, ox, oy, oz, ix, iy, iz, tMin, hit.t);
      let far = enter(floats, first * 8 + 8, ox, oy, oz, ix, iy, iz, tMin, hit.t);
      let nearNode = first;
      let farNode = first + 1;
      if (far < near) {
        const held = near;
        near = far;
        far = held;
        nearNode = first + 1;
        farNode = first;
      }
      if (near < Number.POSITIVE_INFINITY) {
        if (far < Number.POSITIVE_INFINITY) stack[top++] = farNode;
        node = nearNode;
        continue;
      }
    }
    if (top === 0) break;
    node = stack[--top]!;
  }
  return hit.triangle >= 0;
}

/** Whether anything lies between tMin and tMax along o + t·d: for shadows. */
export function anyHit(
  scene: Traced,
  ox: number,
  oy: number,
  oz: number,
  dx: number,
  dy: number,
  dz: number,
  tMin: number,
  tMax: number,
  hit: Hit,
  stack: Uint32Array,
): boolean {
  const { floats, words, order } = scene.bvh;
  const ix = 1 / dx;
  const iy = 1 / dy;
  const iz = 1 / dz;
  hit.triangle = -1;
  hit.t = tMax;
  let top = 0;
  let node = 0;
  if (enter(floats, 0, ox, oy, oz, ix, iy, iz, tMin, tMax) === Number.POSITIVE_INFINITY) return false;
  for (;;) {
    const first = words[node * 8 + 3]!;
    const count = words[node * 8 + 7]!;
    if (count > 0) {
      for (let i = first; i < first + count; i++) {
        meet(scene.mesh, order[i]!, ox, oy, oz, dx, dy, dz, tMin, hit);
        if (hit.triangle >= 0) return true;
      }
    } else if (first > 0) {
      const left = enter(floats, first * 8, ox, oy, oz, ix, iy, iz, tMin, tMax);
      const right = enter(floats, first * 8 + 8, ox, oy, oz, ix, iy, iz, tMin, tMax);
      if (left < Number.POSITIVE_INFINITY) {
        if (right < Number.POSITIVE_INFINITY) stack[top++] = first + 1;
        node = first;
        continue;
      }
      if (right < Number.POSITIVE_INFINITY) {
        node = first + 1;
        continue;
      }
    }
    if (top === 0) return false;
    node = stack[--top]!;
  }
}

/** Where the ray enters the box, or infinity. Comparisons are written so that 0·∞ (NaN) counts as inside. */
function enter(
  floats: Float32Array,
  at: number,
  ox: number,
  oy: number,
  oz: number,
  ix: number,
  iy: number,
  iz: number,
  tMin: number,
  tMax: number,
): number {
  let low = tMin;
  let high = tMax;
  let a = (floats[at]! - ox) * ix;
  let b = (floats[at + 4]! - ox) * ix;
  if (ix >= 0) {
    if (a > low) low = a;
    if (b < high) high = b;
  } else {
    if (b > low) low = b;
    if (a < high) high = a;
  }
  a = (floats[at + 1]! - oy) * iy;
  b = (floats[at + 5]! - oy) * iy;
  if (iy >= 0) {
    if (a > low) low = a;
    if (b < high) high = b;
  } else {
    if (b > low) low = b;
    if (a < high) high = a;
  }
  a = (floats[at + 2]! - oz) * iz;
  b = (floats[at + 6]! - oz) * iz;
  if (iz >= 0) {
    if (a > low) low = a;
    if (b < high) high = b;
  } else {
    if (b > low) low = b;
    if (a < high) high = a;
  }
  // A share of rounding on the far side: the box is 32-bit, the ray is not.
  return low <= high * 1.0000004 ? low : Number.POSITIVE_INFINITY;
}

/** Möller and Trumbore: keeps the triangle in `hit` when it is nearer. */
function meet(
  mesh: Traced["mesh"],
  t: number,
  ox: number,
  oy: number,
  oz: number,
  dx: number,
  dy: number,
  dz: number,
  tMin: number,
  hit: Hit,
): void {
  const p = mesh.positions;
  const a = mesh.indices[3 * t]! * 3;
  const b = mesh.indices[3 * t + 1]! * 3;
  const c = mesh.indices[3 * t + 2]! * 3;
  const ax = p[a]!;
  const ay = p[a + 1]!;
  const az = p[a + 2]!;
  const ux = p[b]! - ax;
  const uy = p[b + 1]! - ay;
  const uz = p[b + 2]! - az;
  const vx = p[c]! - ax;
  const vy = p[c + 1]! - ay;
  const vz = p[c + 2]! - az;
  // q = d × v; the determinant is six times the volume they span.
  const qx = dy * vz - dz * vy;
  const qy = dz * vx - dx * vz;
  const qz = dx * vy - dy * vx;
  const det = ux * qx + uy * qy + uz * qz;
  if (det === 0) return;
  const inverse = 1 / det;
  const sx = ox - ax;
  const sy = oy - ay;
  const sz = oz - az;
  const u = (sx * qx + sy * qy + sz * qz) * inverse;
  if (u < -EDGE || u > 1 + EDGE) return;
  const rx = sy * uz - sz * uy;
  const ry = sz * ux - sx * uz;
  const rz = sx * uy - sy * ux;
  const v = (dx * rx + dy * ry + dz * rz) * inverse;
  if (v < -EDGE || u + v > 1 + EDGE) return;
  const distance = (vx * rx + vy * ry + vz * rz) * inverse;
  if (distance <= tMin || distance >= hit.t) return;
  hit.triangle = t;
  hit.t = distance;
  hit.u = u;
  hit.v = v;
}
