/**
 * The space a setup takes up, and whether it stands inside a room. Bounds are those of every body's points
 * (front, shell, head, grid, stand legs, boom and its tail), panels, paper and camera, metres from the cross.
 * Allowances are common practice, no source: 5 cm from any wall or ceiling, half a metre behind the lens for
 * whoever holds the camera, 10 cm behind the paper for its roll.
 */

import { type Fault, fault, type Vec3 } from "../units/index.ts";
import { panelOutline } from "./fronts.ts";
import { bodyPoints, lightBody } from "./light-body.ts";
import { vectorOf } from "./place.ts";
import type { Furniture, Room, Setup } from "./types.ts";

export const wallClearanceM = 0.05;
const behindLensM = 0.5;
const behindPaperM = 0.1;

/** The least room from the cross to each wall, and the least ceiling, clearance included. */
export interface SpaceNeeds {
  readonly leftM: number;
  readonly rightM: number;
  readonly backM: number;
  readonly frontM: number;
  readonly heightM: number;
}

/** A thing that takes up space: its points, and how it is called. */
interface Thing {
  readonly name: string;
  readonly where: string;
  readonly points: readonly Vec3[];
}

export function spaceNeeds(setup: Setup): SpaceNeeds {
  return needsOf(thingsOf(setup).flatMap((thing) => thing.points));
}

function needsOf(points: readonly Vec3[]): SpaceNeeds {
  let [left, right, back, front, height] = [0, 0, 0, 0, 0];
  for (const [x, y, z] of points) {
    left = Math.max(left, -x);
    right = Math.max(right, x);
    back = Math.max(back, -z);
    front = Math.max(front, z);
    height = Math.max(height, y);
  }
  const clear = wallClearanceM;
  return {
    leftM: left + clear,
    rightM: right + clear,
    backM: back + clear,
    frontM: front + clear,
    heightM: height + clear,
  };
}

type Size = Pick<Room, "widthM" | "depthM" | "heightM">;

/** Sums of centimetres must not fail by a rounding in the last bit. */
const slack = 1e-9;

/** True when a room of this size can take it, wherever the cross goes. Fast: no geometry. */
export const hasSpace = (room: Size, needs: SpaceNeeds): boolean =>
  needs.leftM + needs.rightM <= room.widthM + slack &&
  needs.backM + needs.frontM <= room.depthM + slack &&
  needs.heightM <= room.heightM + slack;

export interface RoomFit {
  readonly ok: boolean;
  /** Too short, too narrow, too low: by how much. */
  readonly faults: readonly Fault[];
  /** Where the cross may go in that room, m from its left and back wall; null when it does not fit. */
  readonly cross: { readonly fromLeftM: number; readonly fromBackM: number } | null;
}

/**
 * Whether a room can take the setup: walls and ceiling only, the cross wherever it fits, furniture taken
 * as movable. What stands in the way where it is planned is `overlapFaults`.
 */
export function fitsRoom(room: Room, setup: Setup): RoomFit {
  const needs = spaceNeeds(setup);
  const [width, depth] = [needs.leftM + needs.rightM, needs.backM + needs.frontM];
  const faults: Fault[] = [];
  const check = (code: string, word: string, need: number, has: number, key: keyof Room): void => {
    if (need <= has + slack) return;
    const by = (Math.ceil((need - has) * 10 - 1e-6) / 10).toFixed(1);
    faults.push(
      fault(
        code,
        `${room.name} is ${by} m too ${word} for ${setup.title}`,
        `room.${key}`,
        `It needs ${need.toFixed(1)} m: choose another room, or move the lights in.`,
      ),
    );
  };
  check("room-short", "short", depth, room.depthM, "depthM");
  check("room-narrow", "narrow", width, room.widthM, "widthM");
  check("room-low", "low", needs.heightM, room.heightM, "heightM");
  if (faults.length > 0) return { ok: false, faults, cross: null };
  return { ok: true, faults, cross: crossIn(room, needs) };
}

/** The room's own cross where it serves, else the nearest place to it that does. */
function crossIn(room: Room, needs: SpaceNeeds): { fromLeftM: number; fromBackM: number } {
  const within = (wish: number, low: number, high: number): number => Math.min(Math.max(wish, low), high);
  return {
    fromLeftM: within(room.crossFromLeftM, needs.leftM, room.widthM - needs.rightM),
    fromBackM: within(room.crossFromBackM, needs.backM, room.depthM - needs.frontM),
  };
}

/** What sticks through a wall, the ceiling or a piece of furniture where it stands in the setup's own room. */
export function overlapFaults(setup: Setup): readonly Fault[] {
  const { room } = setup;
  const faults: Fault[] = [];
  for (const thing of thingsOf(setup)) {
    const needs = needsOf(thing.points);
    const over: readonly (readonly [string, number])[] = [
      ["the wall, camera left", needs.leftM - room.crossFromLeftM],
      ["the wall, camera right", needs.rightM - (room.widthM - room.crossFromLeftM)],
      ["the back wall", needs.backM - room.crossFromBackM],
      ["the wall behind the camera", needs.frontM - (room.depthM - room.crossFromBackM)],
      ["the ceiling", needs.heightM - room.heightM],
    ];
    for (const [what, by] of over) {
      if (by > 1e-6) {
        const cm = Math.max(1, Math.round(by * 100));
        faults.push(
          fault(
            "does-not-fit",
            `${thing.name} is ${cm} cm too near to ${what}`,
            thing.where,
            "Move it in, or choose a smaller front.",
          ),
        );
      }
    }
    for (const piece of room.furniture) {
      if (standsIn(thing.points, piece, room)) {
        faults.push(
          fault(
            "in-the-way",
            `${thing.name} stands in the ${piece.name}`,
            thing.where,
            `Move it, or move the ${piece.name}.`,
          ),
        );
      }
    }
  }
  return faults;
}

/** Any point inside the box of the furniture. */
export function standsIn(points: readonly Vec3[], piece: Furniture, room: Room): boolean {
  const left = piece.fromLeftM - room.crossFromLeftM;
  const back = piece.fromBackM - room.crossFromBackM;
  return points.some(
    ([x, y, z]) => x > left && x < left + piece.widthM && z > back && z < back + piece.depthM && y < piece.heightM,
  );
}

function thingsOf(setup: Setup): readonly Thing[] {
  const things: Thing[] = setup.lights.map((light, i) => ({
    name: light.tag,
    where: `lights[${i}].place`,
    points: bodyPoints(lightBody(setup, light)),
  }));
  setup.panels.forEach((panel, i) => {
    things.push({ name: panel.name, where: `panels[${i}].place`, points: panelOutline(setup, panel) });
  });
  const [x, y, z] = vectorOf(setup.camera.position);
  things.push({ name: "The camera", where: "camera.position", points: [[x, y, z + behindLensM - wallClearanceM]] });
  if (setup.backdrop !== null) {
    const { xM, zM, widthM, heightM } = setup.backdrop;
    const corners: readonly Vec3[] = [
      [xM - widthM / 2, 0, zM - behindPaperM + wallClearanceM],
      [xM + widthM / 2, heightM, zM - behindPaperM + wallClearanceM],
    ];
    things.push({ name: setup.backdrop.name, where: "backdrop", points: corners });
  }
  return things;
}
