/**
 * Hair as triangles: a closed layer near the scalp that nothing shines through, locks as arched strips in layers
 * over it, and single strands: flat ones on the locks, round ones that stand off at the outline. Vertices carry
 * the strand's direction. Every lock and strand is one of three tones, so that a head is not one colour.
 * Shapes by our own eye; what looks thrown is a fixed sequence. Millimetres, the head's frame.
 */

import { type Draft, finish, newDraft, type Part, quad, vertex } from "../part.ts";
import type { HairCut } from "../types.ts";
import { hairlineDeg, type Point, type StrandField, scalpPoint, strandField } from "./hair-paths.ts";
import { type HairStyle, knotLocks, styles } from "./hair-styles.ts";

export interface HairFineness {
  /** Share of a style's locks and strands that are made. */
  readonly share: number;
  /** Points along a lock, and across it. */
  readonly along: number;
  readonly across: number;
}

/** Parts in the order of tone: the materials "hair:0", "hair:1", "hair:2". */
export function hairParts(cut: HairCut, fineness: HairFineness): readonly Part[] {
  const tones = [newDraft(), newDraft(), newDraft()] as const;
  const field = strandField(cut);
  const style = styles[cut];
  cap(tones[0], style.capMm);
  if (style.underMm !== null) under(tones[0], field, style, style.underMm, fineness.along);
  const toneOf = (n: number): Draft => tones[toss(n + 31_337) < 0.5 ? 0 : toss(n + 4242) < 0.6 ? 1 : 2]!;
  // Fewer locks are wider: they cover as much.
  const locks = Math.round(style.locks * fineness.share);
  for (let n = 0; n < locks; n++)
    lock(toneOf(n), lockPath(field, style, n, locks), style.halfU / fineness.share ** 0.8, style, fineness);
  const flat = Math.round(style.flat * fineness.share);
  for (let n = 0; n < flat; n++) ribbon(toneOf(n + 7000), strandPath(field, style, n), fineness.along);
  const round = Math.round(style.round * fineness.share);
  for (let n = 0; n < round; n++) fibre(toneOf(n + 9000), strandPath(field, style, n + 50_000), fineness.along);
  const edge = Math.round(style.hairline * fineness.share);
  for (let n = 0; n < edge; n++) ribbon(toneOf(n + 11_000), hairlinePath(cut, n), 4);
  if (cut === "tied") for (const path of knotLocks(fineness.share)) lock(tones[0], path, 1, style, fineness);
  return tones.map((draft, tone) => finish(draft, `hair:${tone}`));
}

/** A fixed value 0…1 for every whole number: locks and strands look thrown, yet are always the same. */
export function toss(n: number): number {
  let h = Math.imul(n ^ 0x9e3779b9, 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296;
}

/** A point of a lock or strand: t 0…1 along it, `aside` in the lock's own half widths. */
export type Path = (t: number, aside: number, lift: number) => Point;

/** The front edges of hanging hair roll in toward the face. */
const roll = (u: number): number => 9 * Math.max(0, 1 - Math.min(u, 1 - u) / 0.03) ** 2;

/** Place u of a style's field, kept within a parting's two sides or taken round the head. */
const placeOf = (style: HairStyle, u: number): number =>
  style.parted ? Math.min(0.995, Math.max(0.005, u)) : ((u % 1) + 1) % 1;

function lockPath(field: StrandField, style: HairStyle, n: number, count: number): Path {
  const layer = n % 3;
  const u0 = (n + 0.8 * toss(3 * n)) / count;
  const from = style.fromMost * (layer === 0 ? 0 : toss(3 * n + 1)) ** 1.5;
  const to = Math.min(1.04, from + style.length * (1 - style.ragged * toss(3 * n + 2) ** 2));
  const half = (style.halfU * (0.7 + 0.6 * toss(n + 600))) / (1 + 0.5 * layer);
  const phase = 6.28 * toss(n + 900);
  const drift = style.drift * (toss(n + 1200) - 0.5);
  const base = style.layerMm * (layer + toss(n + 1500) - 0.8);
  return (t, aside, lift) => {
    const s = from + t * (to - from);
    // Locks that begin on other hair come out of it slender and from below.
    const young = from > 0 ? Math.min(1, t / 0.22) : 1;
    const narrow = (1 - (1 - style.tip) * Math.max(0, (t - 0.45) / 0.55) ** 2) * (0.2 + 0.8 * young);
    const wave = style.wave * s * Math.sin(style.waves * 6.28 * s + phase);
    const u = placeOf(style, u0 + drift * s * s + wave + half * aside * narrow);
    const rise =
      base * young * Math.min(1, 3 * s + style.rootLift) - 1.5 * (1 - young) + style.tipRise * t * t * toss(n + 1800);
    const tucked = style.parted ? roll(u) * Math.min(1, 5 * s) : 0;
    return field(u, s, rise - tucked + lift * narrow);
  };
}

/** A single strand near its neighbours: most lie close, some stand off. */
function strandPath(field: StrandField, style: HairStyle, n: number): Path {
  const u0 = toss(5 * n + 11);
  const from = style.strandFrom * toss(n + 9001);
  const to = Math.min(1.05, from + style.strandLength * (0.6 + 0.5 * toss(n + 4007)));
  const drift = 2.4 * style.drift * (toss(5 * n + 12) - 0.5);
  const stand = style.standMm * toss(5 * n + 3) ** 4;
  const phase = 6.28 * toss(n + 77);
  const half = 0.16;
  return (t, aside, lift) => {
    const s = from + t * (to - from);
    const wave = style.wave * s * Math.sin(style.waves * 6.28 * s + phase);
    const u = placeOf(style, u0 + drift * t * t + wave + 0.0016 * half * aside);
    const tucked = style.parted ? roll(u) * Math.min(1, 5 * s) : 0;
    return field(u, s, 1.7 * style.layerMm + 0.4 + stand * (0.25 + t * t) - tucked + lift);
  };
}

/** Short growth across the hairline, back over the skull: it hides where the hair begins. */
function hairlinePath(cut: HairCut, n: number): Path {
  const azimuth = 240 * (toss(3 * n + 5) - 0.5);
  const start = hairlineDeg(azimuth) + 0.2 + 3.4 * toss(3 * n + 6);
  const way = 5 + 6 * toss(3 * n + 7);
  const lean = (cut === "tied" ? 0.2 : 0.5) * (toss(n + 40) - 0.5) * 12;
  return (t, aside, lift) =>
    scalpPoint(azimuth + lean * t + 0.12 * aside, start + way * t, 0.2 + 1.6 * t * (0.5 + toss(n + 91)) + lift);
}

/** An arched strip: its middle stands over its edges. */
function lock(draft: Draft, path: Path, halfU: number, style: HairStyle, { along, across }: HairFineness): void {
  // Where locks are wider, as in small detail, they are also more arched.
  const arch = style.archMm * Math.min(2, halfU / style.halfU);
  strip(draft, along, across, (t, a) => path(t, a * (halfU / style.halfU), arch * (1 - a * a)));
}

/** A flat strand a third of a millimetre wide, lying on the locks. */
function ribbon(draft: Draft, path: Path, along: number): void {
  strip(draft, along, 2, (t, a) => path(t, a * (1 - 0.7 * t), 0));
}

function strip(draft: Draft, along: number, across: number, at: (t: number, aside: number) => Point): void {
  const first = draft.positions.length / 3;
  for (let i = 0; i < along; i++) {
    const t = i / (along - 1);
    for (let k = 0; k < across; k++) vertex(draft, ...at(t, (2 * k) / (across - 1) - 1));
  }
  const point = (i: number, k: number): Point => {
    const v = 3 * (first + Math.min(along - 1, Math.max(0, i)) * across + k);
    return [draft.positions[v]!, draft.positions[v + 1]!, draft.positions[v + 2]!];
  };
  for (let i = 0; i < along; i++) for (let k = 0; k < across; k++) pushTangent(draft, point(i - 1, k), point(i + 1, k));
  const mid = along >> 1;
  const outside = facesOut(point(mid - 1, 0), point(mid, 0), point(mid, across - 1));
  for (let i = 0; i + 1 < along; i++) {
    for (let k = 0; k + 1 < across; k++) {
      const a = first + i * across + k;
      if (outside) quad(draft, a, a + across, a + across + 1, a + 1);
      else quad(draft, a, a + 1, a + across + 1, a + across);
    }
  }
}

/** Three-sided strand, thinning to its tip: seen from every side, so it stands out at the outline. */
function fibre(draft: Draft, path: Path, along: number): void {
  const first = draft.positions.length / 3;
  const points = Array.from({ length: along }, (_, i) => path(i / (along - 1), 0, 0));
  points.forEach((p, i) => {
    const [a, b] = [points[Math.max(0, i - 1)]!, points[Math.min(along - 1, i + 1)]!];
    const d = unit([b[0] - a[0], b[1] - a[1], b[2] - a[2]]);
    const x = unit(cross(d, Math.abs(d[1]) < 0.8 ? [0, 1, 0] : [0, 0, 1]));
    const y = cross(d, x);
    const r = 0.17 * (1 - 0.75 * (i / (along - 1)));
    for (let k = 0; k < 3; k++) {
      const [c, s] = [r * Math.cos(2.0944 * k), r * Math.sin(2.0944 * k)];
      vertex(draft, p[0] + c * x[0] + s * y[0], p[1] + c * x[1] + s * y[1], p[2] + c * x[2] + s * y[2]);
      draft.tangents.push(...d);
    }
  });
  for (let i = 0; i + 1 < along; i++) {
    for (let k = 0; k < 3; k++) {
      const [a, b] = [first + 3 * i + k, first + 3 * i + ((k + 1) % 3)];
      quad(draft, a, b, b + 3, a + 3);
    }
  }
}

/** Short, dense growth right on the scalp; it ends a little behind the hairline. */
function cap(draft: Draft, thickMm: number): void {
  const first = draft.positions.length / 3;
  const [columns, rows] = [96, 14];
  vertex(draft, ...scalpPoint(0, 90, thickMm));
  draft.tangents.push(0, 0, 1);
  const at = (share: number, wrapped: number, c: number): Point => {
    const edge = hairlineDeg(wrapped) + 1.2 + 2.2 * toss(c + 60);
    const thick = thickMm * Math.min(1, (1 - share) * 6) - (share > 0.99 ? 0.5 : 0);
    return scalpPoint(wrapped, 90 + share * (edge - 90), thick);
  };
  for (let i = 1; i <= rows; i++) {
    for (let c = 0; c < columns; c++) {
      const azimuth = (360 * c) / columns;
      const wrapped = azimuth > 180 ? azimuth - 360 : azimuth;
      const t = i / rows;
      vertex(draft, ...at(t, wrapped, c));
      pushTangent(draft, at(t - 0.03, wrapped, c), at(t, wrapped, c));
    }
  }
  for (let c = 0; c < columns; c++) draft.indices.push(first, first + 1 + c, first + 1 + ((c + 1) % columns));
  for (let i = 0; i + 1 < rows; i++) {
    for (let c = 0; c < columns; c++) {
      const a = first + 1 + i * columns + c;
      const b = first + 1 + i * columns + ((c + 1) % columns);
      quad(draft, a, a + columns, b + columns, b);
    }
  }
}

/** The closed layer under the locks; of hanging hair its inner side too. */
function under(draft: Draft, field: StrandField, style: HairStyle, liftMm: number, along: number): void {
  const [columns, rows] = [7 * along, along + 4];
  const sheet = (lift: number): void =>
    strip(draft, rows, columns, (t, a) => {
      const u = placeOf(style, 0.5 + 0.5 * a);
      return field(u, 0.97 * t, lift * Math.min(1, 4 * t) - roll(u) * Math.min(1, 5 * t));
    });
  sheet(liftMm);
  if (style.parted) sheet(liftMm - 3.5);
}

function pushTangent(draft: Draft, from: Point, to: Point): void {
  draft.tangents.push(...unit([to[0] - from[0], to[1] - from[1], to[2] - from[2]]));
}

/** Whether the face a, b, c looks away from the upright line through the skull's middle, or up on the crown. */
function facesOut(a: Point, b: Point, c: Point): boolean {
  const n = cross([b[0] - a[0], b[1] - a[1], b[2] - a[2]], [c[0] - a[0], c[1] - a[1], c[2] - a[2]]);
  return n[0] * b[0] + n[1] * Math.max(0, b[1] - 58) + n[2] * (b[2] + 116) > 0;
}

function unit(a: Point): Point {
  const l = Math.hypot(a[0], a[1], a[2]);
  return l > 0 ? [a[0] / l, a[1] / l, a[2] / l] : [0, -1, 0];
}

const cross = (a: Point, b: Point): Point => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
