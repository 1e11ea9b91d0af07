/** Does a line go through a flat outline or a box? Plain analytic geometry, m. */

import { cross, dot, subtract, type Vec3 } from "../units/index.ts";
import type { Segment } from "./world.ts";

/** Through a convex flat outline; touching its edge or lying in its plane is not through. */
export function throughOutline([a, b]: Segment, outline: readonly Vec3[]): boolean {
  if (outline.length < 3) return false;
  const [p0, p1, p2] = outline as readonly [Vec3, Vec3, Vec3];
  const normal = cross(subtract(p1, p0), subtract(p2, p0));
  const [da, db] = [dot(normal, subtract(a, p0)), dot(normal, subtract(b, p0))];
  if (da * db >= 0) return false;
  const t = da / (da - db);
  const at: Vec3 = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])];
  return outline.every((p, i) => {
    const q = outline[(i + 1) % outline.length] as Vec3;
    return dot(normal, cross(subtract(q, p), subtract(at, p))) > 1e-12;
  });
}

/** Through the inside of an upright box. */
export function throughBox([a, b]: Segment, low: Vec3, high: Vec3): boolean {
  let [from, to] = [0, 1];
  for (const axis of [0, 1, 2] as const) {
    const d = b[axis] - a[axis];
    if (Math.abs(d) < 1e-12) {
      if (a[axis] <= low[axis] || a[axis] >= high[axis]) return false;
      continue;
    }
    const [t0, t1] = [(low[axis] - a[axis]) / d, (high[axis] - a[axis]) / d];
    from = Math.max(from, Math.min(t0, t1));
    to = Math.min(to, Math.max(t0, t1));
  }
  return to - from > 1e-9;
}

/** Least distance from a point to a segment, m. */
export function distanceToSegment(p: Vec3, [a, b]: Segment): number {
  const d = subtract(b, a);
  const along = dot(d, d);
  const t = along > 0 ? Math.min(1, Math.max(0, dot(subtract(p, a), d) / along)) : 0;
  return Math.hypot(p[0] - a[0] - t * d[0], p[1] - a[1] - t * d[1], p[2] - a[2] - t * d[2]);
}
