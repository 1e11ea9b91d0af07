/**
 * Reciprocal colour temperature: M = 10⁶/T in mired, T in kelvin. Shifts of gels add in mired, and equal
 * steps in mired look about equally large (Priest 1932).
 */

import { failure, fault, type Kelvin, kelvin, type Mired, mired, type Result, success } from "../units/index.ts";

/** 10⁶/T. */
export const miredOfKelvin = (temperature: Kelvin): Mired => mired(1e6 / temperature);

/** 10⁶/M. */
export const kelvinOfMired = (reciprocal: Mired): Kelvin => kelvin(1e6 / reciprocal);

/** The shift that turns light of `from` into light of `to`; positive warms. */
export const miredShift = (from: Kelvin, to: Kelvin): Mired => mired(1e6 / to - 1e6 / from);

/**
 * Colour temperature behind a filter of the given shift. Fault `colour-beyond-blue` when the light would
 * be bluer than a radiator of endless temperature (sum of mireds 0 or less).
 */
export function shiftedKelvin(light: Kelvin, shift: Mired, where = "gel"): Result<Kelvin> {
  const sum = 1e6 / light + shift;
  if (sum > 0) return success(kelvin(1e6 / sum));
  return failure(
    fault(
      "colour-beyond-blue",
      `${Math.round(light)} K with ${Math.round(shift)} mired is bluer than any colour temperature`,
      where,
      "Take a weaker blue gel.",
    ),
  );
}
