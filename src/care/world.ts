/**
 * What all checks look at: the setup, the report, the kit, and the bodies of lights and people, each worked
 * out once. Mends are proved on changed copies; what an edit does not touch is taken over from before.
 */

import {
  bodyOf,
  headOf,
  type Kit,
  type Light,
  type LightBody,
  lightBody,
  noseTips,
  type Setup,
} from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import type { CareReport } from "./types.ts";
import { wayOutPlan } from "./way-out-plan.ts";
import { findWayOut, type WayOut } from "./way-out-search.ts";

/** Somebody who sits or stands there; x and z of the middle of head and shoulders, and the top of the head. */
export interface Person {
  readonly xM: number;
  readonly zM: number;
  readonly topM: number;
}

export interface World {
  readonly setup: Setup;
  readonly report: CareReport;
  readonly kit: Kit | null;
  readonly lights: readonly { readonly light: Light; readonly body: LightBody }[];
  readonly people: readonly Person[];
  /** Null where no door is drawn. */
  readonly wayOut: () => WayOut | null;
}

/** Keeps bodies and ways out between the copies of one check. */
export interface Memory {
  readonly bodies: Map<Light, { readonly of: Setup; readonly body: LightBody }>;
  readonly ways: Map<string, WayOut | null>;
}

export const newMemory = (): Memory => ({ bodies: new Map(), ways: new Map() });

export function worldOf(setup: Setup, report: CareReport, kit: Kit | null, memory: Memory): World {
  const lights = setup.lights.map((light) => ({ light, body: bodyIn(setup, light, memory) }));
  const world = { setup, report, kit, lights, people: peopleOf(setup) };
  return { ...world, wayOut: () => wayOutIn(world, memory) };
}

/** A body follows from its light, and through its aim from the sitter, the camera, the paper and the room. */
function bodyIn(setup: Setup, light: Light, memory: Memory): LightBody {
  const kept = memory.bodies.get(light);
  if (
    kept !== undefined &&
    kept.of.subject === setup.subject &&
    kept.of.camera === setup.camera &&
    kept.of.backdrop === setup.backdrop &&
    kept.of.room === setup.room
  ) {
    return kept.body;
  }
  const body = lightBody(setup, light);
  memory.bodies.set(light, { of: setup, body });
  return body;
}

function wayOutIn(world: Omit<World, "wayOut">, memory: Memory): WayOut | null {
  const plan = wayOutPlan(world);
  const key = JSON.stringify(plan);
  const kept = memory.ways.get(key);
  if (kept !== undefined) return kept;
  const found = findWayOut(plan);
  memory.ways.set(key, found);
  return found;
}

/** From the nose tip back to the middle of the head. */
const noseToMiddleM = 0.1;
/** From the nose tip up to the crown (head of 225 mm, the tip 82 mm over the chin). */
const noseToTopM = 0.145;

export function peopleOf(setup: Setup): readonly Person[] {
  const head = headOf(setup);
  if (head === null || bodyOf(setup) === null) return [];
  return noseTips(setup).map(([x, y, z]) => ({
    xM: x - head.forward[0] * noseToMiddleM,
    zM: z - head.forward[2] * noseToMiddleM,
    topM: y + noseToTopM,
  }));
}

export type Segment = readonly [Vec3, Vec3];

/** The body as line segments: rims closed, column, arm, the head along its length. Legs lie on the floor and are left out. */
export function bodySegments(body: LightBody): readonly Segment[] {
  const rim = (points: readonly Vec3[]): Segment[] =>
    points.map((p, i): Segment => [p, points[(i + 1) % points.length] as Vec3]);
  const spokes = body.front.map(
    (p, i): Segment => [p, body.ring[Math.floor((i * body.ring.length) / body.front.length)] as Vec3],
  );
  const half = body.head.length / 2;
  const barrel = body.head.slice(0, half).map((p, i): Segment => [p, body.head[i + half] as Vec3]);
  return [
    ...rim(body.front),
    ...rim(body.grid ?? []),
    ...spokes,
    ...barrel,
    ...(body.stand === null ? [] : [[body.stand.foot, body.stand.top] as const]),
    ...(body.boom === null ? [] : [[body.boom.load, body.boom.tail] as const]),
  ];
}

/** What hangs up there: everything but column and legs. */
export function upperPoints(body: LightBody): readonly Vec3[] {
  const { boom } = body;
  return [...body.front, ...body.ring, ...body.head, ...(body.grid ?? []), ...(boom === null ? [] : [boom.load])];
}

/** Distance in the plan from a point to a segment, m. */
export function planDistance(xM: number, zM: number, a: Vec3, b: Vec3): number {
  const [dx, dz] = [b[0] - a[0], b[2] - a[2]];
  const along = dx * dx + dz * dz;
  const t = along > 0 ? Math.min(1, Math.max(0, ((xM - a[0]) * dx + (zM - a[2]) * dz) / along)) : 0;
  return Math.hypot(xM - a[0] - t * dx, zM - a[2] - t * dz);
}
