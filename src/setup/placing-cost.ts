/**
 * How much a light is in the way where a pattern would put it: in steps, worst first, so that the search
 * takes a small shift before a stand in the way out, and a stand in the way out before one in a wall.
 * The 1.0 m of the way out is the project's rule (domain 12.5, common practice).
 */

import { distance, type Vec3 } from "../units/index.ts";
import { cameraField } from "./camera-field.ts";
import { bodyPoints, type LightBody } from "./light-body.ts";
import { noseOf } from "./place.ts";
import { standsIn, wallClearanceM } from "./space.ts";
import type { Opening, Room, Setup } from "./types.ts";

const inWall = 100;
const inFurniture = 60;
const inPicture = 50;
const onStand = 45;
const onSitter = 120;
const onCamera = 60;
const nearSitter = 30;
const inWayOut = 12;
const wayOutM = 1;

export function obstructionCost(setup: Setup, body: LightBody, standing: readonly LightBody[]): number {
  const points = bodyPoints(body);
  const out = outsideBy(setup.room, points);
  let cost = out > 1e-9 ? inWall + out * 100 : 0;
  if (setup.room.furniture.some((piece) => standsIn(points, piece, setup.room))) cost += inFurniture;
  if (isInPicture(setup, points)) cost += inPicture;
  if (body.stand !== null) {
    const { foot } = body.stand;
    const gap = Math.min(
      ...standing.map((other) => (other.stand === null ? Infinity : distance(foot, other.stand.foot))),
    );
    if (gap < 0.3) cost += onStand + (0.3 - gap) * 50;
    cost += nearness(Math.hypot(foot[0], foot[2]), 0.6, onSitter);
    cost += nearness(distance(foot, [setup.camera.position.xM, 0, setup.camera.position.zM]), 0.7, onCamera);
  }
  if (body.boom !== null) {
    // The sitter's chair, and a counterweight at head height: a boom's stand belongs well away from both.
    cost += nearness(Math.hypot(body.boom.pivot[0], body.boom.pivot[2]), 1.1, nearSitter);
    cost += nearness(Math.hypot(body.boom.tail[0], body.boom.tail[2]), 1.1, nearSitter);
  }
  if (setup.room.openings.some((o) => o.kind === "door" && blocksDoor(setup.room, o, points))) cost += inWayOut;
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

/** Any point before the paper and inside the camera's field. */
function isInPicture(setup: Setup, points: readonly Vec3[]): boolean {
  const field = cameraField(setup);
  const end = setup.backdrop?.zM ?? -setup.room.crossFromBackM;
  const nose = noseOf(setup);
  return points.some((p) => {
    const from: Vec3 = [p[0] - field.position[0], p[1] - field.position[1], p[2] - field.position[2]];
    const along = (axis: Vec3): number => from[0] * axis[0] + from[1] * axis[1] + from[2] * axis[2];
    const depth = along(field.forward);
    if (depth <= 0.05 || p[2] < end || distance(p, nose) < 0.05) return false;
    return (
      Math.abs(along(field.right)) < depth * field.tanHalfWidth &&
      Math.abs(along(field.up)) < depth * field.tanHalfHeight
    );
  });
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
