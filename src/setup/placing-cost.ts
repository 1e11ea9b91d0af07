/**
 * How much a light is in the way where a pattern would put it: in steps, worst first, so that the search
 * takes a small shift before a stand in the way out, and a stand in the way out before one in a wall. Solids are
 * compared with solids (standing-things.ts), the way out is walked on the floor (way-through.ts). Gaps wanted are
 * common practice, no source. Lengths in metres.
 */

import { distance, type Vec3 } from "../units/index.ts";
import { type LightBody, lightBody } from "./light-body.ts";
import { gapM } from "./solid.ts";
import { wallClearanceM } from "./space.ts";
import { type Part, panelThing, partsOf, type Thing, thingsIn } from "./standing-things.ts";
import { bagNeedKg } from "./steadiness.ts";
import type { Kit, Light, Opening, Panel, Room, Setup } from "./types.ts";
import { type Floor, floorOf, hasWay, wayOutM, withLight } from "./way-through.ts";

const inWall = 100;
const onLight = 90;
const onThing: Readonly<Record<Thing["kind"], number>> = {
  sitter: 120,
  paper: 80,
  furniture: 60,
  camera: 60,
  panel: 60,
  picture: 50,
};
const wantedGapM: Readonly<Record<Thing["kind"], number>> = {
  sitter: 0.15,
  paper: 0.03,
  furniture: 0.03,
  camera: 0.03,
  panel: 0.03,
  picture: 0.02,
};
const lightGapM = 0.04;
const perMetre = 100;
const overSomebody = 100;
const overSomebodyM = 0.7;
const unreachable = 40;
const nearSitter = 30;
const nearDetector = 20;
const detectorM = 0.5;
const beforeDoor = 12;
const noBag = 15;
const perBagKg = 0.05;
/** What it costs to close the last way of each width, m; from 0.6 m on nobody passes. */
const ways: readonly (readonly [widthM: number, cost: number])[] = [
  [wayOutM, 14],
  [0.8, 12],
  [0.6, 30],
];

/** Everything that stands already while a pattern is placed. */
export interface Ground {
  readonly setup: Setup;
  readonly things: readonly Thing[];
  readonly lights: readonly (readonly Part[])[];
  /** Null where no door is drawn. */
  readonly floor: Floor | null;
  /** The widest of `ways` that is still open. */
  readonly openFrom: number;
  readonly bagsKg: number;
}

/** The room with paper, camera, sitter and panels, no light yet. */
export function groundOf(setup: Setup, kit: Kit): Ground {
  const floor = floorOf(setup);
  const bagsKg = kit.sandbagsKg.reduce((sum, kg) => sum + kg, 0);
  return { setup, things: thingsIn(setup), lights: [], floor, openFrom: openFrom(floor), bagsKg };
}

/** The same with one more light. */
export function groundWith(ground: Ground, light: Light): Ground {
  const setup = { ...ground.setup, lights: [...ground.setup.lights, light] };
  const body = lightBody(setup, light);
  const floor = ground.floor === null ? null : withLight(ground.floor, body);
  return { ...ground, setup, lights: [...ground.lights, partsOf(body)], floor, openFrom: openFrom(floor) };
}

/** The same with one more panel. */
export function groundWithPanel(ground: Ground, panel: Panel): Ground {
  const setup = { ...ground.setup, panels: [...ground.setup.panels, panel] };
  const floor = floorOf(setup);
  return { ...ground, setup, things: [...ground.things, panelThing(setup, panel)], floor, openFrom: openFrom(floor) };
}

/** The first of `ways` that is open; those after it are narrower, and open too. */
function openFrom(floor: Floor | null): number {
  const at = floor === null ? -1 : ways.findIndex(([widthM]) => hasWay(floor, widthM));
  return at < 0 ? ways.length : at;
}

/** What hangs up there, front and head, against all that stands: 0 in nobody's way. It is the same however it is carried. */
export function hangingCost(ground: Ground, body: LightBody): number {
  const points = [...body.front, ...body.ring, ...body.head, ...(body.grid ?? [])];
  return wallCost(ground, points) + partsCost(ground, partsOf(body).filter(isHanging));
}

/** Column, legs and boom against all that stands, and how steady it is. Once it is sure to be `limit` or more, some such cost is returned. */
export function carryingCost(ground: Ground, light: Light, body: LightBody, limit: number): number {
  const { stand, boom } = body;
  const points = [
    ...(stand === null ? [] : [stand.foot, stand.top, ...stand.legEnds]),
    ...(boom === null ? [] : [boom.load, boom.tail]),
  ];
  const cost = wallCost(ground, points) + reachCost(light, body) + boomCost(body);
  if (cost >= limit) return cost;
  const carried =
    cost +
    partsCost(
      ground,
      partsOf(body).filter((part) => !isHanging(part)),
    );
  return carried >= limit ? carried : carried + bagCost(ground, light, body);
}

const isHanging = ({ name }: Part): boolean => name === "front" || name === "head";

/** Walls with their clearance, and the metre before a door. */
function wallCost({ setup }: Ground, points: readonly Vec3[]): number {
  const out = outsideBy(setup.room, points);
  const door = setup.room.openings.some((o) => o.kind === "door" && blocksDoor(setup.room, o, points));
  return (out > 1e-9 ? inWall + out * perMetre : 0) + (door ? beforeDoor : 0);
}

function partsCost(ground: Ground, parts: readonly Part[]): number {
  let cost = detectorCost(ground.setup.room, parts);
  for (const thing of ground.things) cost += thingCost(parts, thing);
  for (const others of ground.lights) cost += lightCost(parts, others);
  return cost;
}

/** Paper, camera and sitter in the furniture, before any light stands: the same steps. */
export function stageCost(setup: Setup): number {
  const things = thingsIn(setup);
  const furniture = things.filter(({ kind }) => kind === "furniture");
  const own = things.filter(({ kind }) => kind !== "furniture" && kind !== "picture");
  const hit = own.filter((thing) => furniture.some((piece) => gapM(thing.solid, piece.solid, 0.05) < 0.05));
  return hit.reduce((sum, { kind }) => sum + onThing[kind], 0);
}

/** A panel against all that stands but lights. */
export function panelCost(ground: Ground, panel: Thing, outline: readonly Vec3[]): number {
  const out = outsideBy(ground.setup.room, outline);
  const part: Part = { name: "front", solid: panel.solid };
  return ground.things.reduce((sum, thing) => sum + thingCost([part], thing), out > 1e-9 ? inWall + out * perMetre : 0);
}

function thingCost(parts: readonly Part[], thing: Thing): number {
  const wanted = wantedGapM[thing.kind];
  let gap = wanted;
  for (const part of parts) gap = Math.min(gap, gapM(part.solid, thing.solid, gap));
  return gap >= wanted ? 0 : onThing[thing.kind] + (wanted - gap) * perMetre;
}

/** Legs may lie beside each other; all else keeps a hand's breadth of air. */
function lightCost(parts: readonly Part[], others: readonly Part[]): number {
  let short = 0;
  for (const part of parts) {
    for (const other of others) {
      const wanted = part.name === "leg" && other.name === "leg" ? 0 : lightGapM;
      short = Math.max(short, wanted - gapM(part.solid, other.solid, wanted));
    }
  }
  return short <= 1e-9 ? 0 : onLight + short * perMetre;
}

function reachCost({ support }: Light, { stand, boom }: LightBody): number {
  const top = stand?.top[1] ?? 0;
  const tooTall = stand !== null && (top > support.maxHeightM || top < support.minHeightM);
  const tooFar = boom !== null && boom.reachM > support.boomReachM;
  return (tooTall ? unreachable : 0) + (tooFar ? unreachable : 0);
}

/** The sitter's chair, and a counterweight at head height: a boom's stand belongs well away from both. */
function boomCost({ stand, boom }: LightBody): number {
  let cost = stand === null ? 0 : nearness(Math.hypot(stand.foot[0], stand.foot[2]), 0.6, onThing.sitter);
  if (boom === null) return cost;
  const [pivotM, tailM] = [boom.pivot, boom.tail].map((p) => Math.hypot(p[0], p[2])) as [number, number];
  cost += nearness(pivotM, 1.1, nearSitter) + nearness(tailM, 1.1, nearSitter);
  return cost + (tailM < overSomebodyM ? overSomebody : 0);
}

function detectorCost(room: Room, parts: readonly Part[]): number {
  const near = room.detectors.some(({ xM, yM, zM }) => {
    const point: Vec3 = [xM, yM, zM];
    return parts.some(
      ({ solid }) =>
        distance(point, solid.centre) < detectorM + solid.reachM &&
        gapM(solid, { points: [point], radiusM: 0, centre: point, reachM: 0 }, detectorM) < detectorM,
    );
  });
  return near ? nearDetector : 0;
}

/** Lighter bags are easier carried; one that the kit does not hold is worse than another place. */
function bagCost({ bagsKg }: Ground, light: Light, body: LightBody): number {
  const needKg = bagNeedKg(light, body);
  if (needKg === null) return unreachable;
  return (needKg > bagsKg ? noBag : 0) + perBagKg * needKg;
}

/** Only what this light takes counts: a way that was closed before is not its fault. At least 0, and `limit` ends it. */
export function wayCost({ floor, openFrom: first }: Ground, body: LightBody, limit: number): number {
  let cost = 0;
  for (const [widthM, lost] of ways.slice(first)) {
    if (floor === null || cost >= limit || hasWay(floor, widthM, body)) break;
    cost += lost;
  }
  return cost;
}

/** 0 from `far` on, rising to `most` at no distance. */
const nearness = (gap: number, far: number, most: number): number => (gap >= far ? 0 : most * (1 - gap / far));

/** Furthest that any point is past walls, floor or ceiling with their clearance, m. */
function outsideBy(room: Room, points: readonly Vec3[]): number {
  const clear = wallClearanceM;
  let by = 0;
  for (const [x, y, z] of points) {
    by = Math.max(
      by,
      -room.crossFromLeftM + clear - x,
      x - (room.widthM - room.crossFromLeftM - clear),
      -room.crossFromBackM + clear - z,
      z - (room.depthM - room.crossFromBackM - clear),
      y - (room.heightM - clear),
      -y,
    );
  }
  return by;
}

/** Anything lower than a lintel in the metre before a door. */
function blocksDoor(room: Room, door: Opening, points: readonly Vec3[]): boolean {
  const [near, far] = [door.fromM, door.fromM + door.widthM];
  return points.some(([x, y, z]) => {
    if (y > door.heightM) return false;
    const [fromLeft, fromBack] = [x + room.crossFromLeftM, z + room.crossFromBackM];
    const alongSide = door.wall === "left" || door.wall === "right";
    const along = alongSide ? fromBack : fromLeft;
    if (along <= near || along >= far) return false;
    if (door.wall === "left") return fromLeft < wayOutM;
    if (door.wall === "right") return fromLeft > room.widthM - wayOutM;
    if (door.wall === "back") return fromBack < wayOutM;
    return fromBack > room.depthM - wayOutM;
  });
}
