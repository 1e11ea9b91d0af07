/**
 * The linear algebra of patch radiosity, B = ρ·(E + F·B) (Goral et al. 1984, from memory): form factors of
 * rectangular patches from the polygon closed form at 2 × 2 Gauss–Legendre spots, made reciprocal and closed
 * exactly, and triangular factors of I − diag(ρ)·F. Whether one patch sees another is asked once, middle to
 * middle.
 */

import type { Vec3 } from "../units/index.ts";
import { addScaled, subtract } from "../units/index.ts";
import { DISC, frontFactor } from "./irradiance.ts";
import { rayTests } from "./ray-tests.ts";
import type { Front, Occluder } from "./types.ts";

export const SPOTS = 4;
/** Gauss–Legendre points of a patch, 2 × 2: ±1/√12 of its sides from the middle. */
export function spotsOf(patch: Front): Vec3[] {
  const [a, b, , d] = patch.outline as [Vec3, Vec3, Vec3, Vec3];
  const u = subtract(b, a);
  const v = subtract(d, a);
  const g = 1 / Math.sqrt(12);
  return [-g, g].flatMap((s) => [-g, g].map((t) => addScaled(addScaled(patch.centre, u, s), v, t)));
}

/** Form factors F_ij, row by row. */
export function formFactors(patches: readonly Front[], blockers: readonly Occluder[]): Float64Array {
  const n = patches.length;
  // Exchange areas A_i·F_ij from each side's own estimate, then the mean of both: reciprocity holds exactly.
  const exchange = new Float64Array(n * n);
  patches.forEach((patch, i) => {
    const spots = spotsOf(patch);
    const tests = rayTests(blockers, patch.centre);
    patches.forEach((other, j) => {
      if (i === j || tests.some((test) => test(...other.centre))) return;
      let sum = 0;
      for (const spot of spots) sum += frontFactor(other, spot, patch.normal, DISC);
      const area = (sum / SPOTS) * other.areaM2 * patch.areaM2;
      exchange[i * n + j] = (exchange[i * n + j] as number) + area / 2;
      exchange[j * n + i] = (exchange[j * n + i] as number) + area / 2;
    });
  });
  close(exchange, patches);
  for (let i = 0; i < n; i++) {
    const area = (patches[i] as Front).areaM2;
    for (let j = 0; j < n; j++) exchange[i * n + j] = (exchange[i * n + j] as number) / area;
  }
  return exchange;
}

/** Scales the symmetric exchange areas until each row sums to its patch's area: a closed room keeps its light. */
function close(exchange: Float64Array, patches: readonly Front[]): void {
  const n = patches.length;
  const pull = new Float64Array(n);
  for (let round = 0; round < 30; round++) {
    for (let i = 0; i < n; i++) {
      let row = 0;
      for (let j = 0; j < n; j++) row += exchange[i * n + j] as number;
      pull[i] = row > 0 ? Math.sqrt((patches[i] as Front).areaM2 / row) : 1;
    }
    for (let i = 0; i < n; i++) {
      const p = pull[i] as number;
      for (let j = 0; j < n; j++) exchange[i * n + j] = (exchange[i * n + j] as number) * p * (pull[j] as number);
    }
  }
}

/** LU factors of I − diag(ρ)·F without pivoting: rows are diagonally dominant while ρ < 1. */
export function factorise(factors: Float64Array, reflectance: Float64Array): Float64Array {
  const n = reflectance.length;
  const m = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      m[i * n + j] = (i === j ? 1 : 0) - (reflectance[i] as number) * (factors[i * n + j] as number);
    }
  }
  for (let k = 0; k < n; k++) {
    const pivot = m[k * n + k] as number;
    for (let i = k + 1; i < n; i++) {
      const factor = (m[i * n + k] as number) / pivot;
      m[i * n + k] = factor;
      if (factor === 0) continue;
      for (let j = k + 1; j < n; j++) m[i * n + j] = (m[i * n + j] as number) - factor * (m[k * n + j] as number);
    }
  }
  return m;
}

/** Replaces the right-hand side by the solution. */
export function solveInPlace(lu: Float64Array, b: Float64Array): void {
  const n = b.length;
  for (let i = 0; i < n; i++) {
    let sum = b[i] as number;
    for (let j = 0; j < i; j++) sum -= (lu[i * n + j] as number) * (b[j] as number);
    b[i] = sum;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i] as number;
    for (let j = i + 1; j < n; j++) sum -= (lu[i * n + j] as number) * (b[j] as number);
    b[i] = sum / (lu[i * n + i] as number);
  }
}
