/**
 * The exposure equations of incident meters, both ways, for flash (luminous exposure H, lx·s) and
 * continuous light (illuminance E, lx): N² = H·S/C and N²/t = E·S/C (ISO 2720:1974; its ranges of C are
 * 240…400 lx·s for flat receptors, 320…540 for hemispherical ones). Also luminance meters (K), EV at
 * ISO 100, footcandles and APEX. Readings are Av = 2·log2 N; a meter's own offset enters here and nowhere
 * else: believed Av = shown Av + offset.
 */

import type { Ev, FNumber, Iso, Lux, LuxSeconds, Seconds, Stops } from "../units/index.ts";
import { ev, fNumber, lux, luxSeconds, stops } from "../units/index.ts";
import type { Receptor } from "./types.ts";

/** Lux in one footcandle: square feet in a square metre, exact by the foot of 0.3048 m. */
export const LUX_PER_FOOTCANDLE: number = 1 / 0.3048 ** 2;

/** Constants in common use (ISO 2720:1974 ranges): flat 250 lx·s, dome 340 lx·s, reflected 12.5 cd·s/m². */
export const USUAL_DISC: Receptor = { kind: "disc", constant: 250 };
export const USUAL_DOME: Receptor = { kind: "dome", constant: 340 };
export const USUAL_K = 12.5;

/** Av = 2·log2 N. */
export const avOf = (aperture: FNumber): Ev => ev(2 * Math.log2(aperture));
/** N = 2^(Av/2). */
export const apertureOf = (av: Ev): FNumber => fNumber(2 ** (av / 2));

/** What the meter shows (Av) for a luminous exposure; −Infinity for none. Believed Av = shown + offset. */
export function flashReading(exposure: LuxSeconds, speed: Iso, receptor: Receptor): Ev {
  return ev(Math.log2((exposure * speed) / receptor.constant) - (receptor.offsetStops ?? 0));
}

/** The luminous exposure behind a reading: H = C·2^(Av + offset)/S. */
export function flashExposure(av: Ev, speed: Iso, receptor: Receptor): LuxSeconds {
  return luxSeconds((receptor.constant * 2 ** (av + (receptor.offsetStops ?? 0))) / speed);
}

/** What the meter shows (Av) for an illuminance over the shutter time. */
export function continuousReading(illuminance: Lux, time: Seconds, speed: Iso, receptor: Receptor): Ev {
  return flashReading(luxSeconds(illuminance * time), speed, receptor);
}

/** The illuminance behind a reading at a shutter time: E = C·2^(Av + offset)/(S·t). */
export function illuminanceOf(av: Ev, time: Seconds, speed: Iso, receptor: Receptor): Lux {
  return lux(flashExposure(av, speed, receptor) / time);
}

/** EV at ISO 100 of an illuminance: log2(100·E/C); E/2.5 for C 250, E/3.4 for C 340. */
export const ev100OfLux = (illuminance: Lux, receptor: Receptor): Ev =>
  ev(Math.log2((100 * illuminance) / receptor.constant));
export const luxOfEv100 = (ev100: Ev, receptor: Receptor): Lux => lux((receptor.constant * 2 ** ev100) / 100);

/** EV at ISO 100 of an exposure setting: log2(N²/t) − log2(S/100). */
export const ev100OfSetting = (aperture: FNumber, time: Seconds, speed: Iso): Ev =>
  ev(Math.log2((aperture * aperture) / time) - Math.log2(speed / 100));

/** Luminance (cd/m²) that a reflected meter of constant K reads as N at t: L = K·N²/(S·t). */
export const luminanceOf = (aperture: FNumber, time: Seconds, speed: Iso, k: number = USUAL_K): number =>
  (k * aperture * aperture) / (speed * time);

/** The reflectance for which a spot and an incident reading agree: R = π·K/C. */
export const agreeingReflectance = (k: number, c: number): number => (Math.PI * k) / c;

/** Stops over the working aperture that a surface of reflectance ρ must be lit to show a display-linear tone: log2(Y/ρ). */
export const litForTone = (tone: number, reflectance: number): Stops => stops(Math.log2(tone / reflectance));

export const footcandlesOf = (illuminance: Lux): number => illuminance / LUX_PER_FOOTCANDLE;
export const luxOfFootcandles = (footcandles: number): Lux => lux(footcandles * LUX_PER_FOOTCANDLE);

/** Stops by which one constant reads below another in the same light: log2(C_a/C_b). */
export const constantDifference = (a: Receptor, b: Receptor): number => Math.log2(a.constant / b.constant);

/**
 * Stops from a white diffuse surface (ρ = 1) facing the light up to sensor saturation 78/S, with focal-plane
 * exposure q·L/N², q = 0.65 (ISO 12232, from memory; Lagarde & de Rousiers 2014).
 */
export function headroomOfWhite(c: number, q = 0.65): number {
  return Math.log2(78 / ((q * c) / Math.PI));
}

/** ISO 12232 mid exposure over saturation exposure, 10/78 (from memory). */
export const MID_OVER_SATURATION: number = 10 / 78;

export interface Apex {
  readonly av: number;
  readonly tv: number;
  readonly sv: number;
  /** Av + Tv. */
  readonly ev: number;
  /** Bv or Iv, whichever the metadata asks for: Ev − Sv. */
  readonly bv: number;
}

/** APEX values for image metadata only (ASA PH2.5-1960, from memory; Sv = log2(S/3.125)). */
export function apex(aperture: FNumber, time: Seconds, speed: Iso): Apex {
  const av = avOf(aperture);
  const tv = -Math.log2(time);
  const sv = Math.log2(speed / 3.125);
  return { av, tv, sv, ev: av + tv, bv: av + tv - sv };
}
