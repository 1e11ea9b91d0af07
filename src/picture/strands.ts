/**
 * A surface of many hairs: a half-space filled with parallel fibres, walked fibre by fibre (after the fibre
 * volumes of Moon & Marschner 2006, from memory; the walk is ours). A ray meets fibres in proportion to the
 * sine of its angle to them; each meeting scatters as one fibre does (fibre.ts), at an offset h drawn anew; light of
 * lamps is taken of all offsets at once (fibre-table.ts) and comes in straight through the fibres above. Multiple scattering is what makes fair hair fair. Left out: light
 * that crosses a lock and leaves behind, and single hairs that stand off.
 */

import { type Fibre, fibreDirection, sampleFibre } from "./fibre.ts";
import { fibreMean } from "./fibre-table.ts";
import { hashPair, pcgHash, unitOf } from "./random.ts";

/** A light seen from the surface: direction in the strands' frame, π·L·V/pdf. */
export interface StrandLight {
  x: number;
  y: number;
  z: number;
  /** Cosine to the surface's normal. */
  cosine: number;
  /** π·L/pdf with shadows. */
  weight: number;
}

/** Walks among the strands that one path takes at its first surface: they share the rays to the lights. */
export const HAIR_WALKS = 4;
/** Meetings after which a walk is given up: absorption ends nearly all before, even in fair hair. */
const MOST_MEETINGS = 256;

/** Where a walk came out, in the strands' frame, and what it carries. */
export interface Exit {
  x: number;
  y: number;
  z: number;
  throughput: Float64Array;
}

const value = new Float64Array(3);
const weight = new Float64Array(3);

/**
 * Walks from viewer o (unit, strands' frame, x along the strand) into the half-space under normal n. Adds each
 * light's share to `gathered` (rgb per light), fills `exit`. Returns false when the walk was absorbed.
 */
export function walkStrands(
  fibre: Fibre,
  table: Float32Array,
  tableAt: number,
  ox: number,
  oy: number,
  oz: number,
  nx: number,
  ny: number,
  nz: number,
  lights: readonly StrandLight[],
  gathered: Float64Array,
  exit: Exit,
  seed: number,
): boolean {
  let [x, y, z] = [-ox, -oy, -oz];
  let depth = 0;
  let state = seed;
  const next = (): number => {
    state = pcgHash((state + 0x9e3779b9) >>> 0);
    return unitOf(hashPair(state, 77));
  };
  const t = exit.throughput;
  t.fill(1);
  gathered.fill(0);
  for (let k = 0; k < MOST_MEETINGS; k++) {
    // Free path in units of the mean distance between fibres met square on.
    const thickness = Math.sqrt(Math.max(1e-6, 1 - x * x));
    const step = -Math.log(1 - next()) / thickness;
    depth -= step * (x * nx + y * ny + z * nz);
    if (depth < 0) {
      exit.x = x;
      exit.y = y;
      exit.z = z;
      return true;
    }
    const h = 2 * next() - 1;
    for (let i = 0; i < lights.length; i++) {
      const light = lights[i] as StrandLight;
      if (light.weight === 0) continue;
      const above = (depth * Math.sqrt(Math.max(0, 1 - light.x * light.x))) / light.cosine;
      if (above > 20) continue;
      fibreMean(fibre, table, tableAt, light.x, light.y, light.z, -x, -y, -z, value);
      const w = light.weight * Math.exp(-above);
      for (let c = 0; c < 3; c++)
        gathered[3 * i + c] = (gathered[3 * i + c] as number) + w * (t[c] as number) * (value[c] as number);
    }
    sampleFibre(fibre, -x, -y, -z, h, next(), next(), next(), next(), weight);
    for (let c = 0; c < 3; c++) t[c] = (t[c] as number) * (weight[c] as number);
    const most = Math.max(t[0] as number, t[1] as number, t[2] as number);
    const keep = Math.min(1, 2 * most);
    if (!(next() < keep)) return false;
    for (let c = 0; c < 3; c++) t[c] = (t[c] as number) / keep;
    x = fibreDirection.x;
    y = fibreDirection.y;
    z = fibreDirection.z;
  }
  return false;
}
