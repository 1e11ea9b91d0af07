/**
 * Learning from readings. One reading of a light alone fixes the output of head and modifier together; for
 * this setup at once, and offered to the kit. Readings at several distances also fix the effective radius of
 * the front, 1/H = (d² + r²)/I, a line in d² fitted with the error of 1/H (weights H²): output is well
 * determined, size is not. Readings at several dial positions make a dial table. A grey card at the nose
 * gives what the camera needs against the meter. Stops, lx·s, m.
 */

import {
  countedReadings,
  type DialPoint,
  type Edit,
  type Head,
  type Id,
  type Reading,
  type Setup,
} from "../setup/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { fitLine } from "./fit.ts";
import { ownAv } from "./light-report.ts";
import { believedAv, type Engine, makeEngine, predictAlone } from "./predict.ts";
import type { Lit } from "./scene.ts";

/** What one reading taught. */
export interface Learned {
  /** Metered against what the catalogue and earlier learning said, stops. */
  readonly stops: number;
  /** For this setup: its calibration follows the meter at once. */
  readonly edits: readonly Edit[];
  readonly kitOffer: KitOffer;
}

/** What the kit may take over, if its owner wants it to. */
export interface KitOffer {
  readonly headId: Id;
  readonly modifierId: Id;
  /** The head's new learned output against the catalogue, stops: the mean over its readings. */
  readonly learnedStops: number;
  readonly learnedReadings: number;
  readonly words: string;
}

/**
 * Learns from one counted reading of a light alone. Faults: no-such-reading, reading-not-alone,
 * no-such-light, light-dark (nothing predicted there, so nothing to compare).
 */
export function learnFrom(setup: Setup, readingId: Id, engine: Engine = makeEngine()): Result<Learned> {
  const reading = countedReadings(setup).find(({ id }) => id === readingId);
  if (!reading) return missing("no-such-reading", `There is no counted reading "${readingId}"`, "readings");
  if (reading.kind !== "alone" || reading.lightId === null) {
    return missing(
      "reading-not-alone",
      "Only a reading of one light alone says what that light gives",
      `readings ${readingId}`,
    );
  }
  const index = setup.lights.findIndex(({ id }) => id === reading.lightId);
  const light = setup.lights[index];
  if (!light)
    return missing("no-such-light", "The light of this reading is no longer in the setup", `readings ${readingId}`);
  const asRead: Setup = {
    ...setup,
    lights: setup.lights.map((other) =>
      other === light ? { ...light, dialStops: reading.dialStops ?? light.dialStops } : other,
    ),
  };
  const lit = engine.sceneOf(asRead).lights.get(light.id) as Lit;
  const predicted = predictAlone(engine, asRead, lit, reading.place);
  const own = ownAv(predicted);
  const ambient = own === null || predicted.av === null ? 0 : 2 ** predicted.av - 2 ** own;
  const metered = 2 ** believedAv(setup, reading) - ambient;
  if (own === null || !(metered > 0)) {
    return missing("light-dark", "No light of its own reaches the meter there", `readings ${readingId}`);
  }
  const stops = Math.log2(metered) - own;
  const calibrationStops = (light.calibrationStops ?? 0) + stops;
  return success({
    stops,
    edits: [{ kind: "light", id: light.id, set: { calibrationStops, calibratedFrom: reading.id } }],
    kitOffer: offerOf(light.head, light.modifier.id, calibrationStops),
  });
}

/** A mean over the head's readings: the first one is believed whole, later ones in their share. */
function offerOf(head: Head, modifierId: Id, calibrationStops: number): KitOffer {
  const learnedReadings = head.learnedReadings + 1;
  const learnedStops = head.learnedStops + calibrationStops / learnedReadings;
  const change = learnedStops - head.learnedStops;
  const words = `${head.name} gives ${Math.abs(change).toFixed(1)} ${change < 0 ? "less" : "more"} than the kit thought (${learnedReadings} ${learnedReadings === 1 ? "reading" : "readings"})`;
  return { headId: head.id, modifierId, learnedStops, learnedReadings, words };
}

/** Output and effective size of a front from readings on its axis. */
export interface OutputFit {
  /** I, cd·s: what H·(d² + r²) comes to. */
  readonly intensity: number;
  /** Effective radius, m; 0 where scatter makes it imaginary. */
  readonly radiusM: number;
}

/** One reading on a front's axis: distance (m) and luminous exposure (lx·s). */
export interface AxisReading {
  readonly distanceM: number;
  readonly luxSeconds: number;
}

/** Fits 1/H = d²/I + r²/I. Null for fewer than two distances, or readings that do not fall with distance. */
export function fitOutput(readings: readonly AxisReading[]): OutputFit | null {
  const line = fitLine(
    readings.map(({ distanceM }) => distanceM ** 2),
    readings.map(({ luxSeconds }) => 1 / luxSeconds),
    readings.map(({ luxSeconds }) => luxSeconds ** 2),
  );
  if (line === null || !(line.slope > 0)) return null;
  return { intensity: 1 / line.slope, radiusM: Math.sqrt(Math.max(0, line.intercept / line.slope)) };
}

/** Only these readings say anything about size: distances that span 3:1, the nearest within two radii (common practice, no source). */
export const tellsSize = (readings: readonly AxisReading[], geometricRadiusM: number): boolean => {
  const distances = readings.map(({ distanceM }) => distanceM);
  const nearest = Math.min(...distances);
  return Math.max(...distances) >= 3 * nearest && nearest <= 2 * geometricRadiusM;
};

/** A dial table from readings at one place: each position's light against that at full. Fewest positions: 4. */
export function fitDialTable(
  readings: readonly { readonly dialStops: number; readonly av: number }[],
): Result<readonly DialPoint[]> {
  const byDial = new Map<number, number[]>();
  for (const { dialStops, av } of readings) byDial.set(dialStops, [...(byDial.get(dialStops) ?? []), av]);
  if (byDial.size < 4) {
    return failure(
      fault(
        "dial-table-few",
        `${byDial.size} dial positions were read`,
        "readings",
        "Read four or more, one of them near full.",
      ),
    );
  }
  const means = [...byDial].map(([dialStops, avs]) => ({
    dialStops,
    av: avs.reduce((sum, av) => sum + av, 0) / avs.length,
  }));
  means.sort((a, b) => a.dialStops - b.dialStops);
  // Full counts as its own zero; without a reading there, the highest one stands where its dial says.
  const top = means[means.length - 1] as { dialStops: number; av: number };
  const table = means.map(({ dialStops, av }) => ({ dialStops, measuredStops: av - top.av + top.dialStops }));
  const falls = table.some((point, i) => i > 0 && point.measuredStops <= (table[i - 1] as DialPoint).measuredStops);
  if (!falls) return success(table);
  return failure(
    fault(
      "dial-table-falls",
      "A higher dial read no higher",
      "readings",
      "Read those positions again, one dump pop before each.",
    ),
  );
}

/** Dial readings of one light in a setup, as believed Av, for `fitDialTable`. */
export const dialReadings = (
  setup: Setup,
  lightId: Id,
): readonly { readonly dialStops: number; readonly av: number }[] =>
  countedReadings(setup).flatMap((reading: Reading) =>
    reading.lightId === lightId && reading.kind === "alone" && reading.dialStops !== null
      ? [{ dialStops: reading.dialStops, av: believedAv(setup, reading) }]
      : [],
  );

/**
 * Meter to camera from a grey card at the nose: stops that the camera needs more (+) than the meter says.
 * `cardLinear` is the card's display-linear value in the frame, 0…1 (1 clips), its reflectance what the card
 * should have given at the metered aperture: log2(reflectance/cardLinear).
 */
export function meterToCamera(cardReflectance: number, cardLinear: number): Result<number> {
  if (!(cardLinear > 0) || cardLinear >= 0.98) {
    const what = cardLinear >= 0.98 ? "The card is clipped in the frame" : "The card is black in the frame";
    return failure(fault("card-out-of-range", what, "frame", "Expose the card near the middle and try again."));
  }
  return success(Math.log2(cardReflectance / cardLinear));
}

const missing = (
  code: string,
  what: string,
  where: string,
): { readonly ok: false; readonly faults: readonly Fault[] } =>
  failure(fault(code, what, where, "Take a reading of the light alone at its meter point."));
