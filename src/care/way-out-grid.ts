/**
 * The floor as a grid whose cells know the nearest thing and the exact distance to it: things are written
 * into the cells about them, then neighbours pass on which thing is nearest, once down and once up (vector
 * distance transform: Danielsson, Euclidean distance mapping, 1980). Cells of 5 cm; m.
 */

import type { Obstacle, PlanPoint, WayOutPlan } from "./way-out-plan.ts";

/** Free width that a way out keeps (escape path; common practice, no source). */
export const wayOutM = 1;
export const cellM = 0.05;

/** A floor in square cells, each with the thing nearest to it. */
export interface Grid {
  readonly left: number;
  readonly back: number;
  readonly columns: number;
  readonly rows: number;
  readonly cell: number;
  /** Distance to the nearest thing, and which it is (its place in `things`). */
  readonly clearM: Float64Array;
  readonly nearest: Int32Array;
  readonly things: readonly Obstacle[];
}

/** The grid reaches past the walls, so that a way can end outside a door. */
export const outsideM = 0.6;
/** Larger halls get larger cells: the narrowest place is measured exactly anyway. */
const mostCells = 16_000;

/** Every cell with its clearance; walls are cut open at their doors. */
export function clearanceGrid(plan: WayOutPlan): Grid {
  const [left, back] = [plan.left - outsideM, plan.back - outsideM];
  const [width, depth] = [plan.right - left + outsideM, plan.front - back + outsideM];
  const cell = Math.max(cellM, Math.sqrt((width * depth) / mostCells));
  const columns = Math.ceil(width / cell);
  const rows = Math.ceil(depth / cell);
  const things = [...plan.obstacles, ...wallsOf(plan)];
  const clearM = new Float64Array(columns * rows).fill(Number.POSITIVE_INFINITY);
  const nearest = new Int32Array(columns * rows).fill(-1);
  const grid: Grid = { left, back, columns, rows, cell, clearM, nearest, things };
  things.forEach((_, i) => {
    seed(grid, i);
  });
  // Down and up once each: every cell asks its neighbours which thing is nearest to them.
  for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) spread(grid, c, r, -1);
  for (let r = rows - 1; r >= 0; r--) for (let c = columns - 1; c >= 0; c--) spread(grid, c, r, 1);
  return grid;
}

/** The walls, each cut open at its doors: 1.0 m at least, since a door's own width is the house's matter. */
function wallsOf(plan: WayOutPlan): readonly Obstacle[] {
  const { left, right, back, front } = plan;
  return [
    ...wall(plan, "the wall, camera left", [left, back], [left, front]),
    ...wall(plan, "the wall, camera right", [right, back], [right, front]),
    ...wall(plan, "the back wall", [left, back], [right, back]),
    ...wall(plan, "the wall behind the camera", [left, front], [right, front]),
  ];
}

function wall(plan: WayOutPlan, words: string, a: PlanPoint, b: PlanPoint): readonly Obstacle[] {
  const [along, across] = a[0] === b[0] ? ([1, 0] as const) : ([0, 1] as const);
  const cuts = plan.doors
    .filter(({ middle, inward }) => inward[across] !== 0 && Math.abs(middle[across] - a[across]) < 1e-9)
    .map(({ middle, widthM }) => {
      const half = Math.max(widthM, wayOutM) / 2;
      return [middle[along] - half, middle[along] + half] as const;
    })
    .sort((m, n) => m[0] - n[0]);
  const pieces: Obstacle[] = [];
  const add = (from: number, to: number): void => {
    if (to <= from) return;
    const point = (v: number): PlanPoint => (along === 0 ? [v, a[1]] : [a[0], v]);
    pieces.push({ owner: { kind: "wall", id: null, words, legs: false }, outline: [point(from), point(to)] });
  };
  let from = a[along];
  for (const [low, high] of cuts) {
    add(from, Math.min(low, b[along]));
    from = Math.max(from, high);
  }
  add(from, b[along]);
  return pieces;
}

export const centreOf = (grid: Grid, c: number, r: number): PlanPoint => [
  grid.left + (c + 0.5) * grid.cell,
  grid.back + (r + 0.5) * grid.cell,
];

/** Writes a thing into the cells of its bounding box and one around it. */
function seed(grid: Grid, i: number): void {
  const { outline } = grid.things[i] as Obstacle;
  const cells = (values: readonly number[], from: number, count: number): readonly [number, number] => [
    Math.max(0, Math.floor((Math.min(...values) - from) / grid.cell) - 1),
    Math.min(count - 1, Math.floor((Math.max(...values) - from) / grid.cell) + 1),
  ];
  const [c0, c1] = cells(
    outline.map(([x]) => x),
    grid.left,
    grid.columns,
  );
  const [r0, r1] = cells(
    outline.map(([, z]) => z),
    grid.back,
    grid.rows,
  );
  for (let r = r0; r <= r1; r++) for (let c = c0; c <= c1; c++) offer(grid, c, r, i);
}

function offer(grid: Grid, c: number, r: number, thing: number): void {
  const at = r * grid.columns + c;
  if (grid.nearest[at] === thing) return;
  const x = grid.left + (c + 0.5) * grid.cell;
  const z = grid.back + (r + 0.5) * grid.cell;
  const d = distanceFrom((grid.things[thing] as Obstacle).outline, x, z);
  if (d < (grid.clearM[at] as number)) {
    grid.clearM[at] = d;
    grid.nearest[at] = thing;
  }
}

function spread(grid: Grid, c: number, r: number, from: 1 | -1): void {
  ask(grid, c, r, c + from, r);
  ask(grid, c, r, c - 1, r + from);
  ask(grid, c, r, c, r + from);
  ask(grid, c, r, c + 1, r + from);
}

/** Takes a neighbour's thing where it is nearer than the own one. */
function ask(grid: Grid, c: number, r: number, c2: number, r2: number): void {
  if (c2 < 0 || c2 >= grid.columns || r2 < 0 || r2 >= grid.rows) return;
  const thing = grid.nearest[r2 * grid.columns + c2] as number;
  if (thing >= 0) offer(grid, c, r, thing);
}

/** Distance from a point to a convex outline, m; 0 inside. */
export const distanceTo = (outline: readonly PlanPoint[], p: PlanPoint): number => distanceFrom(outline, p[0], p[1]);

/** The same without a tuple: asked some hundred thousand times for one floor. */
function distanceFrom(outline: readonly PlanPoint[], x: number, z: number): number {
  const corners = outline.length;
  let least = Number.POSITIVE_INFINITY;
  let inside = corners > 2;
  let a = outline[corners - 1] as PlanPoint;
  for (let i = 0; i < corners; i++) {
    const b = outline[i] as PlanPoint;
    const dx = b[0] - a[0];
    const dz = b[1] - a[1];
    const px = x - a[0];
    const pz = z - a[1];
    if (dx * pz - dz * px < 0) inside = false;
    const along = dx * dx + dz * dz;
    // Foot of the perpendicular, held on the edge.
    let t = along > 0 ? (px * dx + pz * dz) / along : 0;
    if (t < 0) t = 0;
    else if (t > 1) t = 1;
    const ox = px - t * dx;
    const oz = pz - t * dz;
    const squared = ox * ox + oz * oz;
    if (squared < least) least = squared;
    a = b;
  }
  return inside ? 0 : Math.sqrt(least);
}

/** Distance between two convex outlines that do not cross: from the corners of each to the other. */
export function distanceBetween(a: readonly PlanPoint[], b: readonly PlanPoint[]): number {
  return Math.min(...a.map((p) => distanceTo(b, p)), ...b.map((p) => distanceTo(a, p)));
}
