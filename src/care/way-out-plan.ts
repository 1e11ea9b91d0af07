/**
 * The floor as somebody sees it who has to leave: walls, and convex outlines of all that blocks a walking
 * person. Blocking is whatever hangs lower than 2.0 m (head room of a doorway; common practice, no source):
 * the feet of stands, low fronts and arms, panels, furniture, the camera's tripod, the paper on its stands.
 * World axes in the plan: x, z; m.
 */

import { type Opening, panelOutline, type Room, type Setup } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import type { World } from "./world.ts";

type Floor = Pick<World, "setup" | "lights" | "people">;

export type PlanPoint = readonly [x: number, z: number];

/** One thing in the way: a convex outline, counter-clockwise, of one, two or more corners. */
export interface Obstacle {
  readonly owner: Owner;
  readonly outline: readonly PlanPoint[];
}

export interface Owner {
  readonly kind: "light" | "panel" | "furniture" | "camera" | "backdrop" | "wall";
  readonly id: string | null;
  /** "F's legs", "the upright piano". */
  readonly words: string;
  /** Legs turn; a front does not. */
  readonly legs: boolean;
}

export interface Door {
  readonly id: string;
  readonly name: string;
  /** Middle of the opening on the wall, and the unit vector into the room. */
  readonly middle: PlanPoint;
  readonly inward: PlanPoint;
  readonly widthM: number;
  readonly opensInward: boolean;
}

export interface WayOutPlan {
  readonly left: number;
  readonly right: number;
  readonly back: number;
  readonly front: number;
  readonly from: PlanPoint;
  readonly doors: readonly Door[];
  readonly obstacles: readonly Obstacle[];
}

const headRoomM = 2;
/** Spread of a camera's tripod (common practice, no source). */
const tripodRadiusM = 0.35;

export function wayOutPlan(world: Floor): WayOutPlan {
  const { setup } = world;
  const { room } = setup;
  const [left, back] = [-room.crossFromLeftM, -room.crossFromBackM];
  const person = world.people[0];
  return {
    left,
    right: left + room.widthM,
    back,
    front: back + room.depthM,
    from: person === undefined ? besideCamera(setup) : [person.xM, person.zM],
    doors: room.openings.filter((opening) => opening.kind === "door").map((opening) => doorOf(room, opening)),
    obstacles: [...lightObstacles(world), ...otherObstacles(setup)].filter(({ outline }) => outline.length > 0),
  };
}

/** Before an object nobody sits: whoever has to leave stands behind the camera. */
const besideCamera = (setup: Setup): PlanPoint => [setup.camera.position.xM, setup.camera.position.zM + 0.6];

function lightObstacles(world: Floor): readonly Obstacle[] {
  return world.lights.flatMap(({ light, body }): readonly Obstacle[] => {
    const owner = (words: string, legs: boolean): Owner => ({ kind: "light", id: light.id, words, legs });
    const legs = body.stand === null ? [] : [body.stand.foot, ...body.stand.legEnds];
    const arm = body.boom === null ? [] : belowHeadRoom([body.boom.tail, body.boom.load]);
    const low = belowHeadRoom([...body.front, ...body.ring, ...body.head]);
    return [
      { owner: owner(`${light.tag}'s legs`, true), outline: hull(legs) },
      { owner: owner(`${light.tag}'s front`, false), outline: hull(low) },
      { owner: owner(`${light.tag}'s arm`, false), outline: hull(arm) },
    ];
  });
}

function otherObstacles(setup: Setup): readonly Obstacle[] {
  const { room, camera, backdrop } = setup;
  const panels = setup.panels.map((panel): Obstacle => {
    const owner: Owner = { kind: "panel", id: panel.id, words: `the ${panel.name}`, legs: false };
    return { owner, outline: hull(belowHeadRoom(panelOutline(setup, panel))) };
  });
  const furniture = room.furniture.map((piece): Obstacle => {
    const [x, z] = [piece.fromLeftM - room.crossFromLeftM, piece.fromBackM - room.crossFromBackM];
    const owner: Owner = { kind: "furniture", id: piece.id, words: `the ${piece.name}`, legs: false };
    return { owner, outline: hull(box(x, z, piece.widthM, piece.depthM)) };
  });
  const tripod = Array.from({ length: 12 }, (_, i): Vec3 => {
    const angle = (i * Math.PI) / 6;
    const { xM, zM } = camera.position;
    return [xM + tripodRadiusM * Math.sin(angle), 0, zM + tripodRadiusM * Math.cos(angle)];
  });
  const found = [
    ...panels,
    ...furniture,
    { owner: { kind: "camera", id: camera.id, words: "the camera", legs: false } as const, outline: hull(tripod) },
  ];
  if (backdrop === null) return found;
  const ends: Vec3[] = [-0.5, 0.5].map((side) => [backdrop.xM + side * backdrop.widthM, 0, backdrop.zM]);
  const owner: Owner = { kind: "backdrop", id: null, words: "the paper", legs: false };
  return [...found, { owner, outline: hull(ends) }];
}

const box = (x: number, z: number, width: number, depth: number): Vec3[] => [
  [x, 0, z],
  [x + width, 0, z],
  [x + width, 0, z + depth],
  [x, 0, z + depth],
];

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

/** Convex hull in the plan: monotone chain (Andrew 1979). */
export function hull(points: readonly Vec3[]): readonly PlanPoint[] {
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

function doorOf(room: Room, opening: Opening): Door {
  const along = opening.fromM + opening.widthM / 2;
  const [left, back] = [-room.crossFromLeftM, -room.crossFromBackM];
  const places: Record<Opening["wall"], readonly [PlanPoint, PlanPoint]> = {
    left: [
      [left, back + along],
      [1, 0],
    ],
    right: [
      [left + room.widthM, back + along],
      [-1, 0],
    ],
    back: [
      [left + along, back],
      [0, 1],
    ],
    front: [
      [left + along, back + room.depthM],
      [0, -1],
    ],
  };
  const [middle, inward] = places[opening.wall];
  return {
    id: opening.id,
    name: opening.name,
    middle,
    inward,
    widthM: opening.widthM,
    opensInward: opening.opensInward,
  };
}
