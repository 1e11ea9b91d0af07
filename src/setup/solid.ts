/**
 * Convex solids and the gap between two of them. A solid is the hull of a few points, swollen by a radius: a ball, a
 * tube, a box, a shell. The gap is found by the distance algorithm of Gilbert, Johnson and Keerthi (A fast procedure
 * for computing the distance between complex objects in three-dimensional space, 1988) with closest points on
 * triangles after their Voronoi regions. Lengths in metres.
 */

import { add, cross, dot, scale, subtract, type Vec3 } from "../units/index.ts";

export interface Solid {
  readonly points: readonly Vec3[];
  readonly radiusM: number;
  /** A ball that holds the hull, without the radius: most pairs are far apart and need no more. */
  readonly centre: Vec3;
  readonly reachM: number;
}

/** The hull of `points` swollen by `radiusM`. Throws RangeError without a point. */
export function solid(points: readonly Vec3[], radiusM = 0): Solid {
  if (points.length === 0) throw new RangeError("a solid needs a point");
  let [low, high] = [points[0] as Vec3, points[0] as Vec3];
  for (const [x, y, z] of points) {
    low = [Math.min(low[0], x), Math.min(low[1], y), Math.min(low[2], z)];
    high = [Math.max(high[0], x), Math.max(high[1], y), Math.max(high[2], z)];
  }
  const centre = scale(add(low, high), 0.5);
  const d = subtract(high, centre);
  return { points, radiusM, centre, reachM: Math.sqrt(dot(d, d)) };
}

const mostSteps = 40;

/**
 * The gap between two solids, m; negative or 0 when they touch or stand in each other. Once it is sure that the gap
 * is `enoughM` or more the search ends, and what is returned is some lower bound of that size.
 */
export function gapM(a: Solid, b: Solid, enoughM: number = Number.POSITIVE_INFINITY): number {
  const swell = a.radiusM + b.radiusM;
  const between = subtract(a.centre, b.centre);
  const bound = Math.sqrt(dot(between, between)) - a.reachM - b.reachM;
  if (bound - swell >= enoughM) return bound - swell;
  let nearest = subtract(a.points[0] as Vec3, b.points[0] as Vec3);
  let simplex: readonly Vec3[] = [nearest];
  for (let step = 0; step < mostSteps; step++) {
    const square = dot(nearest, nearest);
    if (square < 1e-14) return -swell;
    const length = Math.sqrt(square);
    const corner = subtract(support(a.points, nearest, -1), support(b.points, nearest, 1));
    const along = dot(nearest, corner);
    if (along / length - swell >= enoughM) return along / length - swell;
    // No corner lies nearer to the origin than the plane through what was found: it is the nearest point.
    if (square - along <= 1e-9 * square + 1e-14) return length - swell;
    const found = nearestOf([...simplex, corner]);
    if (found === null) return -swell;
    if (dot(found.point, found.point) >= square) return length - swell;
    nearest = found.point;
    simplex = found.kept;
  }
  return Math.sqrt(dot(nearest, nearest)) - swell;
}

/** The point farthest along `sign` times a direction. */
function support(points: readonly Vec3[], direction: Vec3, sign: 1 | -1): Vec3 {
  let [best, most] = [points[0] as Vec3, Number.NEGATIVE_INFINITY];
  for (const p of points) {
    const along = sign * dot(p, direction);
    if (along > most) {
      best = p;
      most = along;
    }
  }
  return best;
}

interface Nearest {
  readonly point: Vec3;
  /** The corners that hold it. */
  readonly kept: readonly Vec3[];
}

/** The point of a simplex of one to four corners nearest to the origin; null where the origin is inside. */
function nearestOf(corners: readonly Vec3[]): Nearest | null {
  const [a, b, c, d] = corners as readonly [Vec3, Vec3, Vec3, Vec3];
  if (corners.length === 1) return { point: a, kept: [a] };
  if (corners.length === 2) return onEdge(a, b);
  if (corners.length === 3) return onTriangle(a, b, c);
  return inTetrahedron(a, b, c, d);
}

function onEdge(a: Vec3, b: Vec3): Nearest {
  const ab = subtract(b, a);
  const t = -dot(a, ab);
  const whole = dot(ab, ab);
  if (t <= 0) return { point: a, kept: [a] };
  if (t >= whole) return { point: b, kept: [b] };
  return { point: add(a, scale(ab, t / whole)), kept: [a, b] };
}

/** Nearest to the origin on a triangle: its corners, its edges, or the foot of the perpendicular inside. */
function onTriangle(a: Vec3, b: Vec3, c: Vec3): Nearest {
  const normal = cross(subtract(b, a), subtract(c, a));
  const whole = dot(normal, normal);
  const beyond = (p: Vec3, q: Vec3): boolean => dot(cross(subtract(q, p), normal), p) < 0;
  const inside = whole > 1e-18 && !beyond(a, b) && !beyond(b, c) && !beyond(c, a);
  if (inside) return { point: scale(normal, dot(normal, a) / whole), kept: [a, b, c] };
  const edges = [onEdge(a, b), onEdge(b, c), onEdge(c, a)];
  return edges.reduce((best, edge) => (dot(edge.point, edge.point) < dot(best.point, best.point) ? edge : best));
}

function inTetrahedron(a: Vec3, b: Vec3, c: Vec3, d: Vec3): Nearest | null {
  const faces = [
    [a, b, c, d],
    [a, c, d, b],
    [a, d, b, c],
    [b, d, c, a],
  ] as const;
  const volume = dot(cross(subtract(b, a), subtract(c, a)), subtract(d, a));
  let best: Nearest | null = null;
  for (const [p, q, r, other] of faces) {
    const normal = cross(subtract(q, p), subtract(r, p));
    // The origin on the far side of a face from the fourth corner is outside there; a flat one has only outsides.
    const outside = -dot(normal, p) * dot(normal, subtract(other, p)) <= 0;
    if (!outside && Math.abs(volume) > 1e-15) continue;
    const face = onTriangle(p, q, r);
    if (best === null || dot(face.point, face.point) < dot(best.point, best.point)) best = face;
  }
  return best;
}
