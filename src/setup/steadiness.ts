/**
 * Does a stand stand, and what bag makes it? All masses at their real offsets over the polygon of the leg ends: margin
 * s from the centre of mass to the nearest edge, critical tilt θ = atan(s/h), push at height p that tips it
 * F = W·g·s/p (statics; domain 12.2). A boom balances when m_cw·L_tail = m_load·L_reach + m_arm·L_cg about its pivot,
 * the arm's middle at (L_reach − L_tail)/2 (domain 12.1). Wanted: 10°, and 50 N at 1.6 m where a boom hangs over
 * somebody (common practice, no source). A stand's own mass sits at a third of its height, a bag at 0.15 m (common
 * practice, no source). kg, m, N, degrees.
 */

import type { Vec3 } from "../units/index.ts";
import type { LightBody } from "./light-body.ts";
import { degreesOf, radians, wrapDegrees } from "./place.ts";
import type { Light } from "./types.ts";

const gravity = 9.81;
const leastTiltDeg = 10;
const leastPushN = 50;
const pushHeightM = 1.6;
const bagHeightM = 0.15;
/** Heavier than anybody carries to a stand. */
const mostBagKg = 200;

/** Counterweight at the tail that balances a boom whose load hangs `reachM` from the pivot, kg, to 0.1; 0 when the arm alone outweighs the load. */
export function counterweightKg(light: Pick<Light, "head" | "modifier" | "support">, reachM: number): number {
  const { boomArmKg, boomTailM } = light.support;
  const loadKg = light.head.massKg + light.modifier.massKg;
  const moment = loadKg * reachM + (boomArmKg * (reachM - boomTailM)) / 2;
  return Math.max(0, Math.round((moment / Math.max(boomTailM, 0.1)) * 10) / 10);
}

interface Load {
  readonly massKg: number;
  /** Horizontal offset from the column, and height, each times the mass: kg·m. */
  readonly momentX: number;
  readonly momentZ: number;
  readonly momentY: number;
}

/** All that the foot carries but a bag; null when it stands on no foot or nobody wrote down a mass. */
function loadOf(light: Light, body: LightBody): Load | null {
  if (body.stand === null) return null;
  const { foot, top } = body.stand;
  const masses: (readonly [number, Vec3])[] = [
    [light.support.massKg, [foot[0], top[1] / 3, foot[2]]],
    [light.head.massKg, middle(body.head)],
    [light.modifier.massKg, middle([body.centre, middle(body.ring)])],
  ];
  if (body.boom !== null) {
    masses.push([light.support.boomArmKg, middle([body.boom.load, body.boom.tail])]);
    masses.push([body.boom.counterweightKg, body.boom.tail]);
  }
  let [massKg, momentX, momentY, momentZ] = [0, 0, 0, 0];
  for (const [kg, [x, y, z]] of masses) {
    massKg += kg;
    momentX += kg * (x - foot[0]);
    momentY += kg * y;
    momentZ += kg * (z - foot[2]);
  }
  return massKg > 0 ? { massKg, momentX, momentY, momentZ } : null;
}

/** World azimuth of a leg under the load; the light's own where nothing leans. */
export function legUnderLoadDeg(light: Light, body: LightBody): number {
  const load = loadOf(light, body);
  if (load === null || Math.hypot(load.momentX, load.momentZ) < 0.005 * load.massKg) return light.rig.legAzimuthDeg;
  return Math.round(wrapDegrees(degreesOf(Math.atan2(load.momentX, load.momentZ))));
}

/** The least bag, kg, with which the stand holds what is wanted over its worst edge; null when none does. */
export function bagNeedKg(light: Light, body: LightBody): number | null {
  const load = loadOf(light, body);
  if (load === null) return 0;
  const pushN = body.boom === null ? 0 : leastPushN;
  const pushAtM = Math.min(pushHeightM, Math.max(0.5, body.stand?.top[1] ?? pushHeightM));
  const holds = (bagKg: number): boolean => {
    const massKg = load.massKg + bagKg;
    const marginM = edgeMarginM(light, load.momentX / massKg, load.momentZ / massKg);
    const heightM = (load.momentY + bagKg * bagHeightM) / massKg;
    const tiltDeg = degreesOf(Math.atan2(marginM, heightM));
    return tiltDeg >= leastTiltDeg && (massKg * gravity * marginM) / pushAtM >= pushN;
  };
  if (holds(0)) return 0;
  if (!holds(mostBagKg)) return null;
  let [low, high] = [0, mostBagKg];
  while (high - low > 0.005) {
    const half = (low + high) / 2;
    if (holds(half)) high = half;
    else low = half;
  }
  return high;
}

/** From the centre of mass to the nearest edge of the foot; negative where it falls by itself. */
function edgeMarginM(light: Light, xM: number, zM: number): number {
  const { legs, footRadiusM } = light.support;
  const edgeM = footRadiusM * Math.cos(Math.PI / legs);
  const margins = Array.from({ length: legs }, (_, i) => {
    const toward = radians(light.rig.legAzimuthDeg + ((i + 0.5) * 360) / legs);
    return edgeM - (xM * Math.sin(toward) + zM * Math.cos(toward));
  });
  return Math.min(...margins);
}

function middle(points: readonly Vec3[]): Vec3 {
  let [x, y, z] = [0, 0, 0];
  for (const p of points) {
    x += p[0];
    y += p[1];
    z += p[2];
  }
  return [x / points.length, y / points.length, z / points.length];
}
