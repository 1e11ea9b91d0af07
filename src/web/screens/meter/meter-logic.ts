/**
 * What Meter does with two taps, as pure functions: which light is next, what a reading changes, what to say.
 * A new reading after a turn means that the head was turned, so the dial is taken to stand where the turn
 * said; and the head's output follows the meter at once (one-reading calibration).
 */

import type { Edit, Light, MeterPlace, Reading, Setup } from "../../../setup/index.ts";
import { applyEdits } from "../../../setup/index.ts";
import type { LightReport, SetupReport, TogetherReport } from "../../../solve/index.ts";
import { learnFrom } from "../../../solve/index.ts";
import type { Result } from "../../../units/index.ts";
import { success } from "../../../units/index.ts";

/** What the page knows beside the two taps. */
export interface Tapped {
  readonly id: string;
  readonly at: string;
  readonly device: string;
  /** As the meter shows it, at `iso`. */
  readonly av: number;
  readonly typed: string;
  readonly iso: number;
}

/** The steps of metering: each light alone in its order, then all together. */
export type Step = { readonly kind: "light"; readonly lightId: string } | { readonly kind: "together" };

export const stepKey = (step: Step): string => (step.kind === "light" ? step.lightId : "together");

/** A light is done when it reads within its tolerance, or as close as its head goes, or was accepted. */
export function isDone(light: Light, report: LightReport): boolean {
  if (light.accepted && report.reading !== null) return true;
  return report.turn?.state === "met" || report.turn?.state === "as-close";
}

/** The first light that still needs the meter; together when all are done. */
export function nextStep(setup: Setup, report: SetupReport): Step {
  for (const one of report.lights) {
    const light = setup.lights.find((l) => l.id === one.lightId);
    if (light?.on && !isDone(light, one)) return { kind: "light", lightId: one.lightId };
  }
  return { kind: "together" };
}

/** Where the dial must stand before this light is fired. */
export const dialBefore = (light: Light, report: LightReport): number => {
  if (report.turn !== null) return report.turn.state === "turn" ? report.turn.dialToStops : light.dialStops;
  return report.plan.dialToStops;
};

/** Everything that one reading of a light alone changes. */
export function readingEdits(setup: Setup, report: LightReport, tapped: Tapped): Result<readonly Edit[]> {
  const light = setup.lights.find((l) => l.id === report.lightId);
  if (light === undefined) throw new RangeError(`no light ${report.lightId}`);
  const dialStops = dialBefore(light, report);
  const reading: Reading = {
    ...readingBase(setup, tapped),
    lightId: light.id,
    kind: "alone",
    place: light.meterAt,
    lightsOn: [light.id],
    shaded: [],
    dialStops,
  };
  const edits: Edit[] = [];
  if (dialStops !== light.dialStops || light.accepted)
    edits.push({ kind: "light", id: light.id, set: { dialStops, accepted: false } });
  edits.push({ kind: "add-reading", reading });
  const read = applyEdits(setup, edits);
  if (!read.ok) return read;
  const learned = learnFrom(read.value, reading.id);
  // A light that should be dark here teaches nothing; its reading is kept all the same.
  return success(learned.ok ? [...edits, ...learned.value.edits] : edits);
}

/** A reading with several lights on, at the very place that was predicted. */
export function togetherEdits(
  setup: Setup,
  together: Pick<TogetherReport, "id" | "place" | "shaded">,
  tapped: Tapped,
): readonly Edit[] {
  const reading: Reading = {
    ...readingBase(setup, tapped),
    lightId: null,
    kind: together.id === "room" ? "room" : "together",
    place: together.place,
    lightsOn: setup.lights.filter((l) => l.on).map((l) => l.id),
    shaded: together.shaded,
    dialStops: null,
  };
  return [{ kind: "add-reading", reading }];
}

/** "Dome at the nose, pointing at M." */
export function placeWords(place: MeterPlace, pointWords: string, tag: string): string {
  const receptor = place.receptor === "dome" ? "Dome" : "Disc";
  const aim =
    place.aim === "light"
      ? `pointing at ${tag}`
      : place.aim === "camera"
        ? "pointing at the lens"
        : "flat on it, facing out";
  return `${receptor} at the ${pointWords}, ${aim}.`;
}

/** "F, E and H off." */
export function offWords(setup: Setup, lightId: string): string {
  const tags = setup.lights.filter((l) => l.id !== lightId).map((l) => l.tag);
  return tags.length === 0 ? "" : `${listWords(tags)} off.`;
}

export function listWords(words: readonly string[]): string {
  if (words.length < 2) return words[0] ?? "";
  return `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
}

function readingBase(
  setup: Setup,
  tapped: Tapped,
): Omit<Reading, "lightId" | "kind" | "place" | "lightsOn" | "shaded" | "dialStops"> {
  return {
    id: tapped.id,
    av: tapped.av,
    typed: tapped.typed,
    iso: tapped.iso,
    shutterS: setup.exposure.shutterS,
    at: tapped.at,
    device: tapped.device,
    undone: false,
  };
}
