/**
 * Hair as triangles: a cap close to the scalp, a shell of clumped strands over it, and loose strands as narrow
 * ribbons at its surface and hem. Vertices carry the strand's direction and a tint that varies from clump to
 * clump. Millimetres, the head's frame.
 */

import { type Draft, finish, newDraft, type Part, quad, vertex } from "../part.ts";
import type { HairCut } from "../types.ts";
import { hairlineDeg, knot, type Point, type StrandField, scalpPoint, strandField } from "./hair-paths.ts";

export interface HairFineness {
  readonly columns: number;
  readonly rows: number;
  readonly loose: number;
}

export function hairParts(cut: HairCut, fineness: HairFineness): readonly Part[] {
  const field = strandField(cut);
  const parts = [cap(), shell(field, cut, fineness), looseStrands(field, cut, fineness.loose)];
  return cut === "tied" ? [...parts, bun()] : parts;
}

/** A fixed value 0…1 for every whole number: clumps and strands look thrown, yet are always the same. */
function toss(n: number): number {
  let h = Math.imul(n ^ 0x9e3779b9, 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296;
}

/** Smooth noise over a ring of `cells`, −1…1. */
function ringNoise(u: number, cells: number, salt: number): number {
  const x = u * cells;
  const i = Math.floor(x);
  const t = x - i;
  const a = toss((i % cells) + salt * 7919);
  const b = toss(((i + 1) % cells) + salt * 7919);
  return 2 * (a + t * t * (3 - 2 * t) * (b - a)) - 1;
}

/** How a clump stands off and how long it is, by its place. */
const clump = (u: number): number =>
  0.5 * ringNoise(u, 31, 1) + 0.35 * ringNoise(u, 83, 2) + 0.25 * ringNoise(u, 190, 3);

/** The front edges of hanging hair roll in toward the face. */
const roll = (u: number): number => 10 * Math.max(0, 1 - Math.min(u, 1 - u) / 0.022) ** 2;

function shell(field: StrandField, cut: HairCut, { columns, rows }: HairFineness): Part {
  const draft = newDraft();
  const depth = cut === "short" ? 1.8 : cut === "tied" ? 0.8 : 2.2;
  const open = cut === "bob" || cut === "long";
  const ragged = cut === "tied" ? 0 : cut === "short" ? 0.09 : 0.018;
  for (let i = 0; i < rows; i++) {
    for (let c = 0; c < columns; c++) {
      const u = open ? c / (columns - 1) : c / columns;
      const s = (i / (rows - 1)) * (1 - ragged * (0.5 + 0.5 * ringNoise(u, 97, 4)));
      const lift =
        depth * clump(u + 0.004 * Math.sin(5 * s + 40 * u)) * Math.min(1, 4 * s) -
        (open ? roll(u) * Math.min(1, 5 * s) : 0);
      strandVertex(draft, field, u, s, lift, 0.82 + 0.16 * ringNoise(u, 140, 5));
    }
  }
  for (let i = 0; i + 1 < rows; i++) {
    for (let c = 0; c < (open ? columns - 1 : columns); c++) {
      const next = (c + 1) % columns;
      quad(draft, i * columns + c, (i + 1) * columns + c, (i + 1) * columns + next, i * columns + next);
    }
  }
  if (cut !== "tied") hem(draft, field, columns, rows, open);
  return outward(finish(draft, "hair"));
}

/** The shell's inner side near the tips, so that the hem has a thickness. */
function hem(draft: Draft, field: StrandField, columns: number, rows: number, open: boolean): void {
  let previous = (rows - 1) * columns;
  for (const [s, lift] of [
    [0.985, -3.5],
    [0.9, -5],
    [0.75, -6],
  ] as const) {
    const first = draft.positions.length / 3;
    for (let c = 0; c < columns; c++)
      strandVertex(
        draft,
        field,
        open ? c / (columns - 1) : c / columns,
        s,
        lift - (open ? roll(c / (columns - 1)) : 0),
        0.7,
      );
    for (let c = 0; c < (open ? columns - 1 : columns); c++) {
      const next = (c + 1) % columns;
      quad(draft, previous + c, first + c, first + next, previous + next);
    }
    previous = first;
  }
}

function strandVertex(draft: Draft, field: StrandField, u: number, s: number, lift: number, tint: number): void {
  const p = field(u, s, lift);
  const a = field(u, Math.max(0, s - 0.01), lift);
  const b = field(u, Math.min(1, s + 0.01), lift);
  vertex(draft, ...p);
  pushTangent(draft, a, b);
  draft.tints.push(tint, tint, tint);
}

function pushTangent(draft: Draft, from: Point, to: Point): void {
  const [x, y, z] = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
  const l = Math.hypot(x, y, z) || 1;
  draft.tangents.push(x / l, y / l, z / l);
}

/** Short, dense growth right on the scalp, down to the hairline with a ragged edge. */
function cap(): Part {
  const draft = newDraft();
  const [columns, rows] = [120, 16];
  const top = vertex(draft, ...scalpPoint(0, 90, 2));
  draft.tangents.push(0, 0, 1);
  draft.tints.push(0.7, 0.7, 0.7);
  for (let i = 1; i <= rows; i++) {
    for (let c = 0; c < columns; c++) {
      const azimuth = (360 * c) / columns;
      const wrapped = azimuth > 180 ? azimuth - 360 : azimuth;
      const edge = hairlineDeg(wrapped) + 2.6 * (toss(c) - 0.5);
      const t = i / rows;
      const at = (share: number): Point =>
        scalpPoint(wrapped, 90 + share * (edge - 90), 2.2 * Math.min(1, (1 - share) * 9) - (share > 0.99 ? 0.6 : 0));
      vertex(draft, ...at(t));
      pushTangent(draft, at(t - 0.03), at(t));
      const shade = 0.65 + 0.3 * toss(c + 500);
      draft.tints.push(shade, shade, shade);
    }
  }
  for (let c = 0; c < columns; c++) draft.indices.push(top, 1 + c, 1 + ((c + 1) % columns));
  for (let i = 0; i + 1 < rows; i++) {
    for (let c = 0; c < columns; c++) {
      const [a, b] = [1 + i * columns + c, 1 + i * columns + ((c + 1) % columns)];
      quad(draft, a, a + columns, b + columns, b);
    }
  }
  return outward(finish(draft, "hair"));
}

/** Ribbons half a millimetre wide that follow their neighbours almost: they break the shell's edge. */
function looseStrands(field: StrandField, cut: HairCut, count: number): Part {
  const draft = newDraft();
  const steps = 9;
  const open = cut === "bob" || cut === "long";
  for (let n = 0; n < count; n++) {
    const u = toss(n * 3 + 11);
    const off = (toss(n * 3 + 12) - 0.5) * (cut === "tied" ? 0.01 : 0.03);
    const from = cut === "tied" ? 0 : 0.25 + 0.45 * toss(n + 9001);
    const to = Math.min(1, from + 0.4 + 0.35 * toss(n + 4007));
    const rise = (cut === "tied" ? 0.6 : 0.8) + 1.8 * toss(n * 5 + 3) ** 3;
    const shade = 0.75 + 0.25 * toss(n + 77);
    const first = draft.positions.length / 3;
    for (let i = 0; i <= steps; i++) {
      const t = i / steps;
      const s = from + t * (to - from);
      const wish = u + off * t * t;
      // Hanging hair is parted: no strand crosses the face from one edge to the other.
      const place = open ? Math.min(0.99, Math.max(0.01, wish)) : ((wish % 1) + 1) % 1;
      const lift = 1.2 * clump(place) * Math.min(1, 4 * s) + rise * Math.sin(Math.PI * (0.15 + 0.7 * t));
      const half = 0.0011 * (1 - 0.8 * t * t);
      strandVertex(draft, field, place, s, lift, shade);
      strandVertex(draft, field, open ? place + half : (place + half) % 1, s, lift, shade);
      if (i > 0) {
        const at = first + 2 * i;
        quad(draft, at - 2, at, at + 1, at - 1);
      }
    }
  }
  return outward(finish(draft, "hair"));
}

/** The knot of tied hair: wound strands on a ball. */
function bun(): Part {
  const draft = newDraft();
  const [rows, columns] = [24, 40];
  const at = (i: number, c: number): Point => {
    const polar = Math.PI * Math.min(1, Math.max(0, i / (rows - 1)));
    const angle = (2 * Math.PI * c) / columns;
    const r = knot.radius * (1 + 0.035 * Math.sin(9 * polar + 2 * angle) + 0.02 * Math.sin(23 * polar + 3 * angle));
    const [cx, cy, cz] = knot.centre;
    return [
      cx + r * Math.sin(polar) * Math.cos(angle),
      cy + r * Math.sin(polar) * Math.sin(angle),
      cz - r * 0.85 * Math.cos(polar),
    ];
  };
  for (let i = 0; i < rows; i++) {
    for (let c = 0; c < columns; c++) {
      vertex(draft, ...at(i, c));
      pushTangent(draft, at(i - 0.12, c - 0.5), at(i + 0.12, c + 0.5));
      const shade = 0.82 + 0.14 * Math.sin(9 * Math.PI * (i / rows) + (4 * Math.PI * c) / columns);
      draft.tints.push(shade, shade, shade);
    }
  }
  for (let i = 0; i + 1 < rows; i++) {
    for (let c = 0; c < columns; c++) {
      const next = (c + 1) % columns;
      quad(draft, i * columns + c, i * columns + next, (i + 1) * columns + next, (i + 1) * columns + c);
    }
  }
  return finish(draft, "hair");
}

/** Shells whose grid may run either way round: faces and normals turned to look away from the skull's middle. */
function outward(part: Part): Part {
  let sum = 0;
  for (let i = 0; i < part.positions.length; i += 3) {
    sum += part.normals[i]! * part.positions[i]! + part.normals[i + 1]! * (part.positions[i + 1]! - 58);
    sum += part.normals[i + 2]! * (part.positions[i + 2]! + 116);
  }
  if (sum >= 0) return part;
  const indices = part.indices.slice();
  for (let i = 0; i < indices.length; i += 3) [indices[i + 1], indices[i + 2]] = [indices[i + 2]!, indices[i + 1]!];
  return { ...part, indices, normals: part.normals.map((n) => -n) };
}
