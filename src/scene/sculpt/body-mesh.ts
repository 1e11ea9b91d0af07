/**
 * The clothed body as triangles: trunk with a knitted collar, sleeves, hands, trousers and shoes, seated with
 * the hands in the lap or standing with the arms down. Millimetres, the body's frame (`body-field.ts`); the floor
 * lies `noseHeight` below. Hands and feet are plain shapes: they fill the picture, they are no portrait of a hand.
 */

import { type Draft, finish, gridTriangles, newDraft, type Part, tube, vertex } from "../part.ts";
import { bodyDistance } from "./body-field.ts";

type Point = readonly [x: number, y: number, z: number];

export interface BodyPose {
  readonly seated: boolean;
  readonly noseHeightMm: number;
}

export function bodyParts(pose: BodyPose, fineness: { rows: number; columns: number }): readonly Part[] {
  const cloth = newDraft();
  trunk(cloth, fineness.rows, fineness.columns);
  collar(cloth);
  const skin = newDraft();
  const trousers = newDraft();
  for (const side of [1, -1] as const) {
    sleeve(cloth, skin, side, pose);
    leg(trousers, side, pose);
  }
  return [finish(cloth, "cloth"), finish(skin, "skin"), finish(trousers, "trousers")];
}

const hem = -730;

function trunk(draft: Draft, rows: number, columns: number): void {
  const first = draft.positions.length / 3;
  for (let i = 0; i < rows; i++) {
    const t = i / (rows - 1);
    // Rays rise steeply under the neck and come level at the chest.
    const elevation = 1.25 * Math.max(0, 1 - t / 0.55) ** 1.1;
    const oy = -255 + Math.min(1, Math.max(0, (t - 0.42) / 0.58)) * (hem + 255);
    for (let c = 0; c < columns; c++) {
      const azimuth = (2 * Math.PI * c) / columns;
      const [dx, dy, dz] = [
        Math.sin(azimuth) * Math.cos(elevation),
        Math.sin(elevation),
        Math.cos(azimuth) * Math.cos(elevation),
      ];
      const r = outermost(oy, dx, dy, dz);
      vertex(draft, dx * r, Math.min(oy + dy * r, -110), -12 + dz * r);
    }
  }
  gridTriangles(draft, first, rows, columns, true);
  // Closed below, where the trousers begin.
  const middle = vertex(draft, 0, hem, -12);
  const ring = first + (rows - 1) * columns;
  for (let c = 0; c < columns; c++) draft.indices.push(middle, ring + ((c + 1) % columns), ring + c);
}

function outermost(oy: number, dx: number, dy: number, dz: number): number {
  let r = 320;
  for (let step = 0; step < 40; step++) {
    const d = bodyDistance(dx * r, oy + dy * r, -12 + dz * r);
    if (Math.abs(d) < 0.05) break;
    r -= d * 0.85;
  }
  return r;
}

/** A ribbed band round the neck, lower in front. */
function collar(draft: Draft): void {
  const first = draft.positions.length / 3;
  const [steps, sides] = [84, 10];
  for (let i = 0; i < steps; i++) {
    const a = (2 * Math.PI * i) / steps;
    const [sin, cos] = [Math.sin(a), Math.cos(a)];
    const rib = 0.35 * (i % 2);
    for (let s = 0; s < sides; s++) {
      const b = (2 * Math.PI * s) / sides;
      // Seen across, the band is taller than thick and leans outward at its foot.
      const out = (4.5 + rib) * Math.cos(b) - 0.45 * 12 * Math.sin(b);
      const up = 12 * Math.sin(b);
      vertex(draft, (65 + out) * sin, -137 - 18 * cos + 5 * Math.abs(sin) + up, -12 + (64 + out) * cos);
    }
  }
  for (let i = 0; i < steps; i++) {
    for (let s = 0; s < sides; s++) {
      const [a, b] = [first + i * sides, first + ((i + 1) % steps) * sides];
      const t = (s + 1) % sides;
      draft.indices.push(a + s, b + s, b + t, a + s, b + t, a + t);
    }
  }
}

function sleeve(cloth: Draft, skin: Draft, side: 1 | -1, { seated }: BodyPose): void {
  const at = (x: number, y: number, z: number): Point => [side * x, y, z];
  const shoulder = at(168, -232, -18);
  const elbow = seated ? at(203, -495, -28) : at(203, -510, -34);
  const wrist = seated ? at(105, -628, 175) : at(212, -735, 24);
  const upper = line([shoulder, at(188, -370, -22), elbow], 10);
  tube(cloth, upper, (i) => 40 + 2 * (i / (upper.length - 1)), 20);
  const fore = line([elbow, mid(elbow, wrist, 0.5), wrist], 12);
  tube(cloth, fore, (i) => 43 - 12 * (i / (fore.length - 1)) + 0.9 * Math.sin(i * 1.7 + 1), 20);
  const finger = seated ? at(20, -648, 250) : at(206, -900, 40);
  const hand = line([mid(wrist, finger, -0.1), mid(wrist, finger, 0.35), finger], 10);
  const widths = [24, 25, 29, 33, 35, 35, 33, 29, 24, 17, 8];
  tube(skin, hand, (i) => (widths[i] ?? 8) * 0.8, 16);
}

function leg(trousers: Draft, side: 1 | -1, { seated, noseHeightMm }: BodyPose): void {
  const at = (x: number, y: number, z: number): Point => [side * x, y, z];
  const floor = -noseHeightMm;
  const hip = seated ? at(84, -690, -10) : at(76, -690, -8);
  const knee = seated ? at(118, -686, 430) : at(98, 0.5 * (floor - 690) + 20, 4);
  const ankle = seated ? at(118, floor + 80, 440) : at(104, floor + 80, -10);
  const thigh = line([hip, mid(hip, knee, 0.5), knee], 12);
  tube(trousers, thigh, (i) => 86 - 20 * (i / (thigh.length - 1)), 22);
  const shin = line([knee, mid(knee, ankle, 0.5), ankle], 12);
  tube(trousers, shin, (i) => 66 - 18 * (i / (shin.length - 1)), 20);
  const shoe = line(
    [
      mid(ankle, at(ankle[0] * side, floor + 45, ankle[2] - 40), 1),
      at(ankle[0] * side, floor + 42, ankle[2] + 60),
      at(ankle[0] * side, floor + 32, ankle[2] + 190),
    ],
    10,
  );
  tube(trousers, shoe, (i) => (i === 0 ? 34 : 44 - 1.4 * i), 14);
}

/** Points along a bend through three points (quadratic through the middle). */
function line([a, b, c]: readonly [Point, Point, Point], steps: number): Point[] {
  return Array.from({ length: steps + 1 }, (_, i) => {
    const t = i / steps;
    const [p, q, r] = [2 * (t - 0.5) * (t - 1), 4 * t * (1 - t), 2 * t * (t - 0.5)];
    return [p * a[0] + q * b[0] + r * c[0], p * a[1] + q * b[1] + r * c[1], p * a[2] + q * b[2] + r * c[2]];
  });
}

const mid = (a: Point, b: Point, t: number): Point => [
  a[0] + t * (b[0] - a[0]),
  a[1] + t * (b[1] - a[1]),
  a[2] + t * (b[2] - a[2]),
];
