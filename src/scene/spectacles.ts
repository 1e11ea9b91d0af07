/**
 * Spectacles: two lenses as caps of the sphere that the base curve gives (R = 530/base curve in mm, domain 7.5),
 * tilted with the lower edge toward the cheek, thin rims, a bridge and temples over the ears. Millimetres, the
 * head's frame.
 */

import type { Spectacles } from "../setup/index.ts";
import { finish, newDraft, type Part, tube, vertex } from "./part.ts";
import { eyeMm } from "./sculpt/head-field.ts";

type Point = readonly [x: number, y: number, z: number];

/** Half the lens's sides, as in domain 7.5. */
export const lensHalfWidthMm = 26;
export const lensHalfHeightMm = 18;
/** The lens's middle: 14 mm before the cornea (vertex distance 12…15 mm, domain 7.1). */
const middleZ = eyeMm.z + 13.15 + 14;
const middleX = eyeMm.x + 4;

export const lensRadiusMm = (baseCurveD: number): number => 530 / baseCurveD;

export function spectacleParts({ tiltDeg, baseCurveD }: Spectacles): readonly Part[] {
  const frame = newDraft();
  const lenses: Part[] = [];
  const tilt = (tiltDeg * Math.PI) / 180;
  const radius = lensRadiusMm(Math.max(0.5, baseCurveD));
  for (const side of [1, -1] as const) {
    const at = (a: number, b: number): { point: Point; normal: Point } => {
      // On the sphere, then tilted about the lens's middle so that its normal points down.
      const w = Math.sqrt(radius * radius - a * a - b * b);
      const sag = w - radius;
      const [s, c] = [Math.sin(tilt), Math.cos(tilt)];
      return {
        point: [side * middleX + a, eyeMm.y - 2 + b * c - sag * s, middleZ + b * s + sag * c],
        normal: [a / radius, (b * c - w * s) / radius, (b * s + w * c) / radius],
      };
    };
    lenses.push(lens(at));
    const rim = Array.from({ length: 49 }, (_, i) => at(...outline((2 * Math.PI * i) / 48, 1)).point);
    tube(frame, rim, () => 1.1, 8);
    const hinge = at(side * lensHalfWidthMm, 9).point;
    temple(frame, hinge, side);
  }
  const bridge: Point[] = [-1, -0.5, 0, 0.5, 1].map((t) => [
    t * (middleX - lensHalfWidthMm + 1.5),
    eyeMm.y + 5 - 2.5 * t * t,
    middleZ + 2.4 - 5.5 * t * t,
  ]);
  tube(frame, bridge, () => 1.3, 8);
  return [...lenses, finish(frame, "frame")];
}

/** Rounded rectangle, share 0…1 of its size. */
function outline(angle: number, share: number): [number, number] {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const power = (v: number): number => Math.sign(v) * Math.abs(v) ** 0.72;
  return [share * lensHalfWidthMm * power(c), share * lensHalfHeightMm * power(s)];
}

function lens(at: (a: number, b: number) => { point: Point; normal: Point }): Part {
  const draft = newDraft();
  const [rings, spokes] = [7, 40];
  const normals: number[] = [];
  const add = (a: number, b: number): void => {
    const { point, normal } = at(a, b);
    vertex(draft, ...point);
    normals.push(...normal);
  };
  add(0, 0);
  for (let i = 1; i <= rings; i++)
    for (let s = 0; s < spokes; s++) add(...outline((2 * Math.PI * s) / spokes, i / rings));
  for (let s = 0; s < spokes; s++) {
    const t = (s + 1) % spokes;
    draft.indices.push(0, 1 + s, 1 + t);
    for (let i = 0; i + 1 < rings; i++) {
      const [a, b] = [1 + i * spokes, 1 + (i + 1) * spokes];
      draft.indices.push(a + s, b + s, b + t, a + s, b + t, a + t);
    }
  }
  return { ...finish(draft, "lens"), normals: Float32Array.from(normals) };
}

function temple(frame: Parameters<typeof tube>[0], hinge: Point, side: 1 | -1): void {
  const line: Point[] = [
    hinge,
    [side * 71, hinge[1] + 1, hinge[2] - 12],
    [side * 75, hinge[1] + 1, -80],
    [side * 77, 40, -118],
    [side * 75, 34, -134],
    [side * 72, 18, -146],
  ];
  tube(frame, line, () => 1.4, 8);
}
