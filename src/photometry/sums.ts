/**
 * Adding readings of lights measured one at a time. Luminous exposures add (H = ΣH_i), so f-numbers add in
 * quadrature and Av as log2 Σ2^Av; but only where all were read at the same point, with the same receptor,
 * aimed the same way. Each light read with the meter turned to it is NOT such a set.
 */

import type { Ev, Fault, LuxSeconds, Result, Vec3 } from "../units/index.ts";
import { dot, ev, failure, fault, luxSeconds, normalize, success } from "../units/index.ts";
import type { ReceptorKind } from "./types.ts";

/** One light's share of a sum. */
export interface SumTerm {
  /** What the user calls it. */
  readonly label: string;
  /** The metered place, by name or id: equal strings are the same place. */
  readonly point: string;
  readonly receptor: ReceptorKind;
  /** Direction of the receptor's axis, world axes; any length but zero. */
  readonly aim: Vec3;
  /** As the user says it: "at the lens". */
  readonly aimName: string;
  readonly exposure: LuxSeconds;
}

/** Aims that differ by less than this count as the same: a dome errs by under 0.001 stop. */
export const SAME_AIM_DEG = 3;

/** Av of lights added: log2 Σ 2^Av. −Infinity for none. */
export function addAv(readings: readonly Ev[]): Ev {
  let sum = 0;
  for (const av of readings) sum += 2 ** av;
  return ev(Math.log2(sum));
}

/**
 * The luminous exposure of all terms together. Faults name every term that cannot be added to the first,
 * why, and what to do. An empty list sums to 0.
 */
export function sumReadings(terms: readonly SumTerm[]): Result<LuxSeconds> {
  const first = terms[0];
  if (!first) return success(luxSeconds(0));
  const faults = terms.flatMap((term, i) => mismatches(first, term, i));
  if (faults.length > 0) return failure(...faults);
  let sum = 0;
  for (const term of terms) sum += term.exposure;
  return success(luxSeconds(sum));
}

function mismatches(first: SumTerm, term: SumTerm, index: number): Fault[] {
  const where = `readings[${index}]`;
  const found: Fault[] = [];
  if (term.point !== first.point) {
    found.push(
      fault(
        "sum-point",
        `${term.label} was read at ${term.point}, ${first.label} at ${first.point}: they fall on different places and do not add`,
        where,
        "Read both at one place, or look at each place by itself.",
      ),
    );
  }
  if (term.receptor !== first.receptor) {
    found.push(
      fault(
        "sum-receptor",
        `${term.label} was read with the ${term.receptor}, ${first.label} with the ${first.receptor}: they weigh directions differently`,
        where,
        `Read ${term.label} again with the ${first.receptor}.`,
      ),
    );
  }
  if (angleDeg(term.aim, first.aim) > SAME_AIM_DEG) {
    found.push(
      fault(
        "sum-aim",
        `${term.label} was read aimed ${term.aimName}, ${first.label} aimed ${first.aimName}: each answers another question`,
        where,
        "Read every light with one aim, such as the dome to the camera, or use the predicted total.",
      ),
    );
  }
  return found;
}

function angleDeg(a: Vec3, b: Vec3): number {
  const cosine = dot(normalize(a), normalize(b));
  return (Math.acos(Math.min(1, Math.max(-1, cosine))) * 180) / Math.PI;
}
