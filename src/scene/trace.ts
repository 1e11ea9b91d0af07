/**
 * Rays through the tree, without allocations: the caller keeps one `Hit` and one stack per thread. Triangles
 * by Möller and Trumbore 1997 ("Fast, minimum storage ray/triangle intersection"), both faces, edges included
 * with a slack of 1e-6 so that no ray slips between neighbours. Lengths in metres; directions need not be unit,
 * distances are in their length.
 *
 * The two walks are written out whole: a call with numbers that the engine does not inline boxes every one of them,
 * and box tests in a function of their own took half of the time. Boxes by slabs, near and far corner chosen once
 * per ray by the signs of its direction; Math.max and Math.min mispredict less than comparisons.
 */

import type { Bvh } from "./types.ts";

/** Written by `closestHit`. `triangle` is -1 when nothing was hit; (u, v) weigh the second and third vertex. */
export interface Hit {
  triangle: number;
  t: number;
  u: number;
  v: number;
}

/** What the walk reads: the tree, with its triangles. */
export interface Traced {
  readonly bvh: Bvh;
}

/** Nodes still to visit, and where the ray enters them. */
export interface WalkStack {
  readonly nodes: Uint32Array;
  readonly near: Float64Array;
}

export const newHit = (): Hit => ({ triangle: -1, t: 0, u: 0, v: 0 });

/** A stack deep enough for this tree. */
export const newStack = (bvh: Bvh): WalkStack => ({
  nodes: new Uint32Array(2 * bvh.depth + 4),
  near: new Float64Array(2 * bvh.depth + 4),
});

/** Slack on the triangle's edges, as a share of its size. */
const EDGE = 1e-6;
/** Directions along an axis get this little of the others: 0·∞ never comes up. */
const LEAST = 1e-20;
/** A share of rounding on the far side: the box is 32-bit, the ray is not. */
const FAR = 1.0000004;

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
  stack: WalkStack,
): boolean {
  const { floats, words, order, triangles } = scene.bvh;
  const { nodes, near } = stack;
  const ix = 1 / (Math.abs(dx) < LEAST ? LEAST : dx);
  const iy = 1 / (Math.abs(dy) < LEAST ? LEAST : dy);
  const iz = 1 / (Math.abs(dz) < LEAST ? LEAST : dz);
  const [nx, ny, nz] = [ix >= 0 ? 0 : 4, iy >= 0 ? 1 : 5, iz >= 0 ? 2 : 6];
  const [fx, fy, fz] = [4 - nx, 6 - ny, 8 - nz];
  const [sx, sy, sz] = [ox * ix, oy * iy, oz * iz];
  let best = tMax;
  let found = -1;
  let bestU = 0;
  let bestV = 0;
  let top = 0;
  let node = 0;
  for (;;) {
    const at = node << 3;
    const first = words[at + 3]!;
    const count = words[at + 7]!;
    if (count > 0) {
      for (let i = 9 * first; i < 9 * (first + count); i += 9) {
        // q = d × v; the determinant is six times the volume they span.
        const ux = triangles[i + 3]!;
        const uy = triangles[i + 4]!;
        const uz = triangles[i + 5]!;
        const vx = triangles[i + 6]!;
        const vy = triangles[i + 7]!;
        const vz = triangles[i + 8]!;
        const qx = dy * vz - dz * vy;
        const qy = dz * vx - dx * vz;
        const qz = dx * vy - dy * vx;
        const det = ux * qx + uy * qy + uz * qz;
        if (det === 0) continue;
        const inverse = 1 / det;
        const ax = ox - triangles[i]!;
        const ay = oy - triangles[i + 1]!;
        const az = oz - triangles[i + 2]!;
        const u = (ax * qx + ay * qy + az * qz) * inverse;
        if (u < -EDGE || u > 1 + EDGE) continue;
        const rx = ay * uz - az * uy;
        const ry = az * ux - ax * uz;
        const rz = ax * uy - ay * ux;
        const v = (dx * rx + dy * ry + dz * rz) * inverse;
        if (v < -EDGE || u + v > 1 + EDGE) continue;
        const distance = (vx * rx + vy * ry + vz * rz) * inverse;
        if (distance <= tMin || distance >= best) continue;
        found = i;
        best = distance;
        bestU = u;
        bestV = v;
      }
    } else if (first > 0) {
      let a = first << 3;
      let low = tMin;
      let high = best;
      let t = floats[a + nx]! * ix - sx;
      low = Math.max(low, t);
      t = floats[a + ny]! * iy - sy;
      low = Math.max(low, t);
      t = floats[a + nz]! * iz - sz;
      low = Math.max(low, t);
      t = floats[a + fx]! * ix - sx;
      high = Math.min(high, t);
      t = floats[a + fy]! * iy - sy;
      high = Math.min(high, t);
      t = floats[a + fz]! * iz - sz;
      high = Math.min(high, t);
      const left = low;
      const meetsLeft = low <= high * FAR;
      a += 8;
      low = tMin;
      high = best;
      t = floats[a + nx]! * ix - sx;
      low = Math.max(low, t);
      t = floats[a + ny]! * iy - sy;
      low = Math.max(low, t);
      t = floats[a + nz]! * iz - sz;
      low = Math.max(low, t);
      t = floats[a + fx]! * ix - sx;
      high = Math.min(high, t);
      t = floats[a + fy]! * iy - sy;
      high = Math.min(high, t);
      t = floats[a + fz]! * iz - sz;
      high = Math.min(high, t);
      const meetsRight = low <= high * FAR;
      if (meetsLeft) {
        if (!meetsRight) {
          node = first;
          continue;
        }
        if (low < left) {
          nodes[top] = first;
          near[top++] = left;
          node = first + 1;
        } else {
          nodes[top] = first + 1;
          near[top++] = low;
          node = first;
        }
        continue;
      }
      if (meetsRight) {
        node = first + 1;
        continue;
      }
    }
    // What lies behind the nearest hit so far is passed over.
    do {
      if (top === 0) {
        hit.triangle = found < 0 ? -1 : order[found / 9]!;
        hit.t = best;
        hit.u = bestU;
        hit.v = bestV;
        return found >= 0;
      }
      top--;
    } while (near[top]! > best);
    node = nodes[top]!;
  }
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
  stack: WalkStack,
): boolean {
  const { floats, words, triangles } = scene.bvh;
  const { nodes } = stack;
  const ix = 1 / (Math.abs(dx) < LEAST ? LEAST : dx);
  const iy = 1 / (Math.abs(dy) < LEAST ? LEAST : dy);
  const iz = 1 / (Math.abs(dz) < LEAST ? LEAST : dz);
  const [nx, ny, nz] = [ix >= 0 ? 0 : 4, iy >= 0 ? 1 : 5, iz >= 0 ? 2 : 6];
  const [fx, fy, fz] = [4 - nx, 6 - ny, 8 - nz];
  const [sx, sy, sz] = [ox * ix, oy * iy, oz * iz];
  let top = 0;
  let node = 0;
  for (;;) {
    const at = node << 3;
    const first = words[at + 3]!;
    const count = words[at + 7]!;
    if (count > 0) {
      for (let i = 9 * first; i < 9 * (first + count); i += 9) {
        const ux = triangles[i + 3]!;
        const uy = triangles[i + 4]!;
        const uz = triangles[i + 5]!;
        const vx = triangles[i + 6]!;
        const vy = triangles[i + 7]!;
        const vz = triangles[i + 8]!;
        const qx = dy * vz - dz * vy;
        const qy = dz * vx - dx * vz;
        const qz = dx * vy - dy * vx;
        const det = ux * qx + uy * qy + uz * qz;
        if (det === 0) continue;
        const inverse = 1 / det;
        const ax = ox - triangles[i]!;
        const ay = oy - triangles[i + 1]!;
        const az = oz - triangles[i + 2]!;
        const u = (ax * qx + ay * qy + az * qz) * inverse;
        if (u < -EDGE || u > 1 + EDGE) continue;
        const rx = ay * uz - az * uy;
        const ry = az * ux - ax * uz;
        const rz = ax * uy - ay * ux;
        const v = (dx * rx + dy * ry + dz * rz) * inverse;
        if (v < -EDGE || u + v > 1 + EDGE) continue;
        const distance = (vx * rx + vy * ry + vz * rz) * inverse;
        if (distance > tMin && distance < tMax) return true;
      }
    } else if (first > 0) {
      let a = first << 3;
      let low = tMin;
      let high = tMax;
      let t = floats[a + nx]! * ix - sx;
      low = Math.max(low, t);
      t = floats[a + ny]! * iy - sy;
      low = Math.max(low, t);
      t = floats[a + nz]! * iz - sz;
      low = Math.max(low, t);
      t = floats[a + fx]! * ix - sx;
      high = Math.min(high, t);
      t = floats[a + fy]! * iy - sy;
      high = Math.min(high, t);
      t = floats[a + fz]! * iz - sz;
      high = Math.min(high, t);
      const meetsLeft = low <= high * FAR;
      a += 8;
      low = tMin;
      high = tMax;
      t = floats[a + nx]! * ix - sx;
      low = Math.max(low, t);
      t = floats[a + ny]! * iy - sy;
      low = Math.max(low, t);
      t = floats[a + nz]! * iz - sz;
      low = Math.max(low, t);
      t = floats[a + fx]! * ix - sx;
      high = Math.min(high, t);
      t = floats[a + fy]! * iy - sy;
      high = Math.min(high, t);
      t = floats[a + fz]! * iz - sz;
      high = Math.min(high, t);
      const meetsRight = low <= high * FAR;
      if (meetsLeft) {
        if (meetsRight) nodes[top++] = first + 1;
        node = first;
        continue;
      }
      if (meetsRight) {
        node = first + 1;
        continue;
      }
    }
    if (top === 0) return false;
    node = nodes[--top]!;
  }
}
