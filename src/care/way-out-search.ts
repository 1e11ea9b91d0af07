/**
 * The widest way from the sitter to a door: of all ways over the floor the one whose narrowest place is
 * widest. On the grid of way-out-grid.ts cells are taken from the sitter widest first (bottleneck paths, Pollack
 * 1960), so the first way to arrive is the widest. The narrowest place is then measured exactly, between the
 * two things that make it. And the door's leaf: a quarter circle about either end of the opening.
 */

import {
  cellM,
  centreOf,
  clearanceGrid,
  distanceBetween,
  distanceTo,
  type Grid,
  outsideM,
  wayOutM,
} from "./way-out-grid.ts";
import type { Door, Obstacle, Owner, PlanPoint, WayOutPlan } from "./way-out-plan.ts";

export interface WayOut {
  readonly door: Door;
  /** Narrowest place of the widest way, m; 0 when there is no way at all. Wider than 1.6 m is not told apart. */
  readonly widthM: number;
  /** Where that is, and the things on both sides of it. */
  readonly at: PlanPoint;
  readonly between: readonly Owner[];
  /** Cells of the way, from the sitter to the door. */
  readonly path: readonly PlanPoint[];
  /** Into which half circles an inward leaf can open: about the end with the smaller and the larger coordinate. */
  readonly leaf: { readonly low: boolean; readonly high: boolean; readonly blockedBy: readonly Owner[] };
}

/** More clearance than this to either side makes a way no better. */
const mostM = 0.8;
/** The sitter gets up and steps aside this far before the way is judged. */
const stepAsideM = 0.6;

/** The widest way out over all doors; null where there is no door. */
export function findWayOut(plan: WayOutPlan): WayOut | null {
  if (plan.doors.length === 0) return null;
  const grid = clearanceGrid(plan);
  const ways = plan.doors.map((door) => wayThrough(plan, grid, door));
  return ways.reduce((best, way) => (way.widthM > best.widthM + 1e-9 ? way : best));
}

/** Steps of clearance told apart while searching: 5 mm. */
const levels = 160;

function wayThrough(plan: WayOutPlan, grid: Grid, door: Door): WayOut {
  const goal = cellAt(grid, doorStep(door));
  const start = startCell(plan, grid);
  const from = widestFirst(grid, start, goal);
  const leaf = leafOf(plan, door);
  const cells: number[] = [];
  for (let at = from[goal] === -1 ? -1 : goal; at >= 0; at = at === start ? -1 : (from[at] as number)) cells.push(at);
  cells.reverse();
  const pointOf = (at: number): PlanPoint => centreOf(grid, at % grid.columns, Math.floor(at / grid.columns));
  if (cells.length === 0) {
    return { door, widthM: 0, at: pointOf(goal), between: ownersNear(grid, pointOf(goal)), path: [], leaf };
  }
  return { door, ...narrowestPlace(grid, cells, pointOf), path: cells.map(pointOf), leaf };
}

/** The narrowest gap among the cells that may be it: a cell's clearance is short by up to half a cell. */
function narrowestPlace(
  grid: Grid,
  cells: readonly number[],
  pointOf: (at: number) => PlanPoint,
): Pick<WayOut, "widthM" | "at" | "between"> {
  const clear = (cell: number): number => grid.clearM[cell] as number;
  const narrowest = cells.reduce((a, b) => (clear(b) < clear(a) ? b : a));
  let best = { ...measured(grid, narrowest, pointOf(narrowest)), at: pointOf(narrowest) };
  for (const cell of cells) {
    if (clear(cell) > clear(narrowest) + grid.cell) continue;
    const other = measured(grid, cell, pointOf(cell));
    // The way may hug one side where it could walk in the middle: only a gap straight across tells.
    if (other.straight && (!best.straight || other.widthM < best.widthM)) best = { ...other, at: pointOf(cell) };
  }
  return { widthM: best.widthM, at: best.at, between: best.between };
}

/** Outside the door: there a way out has arrived. */
const doorStep = (door: Door): PlanPoint => [
  door.middle[0] - door.inward[0] * (outsideM - cellM),
  door.middle[1] - door.inward[1] * (outsideM - cellM),
];

function cellAt(grid: Grid, [x, z]: PlanPoint): number {
  const c = Math.min(grid.columns - 1, Math.max(0, Math.floor((x - grid.left) / grid.cell)));
  const r = Math.min(grid.rows - 1, Math.max(0, Math.floor((z - grid.back) / grid.cell)));
  return r * grid.columns + c;
}

/** The roomiest cell within a step of the sitter. */
function startCell(plan: WayOutPlan, grid: Grid): number {
  const reach = Math.ceil(stepAsideM / grid.cell);
  const middle = cellAt(grid, plan.from);
  const [c0, r0] = [middle % grid.columns, Math.floor(middle / grid.columns)];
  let best = middle;
  for (let r = Math.max(0, r0 - reach); r <= Math.min(grid.rows - 1, r0 + reach); r++) {
    for (let c = Math.max(0, c0 - reach); c <= Math.min(grid.columns - 1, c0 + reach); c++) {
      const at = r * grid.columns + c;
      if (Math.hypot(c - c0, r - r0) <= reach && (grid.clearM[at] as number) > (grid.clearM[best] as number)) best = at;
    }
  }
  return best;
}

/** From which cell each cell was reached, widest ways first; -1 where the search never came. A queue of levels of 5 mm. */
function widestFirst(grid: Grid, start: number, goal: number): Int32Array {
  const from = new Int32Array(grid.columns * grid.rows).fill(-1);
  const queues: number[][] = Array.from({ length: levels + 1 }, () => []);
  const levelOf = (at: number): number => Math.floor((Math.min(mostM, grid.clearM[at] as number) / mostM) * levels);
  from[start] = start;
  (queues[levelOf(start)] as number[]).push(start);
  for (let level = levels; level >= 0; level--) {
    const queue = queues[level] as number[];
    for (let i = 0; i < queue.length; i++) {
      const at = queue[i] as number;
      if (at === goal) return from;
      const c = at % grid.columns;
      const next = [c > 0 ? at - 1 : -1, c < grid.columns - 1 ? at + 1 : -1, at - grid.columns, at + grid.columns];
      for (const to of next) {
        if (to < 0 || to >= from.length || from[to] !== -1) continue;
        const width = Math.min(level, levelOf(to));
        // Nearer than half a cell to something: across a thin line the next cell would do for a gap.
        if ((grid.clearM[to] as number) <= grid.cell / 2 + 1e-9) continue;
        from[to] = at;
        (queues[width] as number[]).push(to);
      }
    }
  }
  return from;
}

interface Squeeze {
  readonly widthM: number;
  readonly between: readonly Owner[];
  /** Measured between two things that stand straight across from each other. */
  readonly straight: boolean;
}

/** The exact width at the narrowest cell: between the nearest thing and the nearest one on its other side. */
function measured(grid: Grid, cell: number, at: PlanPoint): Squeeze {
  const clear = grid.clearM[cell] as number;
  if (clear >= mostM) return { widthM: 2 * mostM, between: [], straight: false };
  const first = grid.things[grid.nearest[cell] as number] as Obstacle;
  const others = grid.things
    .filter(
      ({ owner }) =>
        owner !== first.owner && !(owner.kind === first.owner.kind && owner.id === first.owner.id && owner.id !== null),
    )
    .map((thing) => ({ thing, d: distanceTo(thing.outline, at) }))
    .sort((a, b) => a.d - b.d);
  for (const { thing, d } of others) {
    // Twice the clearance is short of the gap by at most the cell that the way's middle falls into.
    if (d > clear + 2 * grid.cell) break;
    const gap = distanceBetween(first.outline, thing.outline);
    if (Math.abs(gap - (clear + d)) <= grid.cell)
      return { widthM: gap, between: [first.owner, thing.owner], straight: true };
  }
  // Not straight across (round a corner, say): the disc that just passes, and the next thing it touches.
  const [next] = others.filter(({ d }) => d <= clear + 2 * grid.cell);
  return {
    widthM: 2 * clear,
    between: next === undefined ? [first.owner] : [first.owner, next.thing.owner],
    straight: false,
  };
}

const ownersNear = (grid: Grid, at: PlanPoint): readonly Owner[] =>
  grid.things
    .filter(({ outline, owner }) => owner.kind !== "wall" && distanceTo(outline, at) < wayOutM / 2)
    .map(({ owner }) => owner);

/** Which of the two half leaves stay free: no thing in the quarter circle about that end. */
function leafOf(plan: WayOutPlan, door: Door): WayOut["leaf"] {
  if (!door.opensInward) return { low: true, high: true, blockedBy: [] };
  const alongWall: PlanPoint = door.inward[0] !== 0 ? [0, 1] : [1, 0];
  const blocked = (end: -1 | 1): readonly Owner[] => {
    const sector = leafSector(door, alongWall, end);
    return plan.obstacles.filter(({ outline }) => overlap(sector, outline)).map(({ owner }) => owner);
  };
  const [low, high] = [blocked(-1), blocked(1)];
  return { low: low.length === 0, high: high.length === 0, blockedBy: [...new Set([...low, ...high])] };
}

/** The quarter circle of the leaf hinged at one end, as a convex outline. */
function leafSector(door: Door, along: PlanPoint, end: -1 | 1): readonly PlanPoint[] {
  const hinge: PlanPoint = [
    door.middle[0] + (along[0] * end * door.widthM) / 2,
    door.middle[1] + (along[1] * end * door.widthM) / 2,
  ];
  const arc = Array.from({ length: 7 }, (_, i): PlanPoint => {
    const angle = (i * Math.PI) / 12;
    const [a, b] = [-end * door.widthM * Math.cos(angle), door.widthM * Math.sin(angle)];
    return [hinge[0] + along[0] * a + door.inward[0] * b, hinge[1] + along[1] * a + door.inward[1] * b];
  });
  return [hinge, ...arc];
}

/** Convex outlines overlap unless the line along some side parts them (separating axes). */
export function overlap(a: readonly PlanPoint[], b: readonly PlanPoint[]): boolean {
  return ![a, b].some((outline) =>
    outline.some((p, i) => {
      const q = outline[(i + 1) % outline.length] as PlanPoint;
      const [nx, nz] = [q[1] - p[1], p[0] - q[0]];
      if (nx === 0 && nz === 0) return false;
      const span = (points: readonly PlanPoint[]): readonly [number, number] => {
        const along = points.map(([x, z]) => x * nx + z * nz);
        return [Math.min(...along), Math.max(...along)];
      };
      const [[aLow, aHigh], [bLow, bHigh]] = [span(a), span(b)];
      return aHigh <= bLow + 1e-9 || bHigh <= aLow + 1e-9;
    }),
  );
}
