/**
 * Which layers a change of the setup leaves as they are. A light that moved is traced again, and so is every light
 * whose shadows it changes: segments from what the camera sees (the kept guides) to points of the other light's
 * front are held against the moved light's front, shell and stand as they stood and as they stand; one segment that
 * is open in one and shut in the other is enough. A moved front that the camera sees, and any change of room,
 * backdrop, sitter, camera or panels, leaves nothing.
 *
 * Not seen by the segments: what bounces off the moved cloth and what a mirror passes on. Layers kept without them are
 * named in `settle`; whoever keeps them traces them again when the hand rests. Metres, world axes; deterministic.
 */

import type { Front } from "../photometry/index.ts";
import type { Guides, LayerId } from "../picture/index.ts";
import { anyHit, buildBvh, newStack, type Scene, type Traced } from "../scene/index.ts";
import type { Id, Light, Setup } from "../setup/index.ts";
import { addScaled, dot, subtract, type Vec3 } from "../units/index.ts";

/** What a layer was, or is to be, traced in. `view`: the camera and all else that the setup does not say, as a key. */
export interface TracedIn {
  readonly setup: Setup;
  readonly scene: Pick<Scene, "mesh" | "groups" | "emitters">;
  readonly eye: Vec3;
  readonly view: string;
}

/** Why a layer is traced again. */
export type StaleWhy = "new" | "everything" | "own" | "in view" | "shadow";

export interface StaleLayer {
  readonly lightId: LayerId;
  readonly why: StaleWhy;
  /** The light that moved, for "in view" and "shadow". */
  readonly by: Id | null;
}

export interface Reuse {
  readonly trace: readonly StaleLayer[];
  /** Kept although another light moved: right but for bounce off it. */
  readonly settle: readonly LayerId[];
}

/** Seen points asked, across and down; an even 1280 of the picture's pixels. */
const ACROSS = 32;
const DOWN = 40;
/** Segments leave surfaces and end before fronts by this share of their length. */
const SLACK = 1e-3;

/** Which of the `wanted` layers must be traced for `now`, each with its reason, in the order of `wanted`. */
export function staleLayers(
  kept: ReadonlyMap<LayerId, TracedIn>,
  now: TracedIn,
  wanted: readonly LayerId[],
  guides: Guides | null,
): Reuse {
  const bodies = new Bodies();
  const spots = guides === null ? [] : seenSpots(guides);
  const trace: StaleLayer[] = [];
  const settle: LayerId[] = [];
  for (const lightId of wanted) {
    const was = kept.get(lightId);
    const stale = staleLayer(lightId, was, now, spots, bodies);
    if (stale !== null) trace.push(stale);
    else if (was !== undefined && movedLights(was.setup, now.setup).length > 0) settle.push(lightId);
  }
  return { trace, settle };
}

/** Everything but the lights that a ray can meet; dials, readings, exposure and notes are not in it. */
export function stageKey({ room, backdrop, subject, sitters, camera, panels }: Setup): string {
  return JSON.stringify([room, backdrop, subject, sitters, { ...camera, meterOffsetStops: null }, panels]);
}

/** Where a light stands, how it is rigged and how its front sends light; dials, gels and switches are not in it. */
export const lightKey = ({ place, aim, rollDeg, modifier, support, rig }: Light): string =>
  JSON.stringify([place, aim, rollDeg, modifier, support, rig]);

/** Lights that stand, shine or exist otherwise in one of the two. */
export function movedLights(was: Setup, now: Setup): readonly Id[] {
  if (was === now) return [];
  const keys = new Map(was.lights.map((light) => [light.id, lightKey(light)]));
  const changed = now.lights.filter((light) => keys.get(light.id) !== lightKey(light)).map(({ id }) => id);
  const gone = was.lights.filter(({ id }) => !now.lights.some((light) => light.id === id)).map(({ id }) => id);
  return [...changed, ...gone];
}

function staleLayer(
  lightId: LayerId,
  was: TracedIn | undefined,
  now: TracedIn,
  spots: readonly Spot[],
  bodies: Bodies,
): StaleLayer | null {
  if (was === undefined) return { lightId, why: "new", by: null };
  if (was.view !== now.view || stageKey(was.setup) !== stageKey(now.setup))
    return { lightId, why: "everything", by: null };
  const moved = movedLights(was.setup, now.setup);
  if (moved.length === 0) return null;
  if (spots.length === 0) return { lightId, why: "everything", by: null };
  if (moved.includes(lightId)) return { lightId, why: "own", by: null };
  const seen = moved.find((id) => isSeen(was, id, spots, bodies) || isSeen(now, id, spots, bodies));
  if (seen !== undefined) return { lightId, why: "in view", by: seen };
  const front = now.scene.emitters.find((emitter) => emitter.lightId === lightId)?.front;
  // Room light comes from all sides: a moved box takes as little of it as of the bounce.
  if (front === undefined) return null;
  const shading = moved.find((id) => shadesOtherwise(bodies.of(was, id), bodies.of(now, id), front, spots));
  return shading === undefined ? null : { lightId, why: "shadow", by: shading };
}

interface Spot {
  readonly position: Vec3;
  readonly normal: Vec3;
}

/** Even picks of the seen surfaces. */
function seenSpots({ width, height, depth, position, normal }: Guides): readonly Spot[] {
  const spots: Spot[] = [];
  const [across, down] = [Math.min(ACROSS, width), Math.min(DOWN, height)];
  const at = (from: Float32Array, i: number): Vec3 => [
    from[3 * i] as number,
    from[3 * i + 1] as number,
    from[3 * i + 2] as number,
  ];
  for (let row = 0; row < down; row++) {
    for (let column = 0; column < across; column++) {
      const x = Math.floor(((column + 0.5) * width) / across);
      const i = Math.floor(((row + 0.5) * height) / down) * width + x;
      if ((depth[i] as number) > 0) spots.push({ position: at(position, i), normal: at(normal, i) });
    }
  }
  return spots;
}

/** Whether the camera's way to a seen point meets what it can see of the light: its front, and the rest where shown. */
function isSeen(place: TracedIn, id: Id, spots: readonly Spot[], bodies: Bodies): boolean {
  const body = bodies.seen(place, id);
  return body !== null && spots.some(({ position }) => body.meets(place.eye, position, 1 + SLACK));
}

/** Whether any segment from a seen point to the front is open past one body and shut by the other. */
function shadesOtherwise(was: Body | null, now: Body | null, front: Front, spots: readonly Spot[]): boolean {
  const points = frontPoints(front);
  return spots.some(({ position, normal }) =>
    points.some((point) => {
      const way = subtract(point, position);
      const lit = dot(way, normal) > 0 && (front.shape === "bare" || dot(way, front.normal) < 0);
      if (!lit) return false;
      const from = addScaled(position, normal, 1e-3);
      return shut(was, from, point) !== shut(now, from, point);
    }),
  );
}

const shut = (body: Body | null, from: Vec3, to: Vec3): boolean => body?.meets(from, to, 1 - SLACK) ?? false;

/** The middle, and a point most of the way to each corner (every other one of many). */
function frontPoints({ centre, outline }: Front): readonly Vec3[] {
  const step = Math.max(1, Math.ceil(outline.length / 8));
  const rim = outline.filter((_, i) => i % step === 0);
  return [centre, ...rim.map((corner) => addScaled(centre, subtract(corner, centre), 0.8))];
}

/** The triangles of one light in one scene, with their own tree. */
interface Body {
  meets(from: Vec3, to: Vec3, until: number): boolean;
}

/** Bodies are made once per scene and light. */
class Bodies {
  readonly #made = new Map<TracedIn["scene"], Map<string, Body | null>>();

  of(place: TracedIn, id: Id): Body | null {
    return this.#get(place.scene, id, false);
  }

  seen(place: TracedIn, id: Id): Body | null {
    return this.#get(place.scene, id, true);
  }

  #get(scene: TracedIn["scene"], id: Id, seenOnly: boolean): Body | null {
    const own = this.#made.get(scene) ?? new Map<string, Body | null>();
    this.#made.set(scene, own);
    const key = `${seenOnly} ${id}`;
    const known = own.get(key);
    if (known !== undefined) return known;
    const body = bodyOf(scene, id, seenOnly);
    own.set(key, body);
    return body;
  }
}

function bodyOf({ mesh, groups }: TracedIn["scene"], id: Id, seenOnly: boolean): Body | null {
  const own = groups.filter(
    ({ ownerId, kind, hiddenFromCamera }) =>
      ownerId === id && (kind === "front" || kind === "shell" || kind === "stand") && !(seenOnly && hiddenFromCamera),
  );
  const runs = own.map((g) => mesh.indices.subarray(3 * g.firstTriangle, 3 * (g.firstTriangle + g.triangleCount)));
  const indices = new Uint32Array(runs.reduce((sum, run) => sum + run.length, 0));
  let at = 0;
  for (const run of runs) {
    indices.set(run, at);
    at += run.length;
  }
  if (indices.length === 0) return null;
  const traced: Traced = { bvh: buildBvh({ positions: mesh.positions, indices }) };
  const stack = newStack(traced.bvh);
  return {
    meets(from, to, until) {
      const [x, y, z] = subtract(to, from);
      return anyHit(traced, ...from, x, y, z, SLACK, until, stack);
    },
  };
}
