/**
 * Setting dials. Readings of each light alone make a diagonal problem: each dial from its own target. Targets
 * for readings of several lights together make a linear one, H·x = t with 2^lowest ≤ x ≤ 1, solved by bounded
 * least squares on relative errors (weights 1/t), then turned to each head's positions and improved by a
 * coordinate search of ± 2 positions on the largest error in stops.
 */

import type { Edit, Setup } from "../setup/index.ts";
import {
  type DialScale,
  dialRange,
  dialSteps,
  failure,
  fault,
  quantiseDial,
  type Result,
  stops,
  success,
} from "../units/index.ts";
import { boundedLeastSquares, type Matrix } from "./fit.ts";
import type { LightReport } from "./types.ts";

/** Edits that set every dial to what its target asks: each light alone at its own meter place. */
export function planDials(setup: Setup, lights: readonly Pick<LightReport, "lightId" | "plan">[]): readonly Edit[] {
  return lights.flatMap(({ lightId, plan }): Edit[] => {
    const light = setup.lights.find(({ id }) => id === lightId);
    if (!light || Math.abs(light.dialStops - plan.dialToStops) < 1e-9) return [];
    return [{ kind: "light", id: lightId, set: { dialStops: plan.dialToStops } }];
  });
}

/** A plan for readings that several lights make together. */
export interface JointPlan {
  /** Dials before they are turned to positions, stops relative to full. */
  readonly exactStops: readonly number[];
  /** Positions of each head. */
  readonly dialStops: readonly number[];
  /** Of each reading with those positions: over positive. */
  readonly residualStops: readonly number[];
  /** Heads at an end of their dial. */
  readonly atLowest: readonly boolean[];
  readonly atFull: readonly boolean[];
}

/**
 * Dials for together targets. `readings[j][k]`: what light k at full gives in reading j (lx·s); `targets[j]`
 * the wish (lx·s); `scales[k]` the head's dial. Needs as many readings as lights or more. Faults: plan-shape,
 * plan-target.
 */
export function planTogether(
  readings: Matrix,
  targets: readonly number[],
  scales: readonly DialScale[],
): Result<JointPlan> {
  const square = readings.length === targets.length && readings.every((row) => row.length === scales.length);
  if (!square || targets.length < scales.length) {
    return failure(
      fault("plan-shape", "There are fewer readings than lights", "targets", "Give every light a target of its own."),
    );
  }
  if (targets.some((target) => !(target > 0))) {
    return failure(
      fault("plan-target", "A target is dark", "targets", "A light that should not be seen is switched off."),
    );
  }
  const relative = readings.map((row, j) => row.map((value) => value / (targets[j] as number)));
  const ranges = scales.map(dialRange);
  const exact = boundedLeastSquares(
    relative,
    targets.map(() => 1),
    ranges.map(({ lowest }) => 2 ** lowest),
    ranges.map(() => 1),
  );
  const exactStops = exact.map(Math.log2);
  const start = exactStops.map((wanted, k) => quantiseDial(scales[k] as DialScale, stops(wanted)).stops as number);
  const dialStops = improve(relative, start, scales);
  return success({
    exactStops,
    dialStops,
    residualStops: residuals(relative, dialStops),
    atLowest: dialStops.map((dial, k) => dial <= (ranges[k]?.lowest as number) + 1e-9),
    atFull: dialStops.map((dial) => dial >= -1e-9),
  });
}

/** log2 of what each reading comes to against its target. */
function residuals(relative: Matrix, dials: readonly number[]): number[] {
  return relative.map((row) => Math.log2(row.reduce((sum, h, k) => sum + h * 2 ** (dials[k] as number), 0)));
}

const worst = (relative: Matrix, dials: readonly number[]): number =>
  Math.max(...residuals(relative, dials).map(Math.abs));

/** One head after another, ± 2 positions, while the largest error shrinks. */
function improve(relative: Matrix, start: readonly number[], scales: readonly DialScale[]): readonly number[] {
  const dials = [...start];
  const steps = scales.map(dialSteps);
  let best = worst(relative, dials);
  for (let round = 0; round < 20; round++) {
    const before = best;
    for (let k = 0; k < dials.length; k++) {
      const positions = steps[k] as readonly number[];
      const here = positions.findIndex((position) => Math.abs(position - (dials[k] as number)) < 1e-9);
      for (let i = Math.max(0, here - 2); i <= Math.min(positions.length - 1, here + 2); i++) {
        const tried = dials.with(k, positions[i] as number);
        const error = worst(relative, tried);
        if (error < best - 1e-9) {
          best = error;
          dials[k] = positions[i] as number;
        }
      }
    }
    if (best >= before - 1e-9) break;
  }
  return dials;
}
