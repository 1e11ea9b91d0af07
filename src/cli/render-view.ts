/**
 * Another look at the same light: the lens walks round the nose and keeps its distance and its angle, nearer where a
 * wall, the floor or the ceiling is in the way. Panels, lights and furniture shade and are not seen. Azimuth 0 is the camera's side, positive toward picture-right, degrees.
 */

import type { GroupKind, Scene, SceneCamera } from "../scene/index.ts";
import { noseOf, type Setup } from "../setup/index.ts";
import {
  addScaled,
  cross,
  distance,
  failure,
  fault,
  normalize,
  type Result,
  scale,
  success,
  type Vec3,
} from "../units/index.ts";
import { readNumber } from "./figures.ts";
import { quoted } from "./print.ts";

export interface View {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
}

/** Kept free between the lens and a wall, m. */
const ROOM_LEFT_M = 0.1;
const STEEPEST_DEG = 85;
const IN_THE_WAY: ReadonlySet<GroupKind> = new Set(["panel", "front", "shell", "stand", "furniture"]);

/** "30,10": azimuth, elevation. Null without a word. */
export function readView(text: string | null): Result<View | null> {
  if (text === null) return success(null);
  const parts = text.split(",");
  const [azimuth, elevation] = parts;
  if (azimuth === undefined || elevation === undefined || parts.length !== 2) {
    const mend = "Write azimuth and elevation in degrees, as 30,10.";
    return failure(fault("view-form", `${quoted(text)} is no view`, "--view", mend));
  }
  const [a, e] = [
    readNumber(azimuth, "--view", -180, 180),
    readNumber(elevation, "--view", -STEEPEST_DEG, STEEPEST_DEG),
  ];
  if (!a.ok) return a;
  if (!e.ok) return e;
  return success({ azimuthDeg: a.value, elevationDeg: e.value });
}

/** The scene with the lens walked there; what stands about the sitter still shades, but the lens sees past it. */
export function walked(setup: Setup, view: View, built: Scene): Scene {
  const hidden = built.hidden.slice();
  for (const { kind, firstTriangle, triangleCount } of built.groups) {
    if (IN_THE_WAY.has(kind)) hidden.fill(1, firstTriangle, firstTriangle + triangleCount);
  }
  return { ...built, hidden, camera: walkedCamera(setup, view, built.camera) };
}

function walkedCamera(setup: Setup, { azimuthDeg, elevationDeg }: View, own: SceneCamera): SceneCamera {
  const nose = noseOf(setup);
  const [a, e] = [(azimuthDeg * Math.PI) / 180, (elevationDeg * Math.PI) / 180];
  const back: Vec3 = [Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e)];
  const reach = Math.min(distance(nose, own.position), wayToWalls(setup, nose, back) - ROOM_LEFT_M);
  const right = normalize(cross([0, 1, 0], back));
  return {
    ...own,
    ...{ position: addScaled(nose, back, reach), forward: scale(back, -1), right, up: cross(back, right) },
    focusM: reach,
  };
}

/** From a point inside along a direction to the room's box, m. */
function wayToWalls({ room }: Setup, from: Vec3, way: Vec3): number {
  const low: Vec3 = [-room.crossFromLeftM, 0, -room.crossFromBackM];
  const high: Vec3 = [low[0] + room.widthM, room.heightM, low[2] + room.depthM];
  return Math.min(
    ...([0, 1, 2] as const).map((axis) => {
      const step = way[axis];
      if (step === 0) return Number.POSITIVE_INFINITY;
      return ((step > 0 ? high[axis] : low[axis]) - from[axis]) / step;
    }),
  );
}
