/**
 * Fronts as flat numbers, the same for both twins of the tracer: frame, area, corners, grid, lobe, hot centre, beam.
 * Metres, world axes; corners in the front's own plane along its right and up.
 */

import type { Front } from "../photometry/index.ts";
import type { SceneEmitter } from "../scene/index.ts";
import { cross, distance, dot, subtract } from "../units/index.ts";

/** Numbers per emitter: 24 of head, then 64 corners. */
export const EMITTER_STRIDE = 152;
export const CORNERS_AT = 24;
/** Steps of a measured beam's table: θ 0…180 by 1°, φ 0…360 by 5°, bilinear between. */
export const WEB_THETA = 181;
export const WEB_PHI = 73;

export type EmitterKind = "outline" | "point" | "bare";
export const KINDS: readonly EmitterKind[] = ["outline", "point", "bare"];

/** All emitters of a scene in two flat arrays. `webs` holds intensity/flux tables, 1/sr, one after the other. */
export interface PackedEmitters {
  readonly count: number;
  readonly data: Float32Array;
  readonly webs: Float32Array;
}

export function packEmitters(emitters: readonly SceneEmitter[]): PackedEmitters {
  const data = new Float32Array(EMITTER_STRIDE * emitters.length);
  const tables: Float32Array[] = [];
  emitters.forEach(({ front, radiusM }, i) => {
    const webAt = front.web ? tables.length * WEB_THETA * WEB_PHI : -1;
    if (front.web) tables.push(webTable(front.web));
    data.set(headOf(front, radiusM, webAt), EMITTER_STRIDE * i);
    data.set(cornersOf(front), EMITTER_STRIDE * i + CORNERS_AT);
  });
  const webs = new Float32Array(tables.length * WEB_THETA * WEB_PHI);
  tables.forEach((table, i) => {
    webs.set(table, i * WEB_THETA * WEB_PHI);
  });
  return { count: emitters.length, data, webs };
}

function webTable(web: NonNullable<Front["web"]>): Float32Array {
  const table = new Float32Array(WEB_THETA * WEB_PHI);
  for (let t = 0; t < WEB_THETA; t++) {
    for (let p = 0; p < WEB_PHI; p++) table[t * WEB_PHI + p] = web.intensity(t, (p * 5) % 360) / web.fluxLm;
  }
  return table;
}

function headOf(front: Front, radiusM: number, webAt: number): number[] {
  const right = cross(front.up, front.normal);
  const kind: EmitterKind = front.shape === "bare" ? "bare" : front.outline.length === 0 ? "point" : "outline";
  const gridRatio = front.grid ? front.grid.depthM / front.grid.cellM : 0;
  return [
    ...[...front.centre, ...right, ...front.up, ...front.normal, front.areaM2, front.outline.length],
    ...[gridRatio, front.grid?.openFraction ?? 1, front.lobeExponent ?? 1, front.hotCentre ?? 0],
    ...[kind === "outline" ? 0 : radiusM, KINDS.indexOf(kind), webAt, 4 * reachOf(front) ** 2],
  ];
}

function cornersOf(front: Front): number[] {
  const right = cross(front.up, front.normal);
  return front.outline.flatMap((corner) => {
    const offset = subtract(corner, front.centre);
    return [dot(offset, right), dot(offset, front.up)];
  });
}

/** From the middle to the farthest corner, m: nearer than twice that, samples go by solid angle. */
const reachOf = (front: Front): number => Math.max(0, ...front.outline.map((corner) => distance(corner, front.centre)));
