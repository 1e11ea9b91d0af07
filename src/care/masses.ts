/**
 * The masses that stand on one foot, at their real offsets from the column: head, front, arm, counterweight,
 * the stand itself and its bag. A stand's own mass sits at a third of its height, a front's in the middle of
 * its depth (common practice, no source). kg, m.
 */

import type { Light, LightBody } from "../setup/index.ts";
import { add, scale, type Vec3 } from "../units/index.ts";
import type { BoomLever } from "./lever.ts";
import { bagHeightM, pushHeightM, type Stand, type StandMass } from "./standing.ts";

/** Head and front. */
export const loadKg = (light: Light): number => light.head.massKg + light.modifier.massKg;

/** The stand with all it carries; null when it hangs from the ceiling or nobody wrote down a mass. `withBag` false leaves the sandbag off. */
export function standOf(light: Light, body: LightBody, withBag = true): Stand | null {
  if (body.stand === null) return null;
  const { foot, top } = body.stand;
  const at = (massKg: number, [x, y, z]: Vec3): StandMass => ({ massKg, xM: x - foot[0], zM: z - foot[2], heightM: y });
  const masses = [
    at(light.support.massKg, [foot[0], top[1] / 3, foot[2]]),
    at(light.head.massKg, middle(body.head)),
    at(light.modifier.massKg, middle([body.centre, middle(body.ring)])),
  ];
  if (body.boom !== null) {
    masses.push(at(light.support.boomArmKg, middle([body.boom.load, body.boom.tail])));
    masses.push(at(body.boom.counterweightKg, body.boom.tail));
  }
  if (withBag) masses.push({ massKg: light.rig.sandbagKg, xM: 0, zM: 0, heightM: bagHeightM });
  const heavy = masses.filter(({ massKg }) => massKg > 0);
  if (heavy.length === 0) return null;
  return {
    legs: light.support.legs,
    footRadiusM: light.support.footRadiusM,
    legAzimuthDeg: light.rig.legAzimuthDeg,
    masses: heavy,
  };
}

/** A person pushes at 1.6 m, or at the top of what is lower. */
export const pushAtM = (body: LightBody): number =>
  Math.min(pushHeightM, Math.max(0.5, body.stand?.top[1] ?? pushHeightM));

/** The boom as a lever about its pivot; null without one, or without a tail. */
export function leverOf(light: Light, body: LightBody): BoomLever | null {
  if (body.boom === null || !(light.support.boomTailM > 0)) return null;
  return {
    loadKg: loadKg(light),
    loadM: body.boom.reachM,
    armKg: light.support.boomArmKg,
    // The arm reaches from the load to the tail; an even tube has its middle halfway.
    armCentreM: (body.boom.reachM - light.support.boomTailM) / 2,
    tailM: light.support.boomTailM,
  };
}

function middle(points: readonly Vec3[]): Vec3 {
  return scale(
    points.reduce((sum, p) => add(sum, p), [0, 0, 0] as Vec3),
    1 / points.length,
  );
}
