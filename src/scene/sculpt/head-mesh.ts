/**
 * The head's skin as triangles: rays fan out from a line inside the head and neck and stop where the field is
 * zero, closest together over the face. Round each eye the fan leaves a window that the lids fill. Millimetres,
 * the head's own frame. Row 0 is the crown; the neck's last row stays open inside the collar.
 */

import { type Draft, newDraft, quad, vertex } from "../part.ts";
import { eyeMm, headDistance, mouthHalfMm, mouthLine } from "./head-field.ts";
import { fillLids } from "./lids.ts";

export interface Fineness {
  readonly rows: number;
  /** Columns from the front to the back, one side. */
  readonly halfColumns: number;
  readonly lidRings: number;
}

const degree = Math.PI / 180;

/**
 * The fan: at a pseudo-elevation p the rays of a row start at height `y` on the line below and rise by
 * `elevation`; toward the face they start further forward, by `reach` · cos(azimuth). Numbers were tried until
 * every part of the skin faces its rays: under the brow, under the nose, in the fold over the chin.
 */
const fan: readonly (readonly [p: number, y: number, elevation: number, z: number, reach: number])[] = [
  [90, 38, 90, -100, 40],
  [20, 38, 20, -100, 40],
  [0, 30, 2, -100, 40],
  [-20, 12, -22, -100, 40],
  [-35, -8, -32, -100, 40],
  [-50, -28, -45, -102, 40],
  [-58, -38, -55, -105, 34],
  [-68, -55, -54, -114, 16],
  [-85, -95, -34, -120, 10],
  [-110, -178, -4, -128, 10],
];
const topDeg = 88;
const lastDeg = -110;

/** Half-window of each eye in the picture plane: from and to in x, from and to in y. */
const eyeWindow = { fromX: 13.5, toX: 49, fromY: 15, toY: 46.5 } as const;

export function headDraft(fineness: Fineness): Draft {
  const { rows, halfColumns: half } = fineness;
  const columns = 2 * half;
  const draft = newDraft();
  const azimuths = Array.from({ length: half + 1 }, (_, j) => azimuthOf(j / half));
  const elevations = elevationRows(rows);
  const shift = mouthShift(elevations, azimuths);
  const radii = radiiOf(elevations, azimuths, shift);
  // Column c: 0 is the face's middle, then picture-right round the back to picture-left.
  for (let i = 0; i < rows; i++) {
    for (let c = 0; c < columns; c++) {
      const j = c <= half ? c : columns - c;
      const side = c <= half ? 1 : -1;
      const ray = rayOf(elevations[i]! + shift(i, j), azimuths[j]!);
      const r = radii[i * (half + 1) + j]!;
      vertex(draft, side * ray.dx * r, ray.oy + ray.dy * r, ray.oz + ray.dz * r);
    }
  }
  const rowRange = windowRows(draft, rows, columns, half);
  const columnRange = windowColumns(draft, rowRange, columns, half);
  const inWindow = (i: number, c: number): boolean => {
    if (i < rowRange[0] || i >= rowRange[1]) return false;
    const right = c >= columnRange[0] && c < columnRange[1];
    return right || (c >= columns - columnRange[1] && c < columns - columnRange[0]);
  };
  for (let i = 0; i + 1 < rows; i++) {
    for (let c = 0; c < columns; c++) {
      if (inWindow(i, c)) continue;
      const a = i * columns + c;
      const b = i * columns + ((c + 1) % columns);
      quad(draft, a, a + columns, b + columns, b);
    }
  }
  const crown = crownVertex(draft);
  for (let c = 0; c < columns; c++) draft.indices.push(crown, c, (c + 1) % columns);
  for (const side of [1, -1] as const) {
    const loop = windowLoop(rowRange, columnRange, columns, side);
    fillLids(draft, loop, side, fineness.lidRings);
  }
  return withoutLoose(draft);
}

/** The draft without vertices that no triangle has: those inside the windows. */
function withoutLoose(draft: Draft): Draft {
  const kept = newDraft();
  const numbers = new Map<number, number>();
  for (const v of draft.indices) {
    let n = numbers.get(v);
    if (n === undefined) {
      n = vertex(kept, draft.positions[3 * v]!, draft.positions[3 * v + 1]!, draft.positions[3 * v + 2]!);
      numbers.set(v, n);
    }
    kept.indices.push(n);
  }
  return kept;
}

/** The skin straight above the middle of the first row. */
function crownVertex(draft: Draft): number {
  const ray = rayOf(90, 0);
  return vertex(draft, 0, ray.oy + radiusAlong(90, Math.PI / 2, 120), fan[0]![3]);
}

/** Columns crowd toward the face: azimuth over the share of the half turn. */
const azimuthOf = (share: number): number => Math.PI * (0.5 * share + 0.5 * share ** 3);

/** How closely rows lie at a pseudo-elevation, relative. */
function rowDensity(deg: number): number {
  const bump = (middle: number, width: number): number => Math.exp(-(((deg - middle) / width) ** 2));
  return 0.3 + 1.1 * bump(-18, 14) + 1.4 * bump(-37, 8) + 0.75 * bump(8, 18) + 0.9 * bump(-55, 9);
}

/** Pseudo-elevations of the rows, crown first: equal shares of the density. */
function elevationRows(rows: number): number[] {
  const steps = 2000;
  const sums = [0];
  for (let s = 1; s <= steps; s++)
    sums.push(sums[s - 1]! + rowDensity(topDeg + ((s - 0.5) / steps) * (lastDeg - topDeg)));
  const out: number[] = [];
  let s = 0;
  for (let i = 0; i < rows; i++) {
    const wish = (sums[steps]! * i) / (rows - 1);
    while (s < steps && sums[s]! < wish) s++;
    out.push(topDeg + (s / steps) * (lastDeg - topDeg));
  }
  return out;
}

/** Rows this near to the mouth, in pseudo-degrees, bend with it. */
const mouthReachDeg = 9;

/**
 * Bends the rows round the mouth so that one of them runs along the line where the lips meet: the slit then
 * has no steps. Returns what row i of column j is moved by, pseudo-degrees.
 */
function mouthShift(elevations: number[], azimuths: readonly number[]): (i: number, j: number) => number {
  const middle = elevationOfMouth(0, -37);
  let nearest = 0;
  elevations.forEach((p, i) => {
    if (Math.abs(p - middle) < Math.abs(elevations[nearest]! - middle)) nearest = i;
  });
  const row = elevations[nearest]!;
  let last = 0;
  const byColumn = azimuths.map((azimuth) => {
    const wish = elevationOfMouth(azimuth, row + last);
    if (wish < Number.POSITIVE_INFINITY) last = wish - row;
    // Past the corner the bend dies away round the cheek.
    else last *= 0.88;
    return last;
  });
  return (i, j) => byColumn[j]! * Math.exp(-(((elevations[i]! - row) / mouthReachDeg) ** 2));
}

/** Pseudo-elevation at which the fan meets the mouth's line; infinite past the corners. */
function elevationOfMouth(azimuth: number, near: number): number {
  let [low, high] = [near - 8, near + 8];
  let p = near;
  for (let step = 0; step < 12; step++) {
    p = (low + high) / 2;
    const ray = rayOf(p, azimuth);
    const r = radiusAlong(p, azimuth, 80);
    const x = ray.dx * r;
    if (x > mouthHalfMm) return Number.POSITIVE_INFINITY;
    if (ray.oy + ray.dy * r > mouthLine(x)) high = p;
    else low = p;
  }
  return p;
}

interface Ray {
  readonly oy: number;
  readonly oz: number;
  readonly dx: number;
  readonly dy: number;
  readonly dz: number;
}

function rayOf(pseudoDeg: number, azimuth: number): Ray {
  let i = 0;
  while (i + 2 < fan.length && pseudoDeg < fan[i + 1]![0]) i++;
  const [from, to] = [fan[i]!, fan[i + 1]!];
  const t = (from[0] - pseudoDeg) / (from[0] - to[0]);
  const mix = (k: 1 | 2 | 3 | 4): number => from[k] + t * (to[k] - from[k]);
  const elevation = mix(2) * degree;
  const c = Math.cos(elevation);
  return {
    oy: mix(1),
    oz: mix(3) + mix(4) * Math.cos(azimuth) * Math.min(1, c * 1.4),
    dx: c * Math.sin(azimuth),
    dy: Math.sin(elevation),
    dz: c * Math.cos(azimuth),
  };
}

/** Radius of the outermost skin along every ray of one side, each search starting near its neighbour's answer. */
function radiiOf(
  elevations: readonly number[],
  azimuths: readonly number[],
  shift: (i: number, j: number) => number,
): Float64Array {
  const columns = azimuths.length;
  const radii = new Float64Array(elevations.length * columns);
  for (let i = 0; i < elevations.length; i++) {
    for (let j = 0; j < columns; j++) {
      const above = i > 0 ? radii[(i - 1) * columns + j]! : 125;
      const beside = j > 0 ? radii[i * columns + j - 1]! : above;
      radii[i * columns + j] = radiusAlong(elevations[i]! + shift(i, j), azimuths[j]!, Math.max(above, beside) + 4);
    }
  }
  return radii;
}

function radiusAlong(pseudoDeg: number, azimuth: number, start: number): number {
  const { oy, oz, dx, dy, dz } = rayOf(pseudoDeg, azimuth);
  let r = start;
  for (let step = 0; step < 40; step++) {
    const d = headDistance(dx * r, oy + dy * r, oz + dz * r);
    if (d < 0) {
      // Started or stepped inside: come out again, with a little to spare while searching.
      r -= d - (step < 8 ? 0.4 : 0);
      if (d > -0.01) break;
    } else {
      if (d < 0.01) break;
      r -= d * 0.92;
    }
  }
  return r;
}

/** Rows whose skin over the pupil lies within the window: first and last vertex row. */
function windowRows(draft: Draft, rows: number, columns: number, half: number): [number, number] {
  const found: number[] = [];
  for (let i = 0; i < rows; i++) {
    for (let c = 0; c < half; c++) {
      const at = 3 * (i * columns + c);
      if (draft.positions[at]! < eyeMm.x) continue;
      const y = draft.positions[at + 1]!;
      if (y >= eyeWindow.fromY && y <= eyeWindow.toY && draft.positions[at + 2]! > -70) found.push(i);
      break;
    }
  }
  return [found[0]!, found[found.length - 1]!];
}

/** Columns whose skin at the height of the pupil lies within the window. */
function windowColumns(
  draft: Draft,
  [top, bottom]: readonly [number, number],
  columns: number,
  half: number,
): [number, number] {
  const row = Math.round((top + bottom) / 2);
  const found: number[] = [];
  for (let c = 0; c < half; c++) {
    const x = draft.positions[3 * (row * columns + c)]!;
    const z = draft.positions[3 * (row * columns + c) + 2]!;
    if (x >= eyeWindow.fromX && x <= eyeWindow.toX && z > -75) found.push(c);
  }
  return [found[0]!, found[found.length - 1]!];
}

/** Rim of an eye's window, counter-clockwise seen from in front, starting at the lower left in the picture. */
function windowLoop(
  [top, bottom]: readonly [number, number],
  [near, far]: readonly [number, number],
  columns: number,
  side: 1 | -1,
): number[] {
  const [left, right] = side > 0 ? [near, far] : [columns - far, columns - near];
  const at = (i: number, c: number): number => i * columns + (c % columns);
  const loop: number[] = [];
  for (let c = left; c < right; c++) loop.push(at(bottom, c));
  for (let i = bottom; i > top; i--) loop.push(at(i, right));
  for (let c = right; c > left; c--) loop.push(at(top, c));
  for (let i = top; i < bottom; i++) loop.push(at(i, left));
  return loop;
}
