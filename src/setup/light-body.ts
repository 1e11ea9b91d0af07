/**
 * A light as a body to draw and to keep clear of walls: world points (m) of the front, the shell behind it,
 * the head, the grid, and the stand or boom that carries it. Sizes of the shell's rear ring and of the head
 * are usual ones (common practice, no source): ring 17 cm, head 13 cm across and 31 cm long, its bracket
 * 4 cm behind the ring, a grid 5.5 cm before the front.
 */

import { rightOf } from "../photometry/index.ts";
import { addScaled, distance, normalize, subtract, type Vec3 } from "../units/index.ts";
import { frontOf } from "./fronts.ts";
import { radians } from "./place.ts";
import type { Light, Setup } from "./types.ts";

const ringRadiusM = 0.085;
const headRadiusM = 0.066;
const headOverlapM = 0.02;
const headLengthM = 0.29;
const bracketM = 0.04;
const gridAheadM = 0.055;
const ringCorners = 8;

export interface LightBody {
  readonly centre: Vec3;
  readonly axis: Vec3;
  readonly up: Vec3;
  /** Rim of the front; of a point-like front, a small square or ring of its size. */
  readonly front: readonly Vec3[];
  /** Rear ring of the shell, where the head is fixed: the shell is the hull of front and ring. */
  readonly ring: readonly Vec3[];
  /** Both rims of the head's cylinder. */
  readonly head: readonly Vec3[];
  /** Rim of the grid before the front; null without one. */
  readonly grid: readonly Vec3[] | null;
  /** Where the head sits on its stand or boom. */
  readonly bracket: Vec3;
  /** The stand on the floor; null when it hangs from the ceiling. */
  readonly stand: StandBody | null;
  readonly boom: BoomBody | null;
}

export interface StandBody {
  /** On the floor, below the column. */
  readonly foot: Vec3;
  /** Top of the column: the bracket, or the boom's pivot. */
  readonly top: Vec3;
  readonly legEnds: readonly Vec3[];
}

export interface BoomBody {
  /** The end that carries the head. */
  readonly load: Vec3;
  readonly pivot: Vec3;
  /** The end behind the pivot, where the counterweight hangs. */
  readonly tail: Vec3;
  /** From pivot to load along the arm, m. */
  readonly reachM: number;
  readonly counterweightKg: number;
}

/** The body of a light where it stands. */
export function lightBody(setup: Setup, light: Light): LightBody {
  const { modifier } = light;
  const front = frontOf(setup, light);
  const { centre, normal: axis, up } = front;
  const right = rightOf(front);
  const at = (x: number, y: number, behind: number): Vec3 =>
    addScaled(addScaled(addScaled(centre, right, x), up, y), axis, -behind);
  const ringAt = (radius: number, behind: number): readonly Vec3[] =>
    Array.from({ length: ringCorners }, (_, i) => {
      const angle = ((i + 0.5) * 2 * Math.PI) / ringCorners;
      return at(radius * Math.cos(angle), radius * Math.sin(angle), behind);
    });
  const rim = (behind: number): readonly Vec3[] => {
    if (front.outline.length > 0) return front.outline.map((p) => addScaled(p, axis, -behind));
    return ringAt(Math.max(modifier.widthM, 0.02) / 2, behind);
  };
  const bracket = at(0, 0, modifier.depthM + bracketM);
  return {
    centre,
    axis,
    up,
    front: rim(0),
    ring: ringAt(ringRadiusM, modifier.depthM),
    head: [
      ...ringAt(headRadiusM, modifier.depthM - headOverlapM),
      ...ringAt(headRadiusM, modifier.depthM + headLengthM),
    ],
    grid: modifier.grid === null ? null : rim(-gridAheadM),
    bracket,
    ...carrier(light, bracket),
  };
}

/** How far the body reaches behind its front, m. */
export const bodyDepthM = (modifier: Pick<Light["modifier"], "depthM">): number => modifier.depthM + headLengthM;

/** How far behind its front a light hangs on its stand, m. */
export const bracketDepthM = (modifier: Pick<Light["modifier"], "depthM">): number => modifier.depthM + bracketM;

function carrier(light: Light, bracket: Vec3): { stand: StandBody | null; boom: BoomBody | null } {
  const { support, rig } = light;
  if (support.kind === "ceiling") return { stand: null, boom: null };
  if (support.kind === "boom" && rig.boom !== null) {
    const pivot: Vec3 = [rig.boom.standXM, rig.boom.pivotHeightM, rig.boom.standZM];
    const reachM = distance(pivot, bracket);
    const along = reachM > 0 ? normalize(subtract(bracket, pivot)) : ([1, 0, 0] as const);
    const boom: BoomBody = {
      load: bracket,
      pivot,
      tail: addScaled(pivot, along, -support.boomTailM),
      reachM,
      counterweightKg: rig.boom.counterweightKg,
    };
    return { stand: standAt(light, pivot), boom };
  }
  return { stand: standAt(light, bracket), boom: null };
}

function standAt(light: Light, top: Vec3): StandBody {
  const { legs, footRadiusM } = light.support;
  const foot: Vec3 = [top[0], 0, top[2]];
  const legEnds = Array.from({ length: legs }, (_, i): Vec3 => {
    const azimuth = radians(light.rig.legAzimuthDeg + (i * 360) / legs);
    return [foot[0] + footRadiusM * Math.sin(azimuth), 0, foot[2] + footRadiusM * Math.cos(azimuth)];
  });
  return { foot, top, legEnds };
}

/** Every point of the body, for bounds. */
export function bodyPoints(body: LightBody): readonly Vec3[] {
  const { stand, boom } = body;
  return [
    ...body.front,
    ...body.ring,
    ...body.head,
    ...(body.grid ?? []),
    ...(stand === null ? [] : [stand.foot, stand.top, ...stand.legEnds]),
    ...(boom === null ? [] : [boom.load, boom.pivot, boom.tail]),
  ];
}
