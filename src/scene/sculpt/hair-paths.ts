/**
 * How the hair of each cut lies: for a place u (0…1, once round the head) and a way along the strand s (0 at
 * the root, 1 at the tip) a point over the scalp. Strands leave the parting, follow the skull at the hair's
 * thickness and, past the skull's widest place, hang. Shapes by our own eye. Millimetres, the head's frame.
 */

import type { HairCut } from "../types.ts";
import { headDistance } from "./head-field.ts";

export type Point = readonly [x: number, y: number, z: number];

/** Point of strand u at s; `lift` raises it off its usual place (clumps, loose strands). */
export type StrandField = (u: number, s: number, lift: number) => Point;

/** Middle of the skull, from which directions over the scalp are counted. */
const middle: Point = [0, 58, -116];
const degree = Math.PI / 180;

export function strandField(cut: HairCut): StrandField {
  return cut === "tied" ? tiedField() : cut === "short" ? shortField() : hangingField(cut);
}

/** Elevation of the hairline seen from the skull's middle, by azimuth from the face (degrees, either side). */
export function hairlineDeg(azimuthDeg: number): number {
  return interpolate(hairline, Math.abs(azimuthDeg));
}

const hairline: readonly (readonly [number, number])[] = [
  [0, 30],
  [18, 31],
  [33, 27],
  [45, 17],
  [56, 8],
  [66, -14],
  [76, -26],
  [84, -15],
  [98, -7],
  [112, -18],
  [126, -38],
  [150, -50],
  [180, -53],
];

function hangingField(cut: "bob" | "long"): StrandField {
  const hemBack = cut === "bob" ? -66 : -205;
  const hemFront = cut === "bob" ? -52 : -190;
  const thick = cut === "bob" ? 11 : 10;
  return (u, s, lift) => {
    const { azimuth, start } = aroundParting(u, 47, 43);
    // A strand ends its way over the skull at the widest place and hangs from there.
    const end = direction(azimuth, -4);
    const side = Math.abs(azimuth) / 180;
    const hem = hemFront + (hemBack - hemFront) * Math.min(1, Math.max(0, (side - 0.25) * 2.2));
    const top = onScalp(end, thick + lift);
    const arc = 118 * angleBetween(start, end);
    const drop = top[1] - hem;
    const way = s * (arc + drop);
    if (way < arc) {
      const t = way / arc;
      return onScalp(between(start, end, t), 6 + (thick - 6) * (1 - (1 - t) ** 2) + lift + 3 * Math.sin(Math.PI * t));
    }
    const fallen = (way - arc) / Math.max(1, drop);
    return hang(top, azimuth, way - arc, fallen, cut);
  };
}

/** Below the widest place: straight down, leaning in to the neck (bob) or out over the shoulders (long). */
function hang(top: Point, azimuth: number, fall: number, share: number, cut: "bob" | "long"): Point {
  const away = azimuth * degree;
  const over = Math.max(0, fall - 120);
  const back = Math.max(0, -Math.cos(away));
  const inward =
    cut === "bob"
      ? 9 * share - 3 * Math.sin(share * 3) + 12 * share ** 3 * (0.7 + 0.8 * back)
      : 10 * share - (1 - back) * 0.12 * over;
  // Long hair at the back leans off the nape, in front it lies before the shoulder.
  return [
    top[0] - Math.sin(away) * inward,
    top[1] - fall,
    top[2] - Math.cos(away) * inward * 0.8 + (back > 0.2 ? 6 * back * share : 0),
  ];
}

function shortField(): StrandField {
  return (u, s, lift) => {
    const { azimuth, start } = aroundParting(u, 30, 24);
    const edge = hairlineDeg(azimuth);
    const end = direction(azimuth, edge - 1.5);
    const t = s;
    const d = between(start, end, t);
    const crown = Math.max(0, d[1]);
    // Full on top, close over ears and nape; the front lifts off the forehead.
    const front = Math.max(0, Math.cos(azimuth * degree));
    const thick = 5 + 11 * crown ** 1.2 + 6 * front * t * crown;
    const taper = 1 - 0.72 * t ** 3 * (1 - 0.75 * front);
    return onScalp(d, thick * taper * Math.min(1, 0.75 + 2 * t) + lift);
  };
}

/** Combed back from the hairline to a knot. */
function tiedField(): StrandField {
  const knot = direction(180, 2);
  return (u, s, lift) => {
    const azimuth = 360 * u - 180;
    const start = direction(azimuth, hairlineDeg(azimuth) - 1);
    const thick = 1.5 + 7.5 * Math.min(1, s * 5) * (1 - 0.4 * s);
    return onScalp(between(start, knot, s * 0.93), thick + lift);
  };
}

/** Middle and half axes of the knot of tied hair. */
export const knot = { centre: [0, 62, -226] as Point, radius: 31 } as const;

/** Where a strand starts on the parting and at which azimuth it ends. The parting lies to picture-left. */
function aroundParting(u: number, rightDeg: number, leftDeg: number): { azimuth: number; start: Point } {
  const right = u < 0.5;
  const share = right ? u * 2 : (1 - u) * 2;
  const azimuth = right ? rightDeg + share * (180 - rightDeg) : -(leftDeg + share * (180 - leftDeg));
  // Front strands leave the front end of the parting, those of the nape its back end.
  const along = (52 - 82 * Math.min(1, share * 1.25)) * degree;
  const aside = -0.3 * (1 - 0.6 * share);
  const length = Math.hypot(aside, 1);
  return { azimuth, start: [aside / length, Math.cos(along) / length, Math.sin(along) / length] };
}

function direction(azimuthDeg: number, elevationDeg: number): Point {
  const [a, e] = [azimuthDeg * degree, elevationDeg * degree];
  return [Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e)];
}

function angleBetween(a: Point, b: Point): number {
  return Math.acos(Math.min(1, Math.max(-1, a[0] * b[0] + a[1] * b[1] + a[2] * b[2])));
}

/** Great-circle way from a to b. */
function between(a: Point, b: Point, t: number): Point {
  const angle = angleBetween(a, b);
  const sine = Math.sin(angle);
  if (sine < 1e-6) return a;
  const [p, q] = [Math.sin((1 - t) * angle) / sine, Math.sin(t * angle) / sine];
  return [p * a[0] + q * b[0], p * a[1] + q * b[1], p * a[2] + q * b[2]];
}

/** The point over the scalp in a direction from the skull's middle. */
export function onScalp(d: Point, height: number): Point {
  const r = scalpRadius(d) + height;
  return [middle[0] + d[0] * r, middle[1] + d[1] * r, middle[2] + d[2] * r];
}

/** As `onScalp`, by azimuth and elevation in degrees. */
export const scalpPoint = (azimuthDeg: number, elevationDeg: number, height: number): Point =>
  onScalp(direction(azimuthDeg, elevationDeg), height);

const [azimuthCells, elevationCells] = [36, 36];
let table: Float64Array | null = null;

/** Distance from the skull's middle to the skin, from a table over one side (both are alike). */
function scalpRadius(d: Point): number {
  table ??= scalpTable();
  const azimuth = (Math.atan2(Math.abs(d[0]), d[2]) / Math.PI) * azimuthCells;
  const elevation = (0.5 + Math.asin(Math.min(1, Math.max(-1, d[1]))) / Math.PI) * elevationCells;
  const i = Math.min(azimuthCells - 1, Math.floor(azimuth));
  const j = Math.min(elevationCells - 1, Math.max(0, Math.floor(elevation)));
  const [u, v] = [azimuth - i, elevation - j];
  const at = (a: number, b: number): number => table![a * (elevationCells + 1) + b]!;
  return (1 - u) * ((1 - v) * at(i, j) + v * at(i, j + 1)) + u * ((1 - v) * at(i + 1, j) + v * at(i + 1, j + 1));
}

function scalpTable(): Float64Array {
  const radii = new Float64Array((azimuthCells + 1) * (elevationCells + 1));
  for (let i = 0; i <= azimuthCells; i++) {
    for (let j = 0; j <= elevationCells; j++) {
      const d = direction((i / azimuthCells) * 180, (j / elevationCells - 0.5) * 180);
      let r = 120;
      for (let step = 0; step < 60; step++) {
        const far = headDistance(middle[0] + d[0] * r, middle[1] + d[1] * r, middle[2] + d[2] * r);
        if (Math.abs(far) < 0.05) break;
        r -= far * 0.8;
      }
      radii[i * (elevationCells + 1) + j] = r;
    }
  }
  return radii;
}

function interpolate(points: readonly (readonly [number, number])[], x: number): number {
  let i = 0;
  while (i + 2 < points.length && x > points[i + 1]![0]) i++;
  const [a, b] = [points[i]!, points[i + 1]!];
  const t = Math.min(1, Math.max(0, (x - a[0]) / (b[0] - a[0])));
  return a[1] + t * t * (3 - 2 * t) * (b[1] - a[1]);
}
