/**
 * What several devices at one set bring about, as pure functions: two readings of one light that disagree, to be
 * decided by people, and a main that was read again after the others were set against it.
 */

import { applyEdits, type Edit, type Light, type Reading, type Setup } from "../../../setup/index.ts";
import { learnFrom } from "../../../solve/index.ts";
import type { Result } from "../../../units/index.ts";
import { success } from "../../../units/index.ts";

/** Readings further apart in time are two readings, not one taken twice. */
const SAME_MOMENT_MS = 60_000;
/** Hand-held meters repeat within a tenth (common practice, no source); more is a disagreement. */
const SAME_STOPS = 0.15;

export interface Disagreement {
  readonly light: Light;
  readonly earlier: Reading;
  readonly later: Reading;
}

/** The two newest readings of a light, where two devices disagree about one and the same state of it. */
export function disagreements(setup: Setup): readonly Disagreement[] {
  return setup.lights.flatMap((light) => {
    const [earlier, later] = aloneReadings(setup, light.id).slice(-2);
    return earlier !== undefined && later !== undefined && disagree(setup, earlier, later)
      ? [{ light, earlier, later }]
      : [];
  });
}

/** Taken within a minute by two devices, at one place, with the dial untouched between them, and apart all the same. */
function disagree(setup: Setup, a: Reading, b: Reading): boolean {
  return (
    a.device !== b.device &&
    Math.abs(Date.parse(a.at) - Date.parse(b.at)) <= SAME_MOMENT_MS &&
    a.dialStops === b.dialStops &&
    samePlace(a, b) &&
    Math.abs(workingAv(setup, a) - workingAv(setup, b)) > SAME_STOPS
  );
}

/**
 * Those that disagree with the kept one no longer count; they stay in the document. What the head was learned to give
 * follows the kept one.
 */
export function keepOne(setup: Setup, light: Light, kept: Reading): Result<readonly Edit[]> {
  const drop = aloneReadings(setup, light.id)
    .filter((one) => disagree(setup, one, kept))
    .map(({ id }): Edit => ({ kind: "undo-reading", id, undone: true }));
  if (light.calibratedFrom === kept.id) return success(drop);
  const without = applyEdits(setup, drop);
  if (!without.ok) return without;
  const learned = learnFrom(without.value, kept.id);
  return success(learned.ok ? [...drop, ...learned.value.edits] : drop);
}

export interface Drift {
  readonly main: Light;
  readonly reading: Reading;
  /** How far the main now reads over (positive) or short of what the others were metered against, stops. */
  readonly stops: number;
}

/** A main read again after another light was metered against its earlier reading; null while they agree to a tenth. */
export function mainDrift(setup: Setup): Drift | null {
  const main = setup.lights.find((light) => light.role === "main");
  if (main === undefined) return null;
  const [earlier, later] = aloneReadings(setup, main.id).slice(-2);
  if (earlier === undefined || later === undefined) return null;
  const metered = setup.lights.some((light) => {
    const newest = light === main ? undefined : aloneReadings(setup, light.id).at(-1);
    return newest !== undefined && newest.at > earlier.at && newest.at < later.at;
  });
  const stops = Math.round((workingAv(setup, later) - workingAv(setup, earlier)) * 10) / 10;
  return metered && stops !== 0 ? { main, reading: later, stops } : null;
}

/** Counted readings of one light alone, oldest first. */
const aloneReadings = (setup: Setup, lightId: string): readonly Reading[] =>
  setup.readings
    .filter((one) => one.kind === "alone" && one.lightId === lightId && !one.undone)
    .sort((a, b) => Date.parse(a.at) - Date.parse(b.at));

const samePlace = (a: Reading, b: Reading): boolean => JSON.stringify(a.place) === JSON.stringify(b.place);

/** What the meter would say at the working ISO: one stop less for each doubling of its own. */
export const workingAv = (setup: Setup, reading: Reading): number =>
  reading.av - Math.log2(reading.iso / setup.exposure.iso);
