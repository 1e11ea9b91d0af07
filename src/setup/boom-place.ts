/**
 * Where a boom's stand may stand for a light that hangs in a given place: around the load, the arm below level toward
 * the tail, one leg under the load, in balance (steadiness.ts).
 */

import { distance, type Vec3 } from "../units/index.ts";
import type { LightBody } from "./light-body.ts";
import { degreesOf, wrapDegrees } from "./place.ts";
import { counterweightKg } from "./steadiness.ts";
import type { Light } from "./types.ts";

/** Shares of the usual reach, and falls of the arm from load to pivot, m; with what each costs against the first. */
const reaches: readonly (readonly [share: number, cost: number])[] = [
  [1, 0],
  [0.8, 0.4],
  [1.3, 1],
];
const falls: readonly (readonly [fallM: number, cost: number])[] = [
  [0.3, 0],
  [0.1, 0.5],
];
const directions = 16;

export interface Hung {
  readonly cost: number;
  readonly light: Light;
}

/** The light with each boom stand worth trying, the usual ones first. `body` is the light's own, without a boom. */
export function hangBoom(light: Light, body: LightBody): readonly Hung[] {
  const { bracket } = body;
  const { support } = light;
  const options: Hung[] = [];
  for (const [share, reachCost] of reaches) {
    const levelM = Math.min(support.boomReachM * 0.7, 1.05) * share;
    for (const [fallM, fallCost] of falls) {
      const wish = bracket[1] - fallM;
      const pivotHeightM = round(Math.min(Math.max(wish, support.minHeightM), support.maxHeightM));
      for (let i = 0; i < directions; i++) {
        const azimuth = (i * 2 * Math.PI) / directions;
        const pivot: Vec3 = [
          round(bracket[0] + levelM * Math.sin(azimuth)),
          pivotHeightM,
          round(bracket[2] + levelM * Math.cos(azimuth)),
        ];
        options.push({ cost: reachCost + fallCost, light: withBoom(light, pivot, bracket) });
      }
    }
  }
  return options.sort((a, b) => a.cost - b.cost);
}

function withBoom(light: Light, pivot: Vec3, bracket: Vec3): Light {
  const legAzimuthDeg = Math.round(wrapDegrees(degreesOf(Math.atan2(bracket[0] - pivot[0], bracket[2] - pivot[2]))));
  const weightKg = counterweightKg(light, distance(pivot, bracket));
  return {
    ...light,
    rig: {
      ...light.rig,
      legAzimuthDeg,
      boom: { standXM: pivot[0], standZM: pivot[2], pivotHeightM: pivot[1], counterweightKg: weightKg },
    },
  };
}

const round = (value: number): number => Math.round(value * 100) / 100;
