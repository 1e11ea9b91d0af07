/**
 * One fibre seen from afar: what fibre.ts gives at an offset h, averaged over all offsets, so that light gathered at a
 * meeting has no noise of h. Longitude and azimuth part (Marschner et al. 2003; d'Eon et al. 2011; both from memory):
 * f·cos θ_i = Σ M_p·(AN)_p, with (AN)_p = ½∫ A_p·N_p dh tabulated over the viewer's cosine and the azimuth, linear
 * between. Over γ = asin h the lobes turn evenly, so the integral runs over γ.
 */

import { attenuationOf, azimuthal, type Fibre, fibreAngles, longitudinal } from "./fibre.ts";

/** Steps of the viewer's cosine 0…1 and of the azimuth 0…π; both ends are in the table. */
export const FIBRE_COSINES = 20;
export const FIBRE_AZIMUTHS = 48;
/** Per cell: R, then TT, TRT and all longer ways in rgb. */
export const FIBRE_CELL = 10;
/** Offsets averaged. */
const OFFSETS = 64;

/** The table of one fibre; a few milliseconds. */
export function fibreTable(fibre: Fibre): Float32Array {
  const table = new Float32Array(FIBRE_CELL * FIBRE_COSINES * FIBRE_AZIMUTHS);
  for (let i = 0; i < FIBRE_COSINES; i++) {
    const cosO = Math.max(0.01, i / (FIBRE_COSINES - 1));
    for (let k = 0; k < OFFSETS; k++) {
      const gamma = Math.PI * ((k + 0.5) / OFFSETS - 0.5);
      const share = (Math.cos(gamma) * Math.PI) / (2 * OFFSETS);
      const { gammaO, gammaT } = fibreAngles(fibre, Math.sqrt(1 - cosO * cosO), cosO, Math.sin(gamma));
      for (let j = 0; j < FIBRE_AZIMUTHS; j++) {
        const at = FIBRE_CELL * (i * FIBRE_AZIMUTHS + j);
        const phi = (Math.PI * j) / (FIBRE_AZIMUTHS - 1);
        for (let p = 0; p < 4; p++) {
          const n = share * (p < 3 ? azimuthal(fibre, p, phi, gammaO, gammaT) : 1 / (2 * Math.PI));
          for (let c = p === 0 ? 2 : 0; c < 3; c++) {
            const cell = at + 3 * p - 2 + c;
            table[cell] = (table[cell] as number) + n * attenuationOf(p, c);
          }
        }
      }
    }
  }
  return table;
}

/** f·cos θ_i averaged over h, rgb to `out`, for unit directions toward light and viewer. The table begins at `at`. */
export function fibreMean(
  fibre: Fibre,
  table: Float32Array,
  at: number,
  ix: number,
  iy: number,
  iz: number,
  ox: number,
  oy: number,
  oz: number,
  out: Float64Array,
): void {
  const cosI = Math.sqrt(Math.max(0, 1 - ix * ix));
  const cosO = Math.sqrt(Math.max(0, 1 - ox * ox));
  const m0 = longitudinal(fibre, 0, ix, cosI, ox, cosO);
  const m1 = longitudinal(fibre, 1, ix, cosI, ox, cosO);
  const m2 = longitudinal(fibre, 2, ix, cosI, ox, cosO);
  const m3 = longitudinal(fibre, 3, ix, cosI, ox, cosO);
  const across = Math.max(1e-12, cosI * cosO);
  const phi = Math.acos(Math.min(1, Math.max(-1, (iy * oy + iz * oz) / across)));
  const x = cosO * (FIBRE_COSINES - 1);
  const y = (phi / Math.PI) * (FIBRE_AZIMUTHS - 1);
  const i = Math.min(FIBRE_COSINES - 2, Math.floor(x));
  const j = Math.min(FIBRE_AZIMUTHS - 2, Math.floor(y));
  const [fx, fy] = [x - i, y - j];
  const a = at + FIBRE_CELL * (i * FIBRE_AZIMUTHS + j);
  const b = a + FIBRE_CELL * FIBRE_AZIMUTHS;
  const w0 = (1 - fx) * (1 - fy);
  const w1 = (1 - fx) * fy;
  const w2 = fx * (1 - fy);
  const w3 = fx * fy;
  const r = m0 * mixed(table, a, b, w0, w1, w2, w3);
  for (let c = 1; c < 4; c++) {
    out[c - 1] =
      r +
      m1 * mixed(table, a + c, b + c, w0, w1, w2, w3) +
      m2 * mixed(table, a + 3 + c, b + 3 + c, w0, w1, w2, w3) +
      m3 * mixed(table, a + 6 + c, b + 6 + c, w0, w1, w2, w3);
  }
}

function mixed(t: Float32Array, a: number, b: number, w0: number, w1: number, w2: number, w3: number): number {
  return (
    w0 * (t[a] as number) +
    w1 * (t[a + FIBRE_CELL] as number) +
    w2 * (t[b] as number) +
    w3 * (t[b + FIBRE_CELL] as number)
  );
}
