/**
 * One more light in a setup: a head, front and stand that the kit still has, at the usual angle of its role
 * (common practice, no source) or, where another light stands there, on the other side or further round. What the kit
 * no longer has is a fault; nothing is invented.
 */

import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { positionOf, wrapDegrees } from "./place.ts";
import { roleTag } from "./tags.ts";
import type { Head, Id, Kit, Light, Modifier, Place, PointName, Role, Setup, Support, Target } from "./types.ts";

export interface NewLight {
  readonly id: Id;
  /** Fractional key after the last light's. */
  readonly order: string;
  readonly role: Role;
}

type Polar = Extract<Place, { readonly kind: "polar" }>;

interface Usual {
  readonly azimuthDeg: number;
  readonly distanceM: number;
  readonly riseM: number;
  readonly target: Target;
  readonly point: PointName;
}

const USUAL: Readonly<Record<Role, Usual>> = {
  main: { azimuthDeg: -45, distanceM: 1.3, riseM: 0.5, target: { kind: "working" }, point: "nose" },
  fill: { azimuthDeg: 25, distanceM: 2, riseM: 0.35, target: { kind: "under", stops: 3 }, point: "nose" },
  edge: { azimuthDeg: 130, distanceM: 1.5, riseM: 0.1, target: { kind: "under", stops: 2 }, point: "temple-right" },
  hair: { azimuthDeg: 165, distanceM: 1.2, riseM: 0.75, target: { kind: "hair" }, point: "crown" },
  background: { azimuthDeg: 150, distanceM: 1.6, riseM: 0, target: { kind: "tone" }, point: "backdrop-centre" },
  card: { azimuthDeg: 60, distanceM: 1, riseM: 0, target: { kind: "under", stops: 2 }, point: "nose" },
};

/** A light of a role, or what the kit lacks for it (no-free-head, -modifier, -stand). */
export function newLight(setup: Setup, kit: Kit, { id, order, role }: NewLight): Result<Light> {
  const faults: Fault[] = [];
  const head = free(kit.heads, (l) => l.head.id, setup).find((h) => h.kind === setup.exposure.medium);
  const modifier = free(kit.modifiers, (l) => l.modifier.id, setup)[0];
  const support = free(kit.supports, (l) => l.support.id, setup).find((s) => s.kind === "stand");
  if (head === undefined) faults.push(lacks("head", `no ${setup.exposure.medium} head`));
  if (modifier === undefined) faults.push(lacks("modifier", "no modifier"));
  if (support === undefined) faults.push(lacks("stand", "no stand"));
  if (head === undefined || modifier === undefined || support === undefined) return failure(...faults);
  return success(compose(setup, { id, order, role }, { head, modifier, support }));
}

function compose(
  setup: Setup,
  { id, order, role }: NewLight,
  things: { readonly head: Head; readonly modifier: Modifier; readonly support: Support },
): Light {
  const usual = USUAL[role];
  const place = freePlace(setup, usual, things.modifier);
  const tone = role === "background" && setup.backdrop?.targetTone === null;
  const hues = new Set(setup.lights.map((l) => l.hue));
  const used = setup.lights.filter((l) => l.head.id === things.head.id).length;
  return {
    id,
    order,
    tag: roleTag(
      role,
      setup.lights.map((l) => l.tag),
    ),
    hue: [1, 2, 3, 4, 5, 6, 7, 8].find((hue) => !hues.has(hue)) ?? 8,
    role,
    ...things,
    unit: things.head.count > 1 ? used + 1 : null,
    rig: { legAzimuthDeg: wrapDegrees(place.azimuthDeg + 180), sandbagKg: 0, bonded: false, boom: null },
    place,
    aim: { kind: "point", point: usual.point },
    rollDeg: 0,
    dialStops: -2,
    on: true,
    pops: 1,
    gels: [],
    ndStops: 0,
    target: tone ? { kind: "under", stops: 1 } : usual.target,
    meterAt:
      role === "background"
        ? { point: usual.point, receptor: "disc", aim: "normal" }
        : { point: usual.point, receptor: "dome", aim: "light" },
    toleranceStops: null,
    triggerGroup: String(setup.lights.length + 1),
    triggerChannel: setup.lights[0]?.triggerChannel ?? "1",
    circuitId: things.head.mains ? (setup.room.circuits[0]?.id ?? null) : null,
    modellingLampOn: false,
    calibrationStops: null,
    calibratedFrom: null,
    accepted: false,
  };
}

/** Angles tried from the usual one: the other side first, then a little further round. */
const TURNS_DEG: readonly number[] = [0, 15, -15, 30, -30, 45, -45, 60, -60, 75, -75, 90, -90];

/** The usual place of the role, swung round the nose until the front touches no other; the usual one when none is free. */
function freePlace(setup: Setup, usual: Usual, modifier: Modifier): Polar {
  const at = (azimuthDeg: number): Polar => ({
    kind: "polar",
    azimuthDeg: wrapDegrees(azimuthDeg),
    distanceM: usual.distanceM,
    heightM: setup.subject.noseHeightM + usual.riseM,
  });
  const sides = TURNS_DEG.flatMap((turn) => [usual.azimuthDeg + turn, -usual.azimuthDeg - turn]);
  return sides.map(at).find((place) => isFree(setup, place, modifier)) ?? at(usual.azimuthDeg);
}

/** Whether the boxes, taken as balls about the middles of their fronts, and the columns of the stands keep apart. */
function isFree(setup: Setup, place: Polar, modifier: Modifier): boolean {
  const [x, y, z] = positionOf(place, setup);
  return setup.lights.every((light) => {
    const [ox, oy, oz] = positionOf(light.place, setup);
    const reach = ballOf(modifier) + ballOf(light.modifier);
    return Math.hypot(x - ox, y - oy, z - oz) > reach && Math.hypot(x - ox, z - oz) > COLUMNS_M;
  });
}

/** Two stands side by side need so much between their columns, m (common practice, no source). */
const COLUMNS_M = 0.5;

/** Half the diagonal of the front, m. */
const ballOf = ({ widthM, heightM }: Modifier): number => Math.hypot(widthM, heightM) / 2;

/** Items of the kit that the setup's lights have not used up. */
function free<T extends { readonly id: Id; readonly count: number }>(
  items: readonly T[],
  idOf: (light: Light) => Id,
  setup: Setup,
): readonly T[] {
  return items.filter((item) => setup.lights.filter((light) => idOf(light) === item.id).length < item.count);
}

const lacks = (thing: string, what: string): Fault =>
  fault(`no-free-${thing}`, `The kit has ${what} left`, "kit", `Add one in Kit & room, or take a light out.`);
