/** Numbers as the command line shows them, and plain numbers read from its options. */

import { ev, failure, fault, printReading, printStops, type Result, stops, success } from "../units/index.ts";
import { quoted } from "./print.ts";

/** "f/5.6⁷"; no light is "dark". */
export const readingText = (av: number | null): string => (av === null ? "dark" : `f/${printReading(ev(av))}`);

/** "+0.7", "−1.6", "0.0". */
export const stopsText = (difference: number): string => printStops(stops(difference));

/** "±0.1". */
export const errorText = (sigmaStops: number): string => `±${sigmaStops.toFixed(1)}`;

/** "1.25 m", with the true minus sign. */
export const metresText = (metres: number): string => `${metres.toFixed(2).replace("-", "−")} m`;

/** At most so many digits, no exponent, no trailing zeros. */
export const digits = (value: number, most: number): string =>
  String(Number(value.toPrecision(most))).replace("-", "−");

/** A plain number within bounds. Faults: number-form, number-range. */
export function readNumber(text: string, where: string, low: number, high: number): Result<number> {
  const mend = `Write a number from ${low} to ${high}.`;
  const folded = text.trim().replace(",", ".").replace("−", "-");
  if (!/^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(folded)) {
    return failure(fault("number-form", `${quoted(text)} is not a number`, where, mend));
  }
  const value = Number(folded);
  if (value >= low && value <= high) return success(value);
  return failure(fault("number-range", `${quoted(text)} is out of range`, where, mend));
}

/** The same for whole numbers. */
export function readWhole(text: string, where: string, low: number, high: number): Result<number> {
  const read = readNumber(text, where, low, high);
  if (!read.ok || Number.isInteger(read.value)) return read;
  return failure(
    fault(
      "number-whole",
      `${quoted(text)} is not a whole number`,
      where,
      `Write a whole number from ${low} to ${high}.`,
    ),
  );
}
