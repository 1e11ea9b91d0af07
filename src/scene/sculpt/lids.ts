/**
 * Eyelids: rings of skin from the window that the fan leaves down to the lid margins, the margins' thickness,
 * and a pocket behind the eyeball that closes the skin. The opening is 30 mm wide and about 10 mm high (usual
 * adult values, from memory). Millimetres, the head's own frame.
 */

import { type Draft, quad, vertex } from "../part.ts";
import { eyeMm, headDistance } from "./head-field.ts";

/** Half the opening's width, and how far its middle lies from the pupil toward the temple. */
const halfOpening = 14.2;
const middleX = eyeMm.x + 0.3;
/** Margins over the line of the corners: upper, lower. */
const upperRise = 4.5;
const lowerFall = 4.9;
/** The outer corner stands higher than the inner. */
const cornerTilt = 1.1;

/** A point of the lid margin: share −1…1 from the inner to the outer corner, on the upper or the lower lid. */
export function lidMargin(share: number, upper: boolean): { x: number; y: number } {
  const bow = upper
    ? (1 - share * share) ** 0.72 * (1 - 0.12 * share)
    : (1 - share * share) ** 0.9 * (1 + 0.15 * share);
  const line = eyeMm.y - 0.6 + cornerTilt * share;
  return { x: middleX + halfOpening * share, y: line + (upper ? upperRise : -lowerFall) * bow };
}

/** Fills the window whose rim is `loop` (counter-clockwise) on the side of `side` with lids. */
export function fillLids(draft: Draft, loop: readonly number[], side: 1 | -1, rings: number): void {
  const count = loop.length;
  const rim = loop.map((v) => [side * draft.positions[3 * v]!, draft.positions[3 * v + 1]!] as const);
  const margin = rim.map(([x, y]) => marginToward(x, y));
  let previous: number[] = [...loop];
  const depth = loop.map((v) => draft.positions[3 * v + 2]!);
  const add = (ring: (k: number) => readonly [x: number, y: number, z: number]): void => {
    const next = Array.from({ length: count }, (_, k) => {
      const [x, y, z] = ring(k);
      return vertex(draft, side * x, y, z);
    });
    for (let k = 0; k < count; k++) {
      const after = (k + 1) % count;
      quad(draft, previous[k]!, previous[after]!, next[after]!, next[k]!);
    }
    previous = next;
  };
  const rimDepth = [...depth];
  const marginDepth = margin.map((m, k) => skinAt(m.x, m.y, depth[k]!)[2]);
  for (let ring = 1; ring <= rings; ring++) {
    // Rings crowd toward the margin.
    const t = 1 - (1 - ring / rings) ** 1.4;
    const fade = t * t * (3 - 2 * t);
    add((k) => {
      const [rx, ry] = rim[k]!;
      const m = margin[k]!;
      const guess = [rx + t * (m.x - rx), ry + t * (m.y - ry), rimDepth[k]! + t * (marginDepth[k]! - rimDepth[k]!)];
      const fold = fade * relief(Math.hypot(guess[0]! - m.x, guess[1]! - m.y), m.upper);
      const skin = onSkin(guess[0]!, guess[1]!, guess[2]!, fold);
      depth[k] = skin[2];
      // The last ring is the margin itself, whatever way the search went.
      return ring === rings ? [m.x, m.y, skin[2]] : skin;
    });
  }
  // The margin's thickness, then the pocket behind the eyeball.
  add((k) => [toward(margin[k]!.x, middleX, 0.012), toward(margin[k]!.y, eyeMm.y, 0.03), depth[k]! - 0.5]);
  add((k) => [toward(margin[k]!.x, middleX, 0.03), toward(margin[k]!.y, eyeMm.y, 0.07), behind(margin[k]!, 0.97, 0.1)]);
  add((k) => [toward(margin[k]!.x, middleX, 0.14), toward(margin[k]!.y, eyeMm.y, 0.2), behind(margin[k]!, 0.86, 0.9)]);
  const middle = vertex(draft, side * middleX, eyeMm.y, eyeMm.z + 6);
  for (let k = 0; k < count; k++) draft.indices.push(previous[k]!, previous[(k + 1) % count]!, middle);
}

interface MarginPoint {
  readonly x: number;
  readonly y: number;
  /** 1 at the middle of the upper lid, −1 of the lower, 0 at the corners. */
  readonly upper: number;
}

/** The margin's point in the direction of a rim point, seen from the opening's middle. */
function marginToward(x: number, y: number): MarginPoint {
  const angle = Math.atan2((y - eyeMm.y) * 1.25, x - middleX);
  const share = Math.cos(angle);
  return { ...lidMargin(share, angle > 0), upper: Math.sin(angle) };
}

/** The closed skin in front of (x, y), searched along the line of sight. */
function skinAt(x: number, y: number, near: number): [number, number, number] {
  let z = near + 3;
  for (let step = 0; step < 30; step++) {
    const d = headDistance(x, y, z);
    if (Math.abs(d) < 0.01) break;
    z -= d * 0.9;
  }
  return [x, y, z];
}

/** The point of the skin raised by `rise` nearest to a guess: steps down the field's slope. */
function onSkin(px: number, py: number, pz: number, rise: number): [number, number, number] {
  let [x, y, z] = [px, py, pz];
  const h = 0.4;
  for (let step = 0; step < 6; step++) {
    const d = headDistance(x, y, z);
    if (step > 0 && Math.abs(d - rise) < 0.01) break;
    const gx = headDistance(x + h, y, z) - d;
    const gy = headDistance(x, y + h, z) - d;
    const gz = headDistance(x, y, z + h) - d;
    const l = Math.hypot(gx, gy, gz) || 1;
    // The field is no exact distance: divide by its slope.
    const move = Math.min(1, Math.max(-1, (d - rise) / Math.max(0.5, l / h))) / l;
    x -= gx * move;
    y -= gy * move;
    z -= gz * move;
  }
  return [x, y, z];
}

/** The fold over the upper lid and the faint one under the lower, by distance from the margin. */
function relief(distance: number, upper: number): number {
  const dip = (at: number, width: number): number => Math.exp(-(((distance - at) / width) ** 2));
  if (upper > 0) return Math.sqrt(upper) * (-1.2 * dip(6.2, 1.5) + 0.4 * dip(9, 2.4));
  return -upper * (0.45 * dip(1.6, 1.6) - 0.4 * dip(6, 2));
}

/** Depth of a point behind the eyeball's front: the ball's own surface at a share of its radius, less a gap. */
function behind(m: MarginPoint, share: number, gap: number): number {
  const [dx, dy] = [m.x - eyeMm.x, m.y - eyeMm.y];
  const r = eyeMm.radius * share;
  return eyeMm.z + Math.sqrt(Math.max(4, r * r - dx * dx - dy * dy)) - gap;
}

const toward = (from: number, to: number, share: number): number => from + share * (to - from);
