/**
 * Eyebrows and lashes: single hairs as slender, bent three-sided spikes on the skin. Millimetres, the head's
 * frame. Lengths and numbers by eye; the spread is a fixed sequence (golden ratio), so that it is always the same.
 */

import { type Draft, finish, newDraft, type Part, vertex } from "../part.ts";
import { eyeMm, headDistance } from "./head-field.ts";
import { lidMargin } from "./lids.ts";

type Point = readonly [x: number, y: number, z: number];

const golden = 0.6180339887;
const spread = (i: number, k: number): number => (i * golden * k + 0.5 * k) % 1;

/** Both brows and both rows of lashes. `share` thins them out for small pictures. */
export function fineHairs(share: number): Part {
  const draft = newDraft();
  const brows = Math.round(300 * share);
  for (const side of [1, -1] as const) {
    for (let i = 0; i < brows; i++) browHair(draft, i, brows, side);
    lashes(draft, true, Math.round(70 * share), side);
    lashes(draft, false, Math.round(40 * share), side);
  }
  return finish(draft, "brow");
}

/** Middle line of the brow over x, and half its width: full inside, tapering over the temple. */
export const browLine = (x: number): number =>
  53 + 3.6 * Math.sin(Math.min(1, (x - 11) / 38) * 2.2) - 0.0024 * (x - 11) ** 2;
export const browHalfWidth = (x: number): number => 2.9 * Math.max(0, 1 - ((x - 11) / 41) ** 2) ** 0.8;

function browHair(draft: Draft, i: number, count: number, side: 1 | -1): void {
  const t = (i + 0.5) / count;
  const x = 13.5 + 36.5 * t + (spread(i, 3) - 0.5) * 2;
  const offset = spread(i, 1) * 2 - 1;
  const y = browLine(x) + offset * browHalfWidth(x);
  // Inside they rise, in the middle they run outward, outside down; upper hairs lean down into the line.
  const slope = 1.15 - 2.1 * t - 0.45 * offset * (t > 0.15 ? 1 : 0);
  const long = (4.2 + 3.4 * spread(i, 5)) * (1 - 0.35 * t);
  const [dx, dy] = [Math.cos(slope) * long, Math.sin(slope) * long];
  const root = onSkin(x, y, -0.1);
  const middle = onSkin(x + dx * 0.5, y + dy * 0.5, 0.5);
  const tip = onSkin(x + dx, y + dy, 0.35);
  spike(draft, [root, middle, tip], 0.085, side);
}

function lashes(draft: Draft, upper: boolean, count: number, side: 1 | -1): void {
  for (let i = 0; i < count; i++) {
    const share = -0.85 + (1.8 * (i + 0.5 * spread(i, 2))) / count;
    if (share > 0.97) continue;
    const margin = lidMargin(share, upper);
    const root = onSkin(margin.x, margin.y + (upper ? 0.2 : -0.3), -0.2);
    const long = (upper ? 6.6 : 3.4) * (0.75 + 0.35 * spread(i, 7)) * (1 - 0.25 * share * share);
    const out = share * 0.55 + 0.12;
    const [up1, up2] = upper ? [0.02, 0.5] : [-0.35, -0.6];
    const middle: Point = [root[0] + out * long * 0.4, root[1] + up1 * long, root[2] + 0.5 * long];
    const tip: Point = [root[0] + out * long * 0.8, root[1] + up2 * long, root[2] + 0.82 * long];
    spike(draft, [root, middle, tip], 0.07, side);
  }
}

/** The skin before (x, y), raised. */
function onSkin(x: number, y: number, rise: number): Point {
  let z = eyeMm.z + 35;
  for (let step = 0; step < 40; step++) {
    const d = headDistance(x, y, z);
    if (d < 0.02) break;
    z -= d * 0.9;
  }
  return [x, y, z + rise];
}

/** Three-sided spike along root, middle, tip. */
function spike(draft: Draft, [root, middle, tip]: readonly [Point, Point, Point], radius: number, side: 1 | -1): void {
  const first = draft.positions.length / 3;
  const along: Point = [tip[0] - root[0], tip[1] - root[1], tip[2] - root[2]];
  const l = Math.hypot(...along) || 1;
  // Across the hair in the picture plane, and out of it.
  const [ax, ay] = [(-along[1] / l) * radius, (along[0] / l) * radius];
  const add = (p: Point, x: number, y: number, z: number): void => {
    vertex(draft, side * (p[0] + x), p[1] + y, p[2] + z);
    draft.tangents.push((side * along[0]) / l, along[1] / l, along[2] / l);
  };
  for (const [p, k] of [
    [root, 1],
    [middle, 0.8],
  ] as const) {
    add(p, ax * k, ay * k, -radius * 0.5 * k);
    add(p, -ax * k, -ay * k, -radius * 0.5 * k);
    add(p, 0, 0, radius * k);
  }
  add(tip, 0, 0, 0);
  const face = (a: number, b: number, c: number): void => {
    draft.indices.push(first + a, first + (side > 0 ? b : c), first + (side > 0 ? c : b));
  };
  for (let s = 0; s < 3; s++) {
    const t = (s + 1) % 3;
    face(s, 3 + t, t);
    face(s, 3 + s, 3 + t);
    face(3 + s, 6, 3 + t);
  }
  face(0, 1, 2);
}
