/**
 * Flash: stored energy to light, guide numbers, several pops, pulse duration against the shutter, flash
 * with ambient light. Energies in W·s, light quantity Q in lm·s, intensity integrals in cd·s, lengths in
 * m, times in s. Efficacies of 15…50 lm·s per W·s are trade values; a plan from them is a prior only.
 */

import type { LuxSeconds, Seconds, Stops } from "../units/index.ts";
import { stops } from "../units/index.ts";

const FEET_PER_METRE = 1 / 0.3048;

/** Energy of a capacitor, W·s: ½·C·V². */
export const storedEnergy = (farads: number, volts: number): number => 0.5 * farads * volts * volts;

/** Q = η·W, lm·s. */
export const lightQuantity = (energyWs: number, efficacy: number): number => energyWs * efficacy;

/** Intensity integral of a bare tube that shines all round, cd·s: Q/4π. */
export const bareIntensity = (quantity: number): number => quantity / (4 * Math.PI);

/** On-axis intensity integral of a Lambertian front that lets T of the tube's flux out, cd·s: Q·T/π. */
export const lambertianIntensity = (quantity: number, transmission: number): number =>
  (quantity * transmission) / Math.PI;

/** Guide number in m: √(I·S/C). Far field and no help from walls; plan from readings, not from this. */
export const guideNumberMetres = (intensity: number, iso: number, c: number): number =>
  Math.sqrt((intensity * iso) / c);
export const guideNumberFeet = (intensity: number, iso: number, c: number): number =>
  guideNumberMetres(intensity, iso, c) * FEET_PER_METRE;

/** The C that a printed rule GN² = k·I·S in feet stands for: C = (ft/m)²/k. */
export const constantOfFeetRule = (k: number): number => FEET_PER_METRE ** 2 / k;

/** Gain of n pops with the shutter open in the dark and the subject still: log2 n. */
export const popsGain = (pops: number): Stops => stops(Math.log2(pops));
/** Pops needed for a gain in stops: ⌈2^x⌉, forgiving rounding noise. */
export const popsFor = (gain: Stops): number => Math.max(1, Math.ceil(2 ** gain - 1e-9));

/** t0.1/t0.5 of an exponential pulse: ln 10/ln 2. Both definitions in use (peak, energy) agree only for it. */
export const T01_OVER_T05: number = Math.LN10 / Math.LN2;

/** Fraction of an exponential pulse that passes a shutter open for `open` after its start: 1 − 10^(−T/t0.1). */
export const passedByShutter = (open: Seconds, t01: Seconds): number => -Math.expm1((-open / t01) * Math.LN10);
/** The same in stops, ≤ 0. */
export const shutterLoss = (open: Seconds, t01: Seconds): Stops => stops(Math.log2(passedByShutter(open, t01)));

/** Path in the subject plane while the pulse lasts, m: v·t0.1. */
export const blurLength = (metresPerSecond: number, t01: Seconds): number => metresPerSecond * t01;

/** Flash with ambient: total exposure, the stops that ambient adds, the flash's share. */
export interface FlashWithAmbient {
  readonly total: LuxSeconds;
  readonly addedStops: Stops;
  readonly flashShare: number;
}

/** H = H_flash + E·t; added stops log2(1 + H_amb/H_flash). The meter's shutter must be the camera's. */
export function flashWithAmbient(flash: LuxSeconds, ambientLux: number, time: Seconds): FlashWithAmbient {
  const ambient = ambientLux * time;
  return {
    total: (flash + ambient) as LuxSeconds,
    addedStops: stops(Math.log2(1 + ambient / flash)),
    flashShare: flash / (flash + ambient),
  };
}

/** How flash behaves at a shutter time: the sync limit of focal-plane shutters. */
export interface SyncNote {
  readonly regime: "flash" | "pulse-train";
  readonly note: string;
}

/** Above the sync speed a focal-plane shutter sees only a slit at a time (common practice, no source). */
export function syncNote(time: Seconds, syncTime: Seconds): SyncNote {
  if (time >= syncTime - 1e-9)
    return { regime: "flash", note: "The shutter does not change the flash, only the ambient." };
  return {
    regime: "pulse-train",
    note:
      "Shorter than the sync time: only a train of pulses lights the whole frame. Treat it as continuous light, " +
      "expect a first drop of 1.5 to 3 stops, then one stop for each stop of shutter, and meter it.",
  };
}
