/**
 * The door to predictions. A solver remembers what it computed by everything that it depends on, so that
 * turning a dial costs microseconds and moving one light recomputes that light alone. Asked the same, it
 * answers the same, with memory or without.
 */

import type { PointSheet, ReceptorKind } from "../photometry/index.ts";
import type { Id, MeterPlace, Setup } from "../setup/index.ts";
import { type Result, success, type Vec3 } from "../units/index.ts";
import { leanMemory } from "./light-report.ts";
import { litOfId, makeEngine, predictAlone, predictMap, predictSeveral, type TogetherQuestion } from "./predict.ts";
import { makeReport } from "./report.ts";
import type { Predicted, SetupReport } from "./types.ts";

export interface Solver {
  /** Everything about a setup. */
  report(setup: Setup): SetupReport;
  /** One light alone, the meter held at a place. Throws RangeError for an id that the setup does not have. */
  alone(setup: Setup, lightId: Id, place: MeterPlace): Predicted;
  /** Several lights in one reading; a fault where readings may not be added. */
  together(setup: Setup, question: TogetherQuestion): Result<Predicted>;
  /** M of a light's straight way over a sheet of points, lx·s, columns × rows; nothing in between counts. */
  map(setup: Setup, lightId: Id, sheet: PointSheet, axis: Vec3 | "front", receptor: ReceptorKind): Float64Array;
}

/** A solver with an empty memory. */
export function createSolver(): Solver {
  const engine = makeEngine();
  const leans = leanMemory();
  const reports = new WeakMap<Setup, SetupReport>();
  const lit = (setup: Setup, lightId: Id) => {
    const found = litOfId(engine.sceneOf(setup), lightId);
    if (!found.ok) throw new RangeError(`the setup has no light ${lightId}`);
    return found.value;
  };
  return {
    report(setup) {
      const kept = reports.get(setup);
      if (kept) return kept;
      const made = makeReport(engine, leans, setup);
      reports.set(setup, made);
      return made;
    },
    alone: (setup, lightId, place) => predictAlone(engine, setup, lit(setup, lightId), place),
    together: (setup, question) => predictSeveral(engine, setup, question),
    map: (setup, lightId, sheet, axis, receptor) =>
      predictMap(engine, setup, lit(setup, lightId), sheet, axis, receptor),
  };
}

/** The whole report with nothing remembered. */
export const predict = (setup: Setup): SetupReport => createSolver().report(setup);

/** One light alone at a place, or a fault for a light that is not there. */
export function predictLight(setup: Setup, lightId: Id, place: MeterPlace): Result<Predicted> {
  const engine = makeEngine();
  const found = litOfId(engine.sceneOf(setup), lightId);
  return found.ok ? success(predictAlone(engine, setup, found.value, place)) : found;
}

/** Several lights in one reading, or the reason why they do not add. */
export const predictTogether = (setup: Setup, question: TogetherQuestion): Result<Predicted> =>
  predictSeveral(makeEngine(), setup, question);
