/**
 * Luminous flux of a measured web, lm, in the two ways in use.
 *
 * By zones, the trade's way: mean intensity of two neighbouring angles times the solid angle of the zone
 * between them, 2π(cos γᵢ − cos γᵢ₊₁) (the IES zonal lumen method). And as the exact integral of the
 * bilinear interpolation that `intensity` returns; the two differ by a fraction of a percent on real tables.
 * For types A and B the zone lies along the latitude angle b, dω = cos b db da, with a the angle that turns.
 */

import type { PhotometricWeb } from "./web.ts";

const radians = Math.PI / 180;

type Table = Pick<PhotometricWeb, "type" | "symmetry" | "verticalDeg" | "horizontalDeg" | "candela">;

/** Flux by zones, lm. Mean over the planes by the trapezoid rule. */
export function zonalFlux(web: Table): number {
  return sphereSum(web, zoneWeights);
}

/** Flux of the field that `intensity` interpolates, lm. */
export function interpolatedFlux(web: Table): number {
  return sphereSum(web, linearWeights);
}

/** Largest tabulated intensity, cd, and where it stands (first of equals). */
export function peakOf(web: Table): {
  peakCd: number;
  verticalDeg: number;
  horizontalDeg: number;
} {
  let peak = { peakCd: -1, verticalDeg: 0, horizontalDeg: 0 };
  web.candela.forEach((plane, j) => {
    plane.forEach((cd, i) => {
      if (cd > peak.peakCd) {
        peak = {
          peakCd: cd,
          verticalDeg: web.verticalDeg[i] as number,
          horizontalDeg: web.horizontalDeg[j] as number,
        };
      }
    });
  });
  return peak;
}

/** Solid-angle weight of each node of the angle that carries the Jacobian (sin γ, cos b), so that Σ w·I = ∫ I. */
type Weights = (angles: readonly number[], jacobian: "sine" | "cosine") => readonly number[];

function sphereSum(web: Table, weights: Weights): number {
  if (web.type === "C") {
    const down = weights(web.verticalDeg, "sine");
    const around = planeWeights(web);
    return sum(web.candela, (cd, j, i) => cd * (down[i] as number) * (around[j] as number));
  }
  const latitudeIsHorizontal = web.type === "B";
  const latitude = weights(latitudeIsHorizontal ? web.horizontalDeg : web.verticalDeg, "cosine");
  const turning = trapezoid(latitudeIsHorizontal ? web.verticalDeg : web.horizontalDeg);
  const mirrors = web.symmetry === "quadrant" ? 4 : web.symmetry === "none" ? 1 : 2;
  const total = sum(web.candela, (cd, j, i) =>
    latitudeIsHorizontal
      ? cd * (latitude[j] as number) * (turning[i] as number)
      : cd * (latitude[i] as number) * (turning[j] as number),
  );
  return total * mirrors;
}

/** ½·(difference of cosines or sines) to each end of every zone. */
function zoneWeights(angles: readonly number[], jacobian: "sine" | "cosine"): readonly number[] {
  const weights = angles.map(() => 0);
  for (let i = 0; i + 1 < angles.length; i += 1) {
    const half =
      Math.abs(antiderivative(angles[i + 1] as number, jacobian) - antiderivative(angles[i] as number, jacobian)) / 2;
    weights[i] = (weights[i] as number) + half;
    weights[i + 1] = (weights[i + 1] as number) + half;
  }
  return weights;
}

/** Exact weights for an intensity that is linear in the angle between the nodes. */
function linearWeights(angles: readonly number[], jacobian: "sine" | "cosine"): readonly number[] {
  const weights = angles.map(() => 0);
  for (let i = 0; i + 1 < angles.length; i += 1) {
    const a = angles[i] as number;
    const b = angles[i + 1] as number;
    const width = (b - a) * radians;
    const whole = antiderivative(b, jacobian) - antiderivative(a, jacobian);
    // ∫ (x − a)·J dx / width by parts: F(b) − mean of F over the zone, with F' = J.
    const upper = antiderivative(b, jacobian) - secondAntiderivative(a, b, jacobian) / width;
    weights[i] = (weights[i] as number) + whole - upper;
    weights[i + 1] = (weights[i + 1] as number) + upper;
  }
  return weights;
}

/** F with F' = sin or cos. */
const antiderivative = (deg: number, jacobian: "sine" | "cosine"): number =>
  jacobian === "sine" ? -Math.cos(deg * radians) : Math.sin(deg * radians);

/** ∫ F over the zone. */
const secondAntiderivative = (a: number, b: number, jacobian: "sine" | "cosine"): number =>
  jacobian === "sine"
    ? -(Math.sin(b * radians) - Math.sin(a * radians))
    : -(Math.cos(b * radians) - Math.cos(a * radians));

/** Angle in radians that each stored plane stands for; together 2π. */
function planeWeights(web: Table): readonly number[] {
  if (web.symmetry === "axial") return [2 * Math.PI];
  const h = web.horizontalDeg;
  const weights = [...trapezoid(h)];
  if (web.symmetry === "quadrant") return weights.map((w) => 4 * w);
  if (web.symmetry === "bilateral" || web.symmetry === "bilateral-90") return weights.map((w) => 2 * w);
  const gap = ((h[0] as number) + 360 - (h[h.length - 1] as number)) * radians;
  weights[0] = (weights[0] as number) + gap / 2;
  weights[h.length - 1] = (weights[h.length - 1] as number) + gap / 2;
  return weights;
}

function trapezoid(angles: readonly number[]): readonly number[] {
  return angles.map((angle, i) => {
    const before = i > 0 ? angle - (angles[i - 1] as number) : 0;
    const after = i + 1 < angles.length ? (angles[i + 1] as number) - angle : 0;
    return ((before + after) / 2) * radians;
  });
}

function sum(candela: Table["candela"], term: (cd: number, plane: number, vertical: number) => number): number {
  let total = 0;
  candela.forEach((plane, j) => {
    plane.forEach((cd, i) => {
      total += term(cd, j, i);
    });
  });
  return total;
}
