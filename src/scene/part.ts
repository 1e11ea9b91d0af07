/**
 * Pieces of a scene before they are put together: triangles with one material by name, in any unit and frame;
 * makers of the usual shapes, and normals from faces. A triangle runs counter-clockwise seen from outside.
 */

import type { Vec3 } from "../units/index.ts";
import type { Rgb } from "./types.ts";

export interface Part {
  readonly material: string;
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  /** Null: none. */
  readonly tangents: Float32Array | null;
  /** Null: 1 1 1 everywhere. */
  readonly tints: Float32Array | null;
  readonly indices: Uint32Array;
}

/** Vertices and triangles as they are found. */
export interface Draft {
  readonly positions: number[];
  readonly indices: number[];
  readonly tints: number[];
  readonly tangents: number[];
}

export const newDraft = (): Draft => ({ positions: [], indices: [], tints: [], tangents: [] });

/** Adds a vertex and returns its number. */
export function vertex(draft: Draft, x: number, y: number, z: number): number {
  draft.positions.push(x, y, z);
  return draft.positions.length / 3 - 1;
}

export function quad(draft: Draft, a: number, b: number, c: number, d: number): void {
  draft.indices.push(a, b, c, a, c, d);
}

/** A flat polygon, convex, counter-clockwise seen from its front. */
export function polygon(draft: Draft, points: readonly Vec3[]): void {
  const first = draft.positions.length / 3;
  for (const [x, y, z] of points) vertex(draft, x, y, z);
  for (let i = 1; i + 1 < points.length; i++) draft.indices.push(first, first + i, first + i + 1);
}

/** Closes the draft: smooth normals where vertices are shared, flat where they are not. */
export function finish(draft: Draft, material: string): Part {
  const positions = Float32Array.from(draft.positions);
  const indices = Uint32Array.from(draft.indices);
  return {
    material,
    positions,
    indices,
    normals: normalsOf(positions, indices),
    tangents: draft.tangents.length > 0 ? Float32Array.from(draft.tangents) : null,
    tints: draft.tints.length > 0 ? Float32Array.from(draft.tints) : null,
  };
}

/** Unit normals per vertex: faces weighted by area. A vertex of no face points up. */
export function normalsOf(positions: Float32Array, indices: Uint32Array): Float32Array {
  const normals = new Float32Array(positions.length);
  for (let i = 0; i < indices.length; i += 3) {
    const a = indices[i]! * 3;
    const b = indices[i + 1]! * 3;
    const c = indices[i + 2]! * 3;
    const ux = positions[b]! - positions[a]!;
    const uy = positions[b + 1]! - positions[a + 1]!;
    const uz = positions[b + 2]! - positions[a + 2]!;
    const vx = positions[c]! - positions[a]!;
    const vy = positions[c + 1]! - positions[a + 1]!;
    const vz = positions[c + 2]! - positions[a + 2]!;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    for (const at of [a, b, c]) {
      normals[at]! += nx;
      normals[at + 1]! += ny;
      normals[at + 2]! += nz;
    }
  }
  for (let at = 0; at < normals.length; at += 3) {
    const l = Math.hypot(normals[at]!, normals[at + 1]!, normals[at + 2]!);
    if (l > 0) for (let k = 0; k < 3; k++) normals[at + k]! /= l;
    else normals[at + 1] = 1;
  }
  return normals;
}

/** A grid of rows × columns of vertices, counter-clockwise when rows go down and columns to the right. */
export function gridTriangles(draft: Draft, first: number, rows: number, columns: number, closed: boolean): void {
  const last = closed ? columns : columns - 1;
  for (let i = 0; i + 1 < rows; i++) {
    for (let j = 0; j < last; j++) {
      const a = first + i * columns + j;
      const b = first + i * columns + ((j + 1) % columns);
      quad(draft, a, a + columns, b + columns, b);
    }
  }
}

/** A tube round a line of points with a radius at each, capped at both ends. */
export function tube(draft: Draft, line: readonly Vec3[], radius: (i: number) => number, sides: number): void {
  const first = draft.positions.length / 3;
  let across: Vec3 = [1, 0, 0];
  line.forEach((p, i) => {
    const from = line[Math.max(0, i - 1)]!;
    const to = line[Math.min(line.length - 1, i + 1)]!;
    const along = unit([to[0] - from[0], to[1] - from[1], to[2] - from[2]]);
    // The frame is carried along: the last direction across, squared up.
    let side = cross(cross(along, across), along);
    if (Math.hypot(...side) < 1e-6) side = cross(cross(along, [0, 0, 1]), along);
    if (Math.hypot(...side) < 1e-6) side = cross(cross(along, [0, 1, 0]), along);
    across = unit(side);
    const over = cross(along, across);
    const r = radius(i);
    for (let s = 0; s < sides; s++) {
      const angle = (-2 * Math.PI * s) / sides;
      const [c, d] = [r * Math.cos(angle), r * Math.sin(angle)];
      vertex(
        draft,
        p[0] + c * across[0] + d * over[0],
        p[1] + c * across[1] + d * over[1],
        p[2] + c * across[2] + d * over[2],
      );
    }
  });
  gridTriangles(draft, first, line.length, sides, true);
  const ends: readonly [number, Vec3, boolean][] = [
    [first, line[0]!, true],
    [first + (line.length - 1) * sides, line[line.length - 1]!, false],
  ];
  for (const [ring, p, start] of ends) {
    const middle = vertex(draft, ...p);
    for (let s = 0; s < sides; s++) {
      const [a, b] = [ring + s, ring + ((s + 1) % sides)];
      draft.indices.push(middle, ...(start ? [a, b] : [b, a]));
    }
  }
}

/** The part with every vertex multiplied by a tint. */
export function tinted(part: Part, tint: (x: number, y: number, z: number) => Rgb): Part {
  const tints = new Float32Array(part.positions.length);
  for (let i = 0; i < tints.length; i += 3)
    tints.set(tint(part.positions[i]!, part.positions[i + 1]!, part.positions[i + 2]!), i);
  return { ...part, tints };
}

function unit(a: Vec3): Vec3 {
  const l = Math.hypot(a[0], a[1], a[2]) || 1;
  return [a[0] / l, a[1] / l, a[2] / l];
}

function cross(a: Vec3, b: Vec3): Vec3 {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}
