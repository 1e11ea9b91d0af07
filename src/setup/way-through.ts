/**
 * Is there a way from the sitter to a door, so many metres wide, and how does one more light change it? The floor is
 * a grid of cells that know their distance to what stands there; a way of width w goes over cells that are w/2 clear.
 * In the way is all that is lower than 2.0 m, a doorway's head room (common practice, no source). A light's legs,
 * low front and arm count as their outlines in the plan. Lengths in metres.
 */

import type { Vec3 } from "../units/index.ts";
import { panelOutline } from "./fronts.ts";
import { type LightBody, lightBody } from "./light-body.ts";
import type { Opening, Room, Setup } from "./types.ts";

/** Free width wanted to the door (escape path; common practice, no source: local fire code rules). */
export const wayOutM = 1;
const headRoomM = 2;
const tripodM = 0.35;
const outsideM = 0.6;
/** More clearance than this makes a way no better. */
const mostM = 0.6;
/** Whoever sits gets up and steps aside so far. */
const stepAsideM = 0.6;
const finestCellM = 0.08;
const mostCells = 16_000;

type PlanPoint = readonly [x: number, z: number];

/** A floor with what stands on it: clearance of every cell, m, and where ways begin and end. */
export interface Floor {
  readonly left: number;
  readonly back: number;
  readonly columns: number;
  readonly rows: number;
  readonly cellM: number;
  readonly clearM: Float32Array;
  readonly from: PlanPoint;
  readonly doors: readonly PlanPoint[];
}

/** The floor without lights; null where no door is drawn. Finer cells tell narrow ways better, and take longer. */
export function floorOf(setup: Setup, finestM: number = finestCellM): Floor | null {
  const { room, camera } = setup;
  const doors = room.openings.filter(({ kind }) => kind === "door");
  if (doors.length === 0) return null;
  const [left, back] = [-room.crossFromLeftM, -room.crossFromBackM];
  const [width, depth] = [room.widthM + 2 * outsideM, room.depthM + 2 * outsideM];
  const cellM = Math.max(finestM, (finestM / finestCellM) * Math.sqrt((width * depth) / mostCells));
  const [columns, rows] = [Math.ceil(width / cellM), Math.ceil(depth / cellM)];
  const { xM, zM } = camera.position;
  const floor: Floor = {
    left: left - outsideM,
    back: back - outsideM,
    columns,
    rows,
    cellM,
    clearM: new Float32Array(columns * rows).fill(mostM),
    from: setup.subject.kind === "object" ? [xM, zM + 0.6] : [0, -0.1],
    doors: doors.map((door) => outsideDoor(room, door)),
  };
  for (const outline of [...wallsOf(room, doors), ...furnishing(setup)]) write(floor, outline);
  return floor;
}

/** The same floor with a light on it. */
export function withLight(floor: Floor, body: LightBody): Floor {
  const more = { ...floor, clearM: floor.clearM.slice() };
  for (const outline of outlinesOf(body)) write(more, outline);
  return more;
}

/**
 * Whether a way so wide leads from the sitter to some door; with `body`, also past that light. Only the cells that the
 * search comes to are asked how near the light is: a pattern tries hundreds of places.
 */
export function hasWay(floor: Floor, widthM: number, body: LightBody | null = null): boolean {
  const { left, back, columns, rows, cellM, clearM } = floor;
  const halfM = widthM / 2;
  const outlines = (body === null ? [] : outlinesOf(body)).map((outline) => boxed(outline, halfM));
  const isFree = (cell: number): boolean => {
    if ((clearM[cell] as number) < halfM) return false;
    const x = left + ((cell % columns) + 0.5) * cellM;
    const z = back + (Math.floor(cell / columns) + 0.5) * cellM;
    for (const { x0, x1, z0, z1, outline } of outlines) {
      if (x > x0 && x < x1 && z > z0 && z < z1 && distanceTo(outline, x, z) < halfM) return false;
    }
    return true;
  };
  const goals = floor.doors.map((door) => cellAt(floor, door));
  const seen = new Uint8Array(columns * rows);
  const queue: number[] = [];
  const visit = (cell: number): void => {
    if (seen[cell] === 1) return;
    seen[cell] = 1;
    if (isFree(cell)) queue.push(cell);
  };
  for (const cell of cellsNear(floor, floor.from)) visit(cell);
  for (let read = 0; read < queue.length; read++) {
    const cell = queue[read] as number;
    if (goals.includes(cell)) return true;
    const column = cell % columns;
    if (column > 0) visit(cell - 1);
    if (column < columns - 1) visit(cell + 1);
    if (cell >= columns) visit(cell - columns);
    if (cell < columns * (rows - 1)) visit(cell + columns);
  }
  return false;
}

/** An outline and the box about all that is nearer to it than `byM`. */
function boxed(
  outline: readonly PlanPoint[],
  byM: number,
): { outline: readonly PlanPoint[]; x0: number; x1: number; z0: number; z1: number } {
  let [x0, x1, z0, z1] = [Infinity, -Infinity, Infinity, -Infinity];
  for (const [x, z] of outline) {
    x0 = Math.min(x0, x - byM);
    x1 = Math.max(x1, x + byM);
    z0 = Math.min(z0, z - byM);
    z1 = Math.max(z1, z + byM);
  }
  return { outline, x0, x1, z0, z1 };
}

/** Cells for the last word on a way, m. */
const fineCellM = 0.03;

/** The widest way to a door past all lights of a setup, m; wayOutM where that much is free, 0 where there is no way. Null without a door. */
export function wayWidthM(setup: Setup): number | null {
  const bare = floorOf(setup, fineCellM);
  if (bare === null) return null;
  const floor = setup.lights.reduce((so, light) => withLight(so, lightBody(setup, light)), bare);
  // Cells miss the middle of a way by half their size: a way is wider than they show by up to a cell.
  if (hasWay(floor, wayOutM - floor.cellM)) return wayOutM;
  let [low, high] = [0, wayOutM];
  while (high - low > 0.01) {
    const half = (low + high) / 2;
    if (hasWay(floor, half)) low = half;
    else high = half;
  }
  return low < 0.02 ? 0 : low;
}

/** A step outside the door: there a way has arrived. */
function outsideDoor(room: Room, door: Opening): PlanPoint {
  const [left, back] = [-room.crossFromLeftM, -room.crossFromBackM];
  const along = door.fromM + door.widthM / 2;
  const step = outsideM - 0.1;
  if (door.wall === "left") return [left - step, back + along];
  if (door.wall === "right") return [left + room.widthM + step, back + along];
  if (door.wall === "back") return [left + along, back - step];
  return [left + along, back + room.depthM + step];
}

/** Walls, cut open at their doors: a door's own width is the house's matter, so 1.0 m and a cell's slack at least. */
function wallsOf(room: Room, doors: readonly Opening[]): readonly (readonly PlanPoint[])[] {
  const [left, back] = [-room.crossFromLeftM, -room.crossFromBackM];
  const [right, front] = [left + room.widthM, back + room.depthM];
  const walls: readonly (readonly [Opening["wall"], PlanPoint, PlanPoint])[] = [
    ["left", [left, back], [left, front]],
    ["right", [right, back], [right, front]],
    ["back", [left, back], [right, back]],
    ["front", [left, front], [right, front]],
  ];
  return walls.flatMap(([wall, [x0, z0], [x1, z1]]) => {
    const long = Math.hypot(x1 - x0, z1 - z0);
    const at = (m: number): PlanPoint => [x0 + ((x1 - x0) * m) / long, z0 + ((z1 - z0) * m) / long];
    const cuts = doors
      .filter((door) => door.wall === wall)
      .map(({ fromM, widthM }): readonly [number, number] => {
        const half = Math.max(widthM, wayOutM + 2 * finestCellM) / 2;
        return [fromM + widthM / 2 - half, fromM + widthM / 2 + half];
      })
      .sort((a, b) => a[0] - b[0]);
    const ends = [0, ...cuts.flat(), long];
    const pieces: PlanPoint[][] = [];
    for (let i = 0; i + 1 < ends.length; i += 2) {
      const [from, to] = [ends[i] as number, ends[i + 1] as number];
      if (to > from) pieces.push([at(from), at(to)]);
    }
    return pieces;
  });
}

/** Furniture, panels, the tripod and the paper in the plan. */
function furnishing(setup: Setup): readonly (readonly PlanPoint[])[] {
  const { room, camera, backdrop } = setup;
  const furniture = room.furniture.map((piece): readonly PlanPoint[] => {
    const [x, z] = [piece.fromLeftM - room.crossFromLeftM, piece.fromBackM - room.crossFromBackM];
    const [x1, z1] = [x + piece.widthM, z + piece.depthM];
    return [
      [x, z],
      [x1, z],
      [x1, z1],
      [x, z1],
    ];
  });
  const panels = setup.panels.map((panel) => hull(belowHeadRoom(panelOutline(setup, panel))));
  const tripod = Array.from({ length: 12 }, (_, i): PlanPoint => {
    const angle = (i * Math.PI) / 6;
    return [camera.position.xM + tripodM * Math.cos(angle), camera.position.zM + tripodM * Math.sin(angle)];
  });
  const paper =
    backdrop === null ? [] : [-0.5, 0.5].map((side): PlanPoint => [backdrop.xM + side * backdrop.widthM, backdrop.zM]);
  return [...furniture, ...panels, tripod, paper];
}

function outlinesOf(body: LightBody): readonly (readonly PlanPoint[])[] {
  const legs = body.stand === null ? [] : [body.stand.foot, ...body.stand.legEnds];
  // A counterweight is never over the way out, however high it hangs.
  const arm = body.boom === null ? [] : [body.boom.tail, ...belowHeadRoom([body.boom.tail, body.boom.load])];
  return [hull(legs), hull(belowHeadRoom([...body.front, ...body.ring, ...body.head])), hull(arm)];
}

/** The points of a closed outline lower than head room, with the crossings at that height. */
function belowHeadRoom(points: readonly Vec3[]): readonly Vec3[] {
  return points.flatMap((p, i) => {
    const next = points[(i + 1) % points.length] as Vec3;
    const kept: Vec3[] = p[1] < headRoomM ? [p] : [];
    if (p[1] < headRoomM !== next[1] < headRoomM) {
      const t = (headRoomM - p[1]) / (next[1] - p[1]);
      kept.push([p[0] + t * (next[0] - p[0]), headRoomM, p[2] + t * (next[2] - p[2])]);
    }
    return kept;
  });
}

/** Convex hull in the plan, counter-clockwise: monotone chain (Andrew 1979). */
function hull(points: readonly Vec3[]): readonly PlanPoint[] {
  const sorted = points.map(([x, , z]): PlanPoint => [x, z]).sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  if (sorted.length < 3) return sorted;
  const chain = (ordered: readonly PlanPoint[]): PlanPoint[] => {
    const kept: PlanPoint[] = [];
    for (const p of ordered) {
      while (
        kept.length > 1 &&
        turn(kept[kept.length - 2] as PlanPoint, kept[kept.length - 1] as PlanPoint, p) <= 1e-12
      )
        kept.pop();
      kept.push(p);
    }
    return kept.slice(0, -1);
  };
  return [...chain(sorted), ...chain(sorted.toReversed())];
}

const turn = (a: PlanPoint, b: PlanPoint, c: PlanPoint): number =>
  (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);

/** Tells the cells about an outline (counter-clockwise) how near it is. */
function write(floor: Floor, outline: readonly PlanPoint[]): void {
  if (outline.length === 0) return;
  const { left, back, columns, rows, cellM, clearM } = floor;
  const xs = outline.map(([x]) => x);
  const zs = outline.map(([, z]) => z);
  const column = (x: number): number => Math.min(columns - 1, Math.max(0, Math.floor((x - left) / cellM)));
  const row = (z: number): number => Math.min(rows - 1, Math.max(0, Math.floor((z - back) / cellM)));
  const [c0, c1] = [column(Math.min(...xs) - mostM), column(Math.max(...xs) + mostM)];
  const [r0, r1] = [row(Math.min(...zs) - mostM), row(Math.max(...zs) + mostM)];
  for (let r = r0; r <= r1; r++) {
    const z = back + (r + 0.5) * cellM;
    for (let c = c0; c <= c1; c++) {
      const at = r * columns + c;
      const d = distanceTo(outline, left + (c + 0.5) * cellM, z);
      if (d < (clearM[at] as number)) clearM[at] = d;
    }
  }
}

/** From a point to a convex outline, m; 0 inside. */
function distanceTo(outline: readonly PlanPoint[], x: number, z: number): number {
  let [square, inside] = [Number.POSITIVE_INFINITY, outline.length > 2];
  for (let i = 0; i < outline.length; i++) {
    const [ax, az] = outline[i] as PlanPoint;
    const [bx, bz] = outline[(i + 1) % outline.length] as PlanPoint;
    const [dx, dz, px, pz] = [bx - ax, bz - az, x - ax, z - az];
    if (dx * pz - dz * px < 0) inside = false;
    const along = dx * dx + dz * dz;
    const t = along > 0 ? Math.min(1, Math.max(0, (px * dx + pz * dz) / along)) : 0;
    square = Math.min(square, (px - t * dx) ** 2 + (pz - t * dz) ** 2);
  }
  return inside ? 0 : Math.sqrt(square);
}

function cellAt({ left, back, columns, rows, cellM }: Floor, [x, z]: PlanPoint): number {
  const c = Math.min(columns - 1, Math.max(0, Math.floor((x - left) / cellM)));
  const r = Math.min(rows - 1, Math.max(0, Math.floor((z - back) / cellM)));
  return r * columns + c;
}

/** All cells within a step of a place: there a way may begin. */
function cellsNear(floor: Floor, from: PlanPoint): readonly number[] {
  const { columns, rows, cellM } = floor;
  const reach = Math.floor(stepAsideM / cellM);
  const middle = cellAt(floor, from);
  const [c0, r0] = [middle % columns, Math.floor(middle / columns)];
  const cells: number[] = [];
  for (let r = Math.max(0, r0 - reach); r <= Math.min(rows - 1, r0 + reach); r++) {
    for (let c = Math.max(0, c0 - reach); c <= Math.min(columns - 1, c0 + reach); c++) {
      if (Math.hypot(c - c0, r - r0) <= reach) cells.push(r * columns + c);
    }
  }
  return cells;
}
