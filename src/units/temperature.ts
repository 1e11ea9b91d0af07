/**
 * Colour temperature, K, and its reciprocal in mired, 10⁶/K, on which filters add. Shifts are signed: positive warms.
 */

import { foldText, minus, quote, refuse, requireFinite, roundHalfUp, roundSigned, textFault } from "./notation.ts";
import { failure, type Result, success } from "./result.ts";
import { type Kelvin, kelvin, type Mired, mired } from "./unit.ts";

/** Light that people set a camera to. */
export const LOWEST_K: Kelvin = kelvin(1000);
export const HIGHEST_K: Kelvin = kelvin(40_000);

export const miredOfKelvin = (k: Kelvin): Mired => mired(1e6 / k);
export const kelvinOfMired = (m: Mired): Kelvin => kelvin(1e6 / m);

/** A colour temperature: "5600 K", "5600", "179 mired". Faults: temperature-empty, -too-long, -form, -range. */
export function parseTemperature(text: string, where = "temperature"): Result<Kelvin> {
  const mend = "Write a colour temperature such as 5600 K or 179 mired.";
  const bare = textFault("temperature", text, where, mend);
  if (bare) return failure(bare);
  const parts = /^(\d+(?:\.\d+)?) ?(k|kelvin|mireds?|)$/.exec(foldText(text));
  if (!parts) return refuse("temperature-form", `${quote(text)} is not a colour temperature`, where, mend);
  const number = Number(parts[1]);
  const value = parts[2]?.startsWith("mired") ? kelvinOfMired(mired(number)) : kelvin(number);
  if (value >= LOWEST_K && value <= HIGHEST_K) return success(value);
  const range = `Write ${LOWEST_K} K to ${HIGHEST_K} K (${1e6 / HIGHEST_K} to ${1e6 / LOWEST_K} mired).`;
  return refuse("temperature-range", `${quote(text)} is no colour temperature in use`, where, range);
}

/** A filter's shift: "+159", "−137 mired", "0". Faults: mired-empty, -too-long, -form, -range (beyond ±1000). */
export function parseMiredShift(text: string, where = "mired"): Result<Mired> {
  const mend = "Write a shift such as +159 mired or -137 mired.";
  const bare = textFault("mired", text, where, mend);
  if (bare) return failure(bare);
  const parts = /^([+-]?) ?(\d+(?:\.\d+)?) ?(?:mireds?)?$/.exec(foldText(text));
  if (!parts) return refuse("mired-form", `${quote(text)} is not a shift in mired`, where, mend);
  const size = Number(parts[2]);
  if (size > 1000)
    return refuse("mired-range", `${quote(text)} is beyond any filter`, where, "Write at most 1000 mired.");
  return success(mired(parts[1] === "-" ? 0 - size : size));
}

/** "5600 K", to the kelvin. */
export function printKelvin(k: Kelvin): string {
  requireFinite(k, "The colour temperature");
  return `${roundHalfUp(k)} K`;
}

/** "179 mired", to the mired. */
export function printMired(m: Mired): string {
  requireFinite(m, "The colour temperature");
  return `${roundHalfUp(m)} mired`;
}

/** "+159 mired", "−137 mired", "0 mired". */
export function printMiredShift(shift: Mired, options: { readonly ascii?: boolean } = {}): string {
  requireFinite(shift, "The shift");
  const size = roundSigned(shift);
  const sign = size < 0 ? minus(options.ascii ?? false) : size > 0 ? "+" : "";
  return `${sign}${Math.abs(size)} mired`;
}
