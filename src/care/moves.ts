/**
 * A light moved to somewhere else in the room: its place, with the boom's stand going along. All of them move
 * light and are proved by predicting again.
 */

import { asPolar, type Edit, type Light, positionOf, type Setup, wrapDegrees } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";

/** By a vector, m. A place written about the nose stays written so. */
export function shifted(setup: Setup, light: Light, by: Vec3): Edit {
  const [x, y, z] = positionOf(light.place, setup);
  const cartesian = { kind: "cartesian", xM: x + by[0], yM: y + by[1], zM: z + by[2] } as const;
  const place = light.place.kind === "polar" ? rounded(asPolar(cartesian, setup)) : rounded(cartesian);
  return { kind: "light", id: light.id, set: { place, ...carried(light, by) } };
}

/** Round the nose at the same distance and height, so that its reading alone stays: by degrees, positive to camera right. */
export function swungRound(
  setup: Setup,
  light: Light,
  degrees: number,
): { readonly edit: Edit; readonly movedM: number } {
  const [x, y, z] = positionOf(light.place, setup);
  const a = (degrees * Math.PI) / 180;
  const to: Vec3 = [x * Math.cos(a) + z * Math.sin(a), y, z * Math.cos(a) - x * Math.sin(a)];
  const by: Vec3 = [to[0] - x, 0, to[2] - z];
  const cartesian = { kind: "cartesian", xM: to[0], yM: y, zM: to[2] } as const;
  const place = light.place.kind === "polar" ? rounded(asPolar(cartesian, setup)) : rounded(cartesian);
  const rig = {
    ...light.rig,
    ...carried(light, by).rig,
    legAzimuthDeg: wrapDegrees(light.rig.legAzimuthDeg + degrees),
  };
  return { edit: { kind: "light", id: light.id, set: { place, rig } }, movedM: Math.hypot(by[0], by[2]) };
}

/** Higher (or lower, negative) on the same azimuth, the distance from the nose kept. Null where that is impossible. */
export function raised(setup: Setup, light: Light, byM: number): Edit | null {
  const polar = asPolar(light.place, setup);
  if (polar.kind !== "polar") return null;
  const heightM = polar.heightM + byM;
  if (Math.abs(heightM - setup.subject.noseHeightM) > polar.distanceM - 0.02 || heightM < 0.1) return null;
  const boom = light.rig.boom === null ? null : { ...light.rig.boom, pivotHeightM: light.rig.boom.pivotHeightM + byM };
  return { kind: "light", id: light.id, set: { place: rounded({ ...polar, heightM }), rig: { ...light.rig, boom } } };
}

function carried(light: Light, by: Vec3): { readonly rig?: Light["rig"] } {
  const { boom } = light.rig;
  if (boom === null) return {};
  const moved = {
    ...boom,
    standXM: boom.standXM + by[0],
    standZM: boom.standZM + by[2],
    pivotHeightM: boom.pivotHeightM + by[1],
  };
  return { rig: { ...light.rig, boom: moved } };
}

/** What a tape can measure: millimetres, tenths of a degree. */
function rounded(place: Light["place"]): Light["place"] {
  const mm = (m: number): number => Math.round(m * 1000) / 1000;
  if (place.kind === "cartesian") return { ...place, xM: mm(place.xM), yM: mm(place.yM), zM: mm(place.zM) };
  const { azimuthDeg, distanceM, heightM } = place;
  return { ...place, azimuthDeg: Math.round(azimuthDeg * 10) / 10, distanceM: mm(distanceM), heightM: mm(heightM) };
}
