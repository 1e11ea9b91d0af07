/**
 * Where a boom's stand may stand for a light that hangs in a given place: around the load, the arm a little
 * below level toward the tail, one leg under the load. The counterweight balances the moments about the
 * pivot: m_cw·L_tail = m_load·L_reach + m_arm·L_cg, the arm's middle at (L_reach − L_tail)/2 (domain 12.1).
 */

import { distance, type Vec3 } from "../units/index.ts";
import { lightBody } from "./light-body.ts";
import { degreesOf, wrapDegrees } from "./place.ts";
import type { Light, Setup } from "./types.ts";

/** Fall of the arm from load to pivot, m. */
const armFallM = 0.3;
const reaches = [1, 0.75];
const directions = 16;

/** The light with each boom stand worth trying. */
export function hangBoom(setup: Setup, light: Light): readonly Light[] {
  const { bracket } = lightBody(setup, light);
  const { support } = light;
  const options: Light[] = [];
  for (const share of reaches) {
    const levelM = Math.min(support.boomReachM * 0.7, 1.05) * share;
    for (let i = 0; i < directions; i++) {
      const azimuth = (i * 2 * Math.PI) / directions;
      const wish = bracket[1] - armFallM;
      const pivotHeightM = round(Math.min(Math.max(wish, support.minHeightM), support.maxHeightM));
      const pivot: Vec3 = [
        round(bracket[0] + levelM * Math.sin(azimuth)),
        pivotHeightM,
        round(bracket[2] + levelM * Math.cos(azimuth)),
      ];
      options.push(withBoom(light, pivot, bracket));
    }
  }
  return options;
}

function withBoom(light: Light, pivot: Vec3, bracket: Vec3): Light {
  const { support } = light;
  const reachM = distance(pivot, bracket);
  const loadKg = light.head.massKg + light.modifier.massKg;
  const moment = loadKg * reachM + (support.boomArmKg * (reachM - support.boomTailM)) / 2;
  const counterweightKg = Math.max(0, Math.round((moment / Math.max(support.boomTailM, 0.1)) * 10) / 10);
  const legAzimuthDeg = Math.round(wrapDegrees(degreesOf(Math.atan2(bracket[0] - pivot[0], bracket[2] - pivot[2]))));
  return {
    ...light,
    rig: {
      ...light.rig,
      legAzimuthDeg,
      boom: { standXM: pivot[0], standZM: pivot[2], pivotHeightM: pivot[1], counterweightKg },
    },
  };
}

const round = (value: number): number => Math.round(value * 100) / 100;
