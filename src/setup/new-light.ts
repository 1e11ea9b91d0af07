/**
 * One more light in a setup: a head, front and stand that the kit still has, at the usual angle of its role
 * (common practice, no source). What the kit no longer has is a fault; nothing is invented.
 */

import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { wrapDegrees } from "./place.ts";
import { roleTag } from "./tags.ts";
import type { Head, Id, Kit, Light, Modifier, PointName, Role, Setup, Support, Target } from "./types.ts";

export interface NewLight {
  readonly id: Id;
  /** Fractional key after the last light's. */
  readonly order: string;
  readonly role: Role;
}

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
    rig: { legAzimuthDeg: wrapDegrees(usual.azimuthDeg + 180), sandbagKg: 0, bonded: false, boom: null },
    place: {
      kind: "polar",
      azimuthDeg: usual.azimuthDeg,
      distanceM: usual.distanceM,
      heightM: setup.subject.noseHeightM + usual.riseM,
    },
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
