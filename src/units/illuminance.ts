/**
 * Illuminance in lux and in footcandles: 1 fc = 1/0.3048² lx = 10.7639 lx, exact.
 */

import { foldText, quote, refuse, requireFinite, textFault } from "./notation.ts";
import { failure, type Result, success } from "./result.ts";
import { type Lux, lux } from "./unit.ts";

export const LUX_PER_FOOTCANDLE: number = 1 / 0.3048 ** 2;

export const footcandlesOfLux = (e: Lux): number => e / LUX_PER_FOOTCANDLE;
export const luxOfFootcandles = (fc: number): Lux => lux(fc * LUX_PER_FOOTCANDLE);

/** An illuminance: "500 lx", "500", "50 fc". Faults: lux-empty, -too-long, -form, -range (beyond 10 million lx). */
export function parseIlluminance(text: string, where = "illuminance"): Result<Lux> {
  const mend = "Write an illuminance such as 500 lx or 50 fc.";
  const bare = textFault("lux", text, where, mend);
  if (bare) return failure(bare);
  const parts = /^(\d+(?:\.\d+)?|\.\d+) ?(lx|lux|fc|footcandles?|)$/.exec(foldText(text));
  if (!parts) return refuse("lux-form", `${quote(text)} is not an illuminance`, where, mend);
  const number = Number(parts[1]);
  const value = parts[2]?.startsWith("f") ? luxOfFootcandles(number) : lux(number);
  if (value <= 1e7) return success(value);
  return refuse("lux-range", `${quote(text)} is brighter than any light here`, where, "Write at most 10000000 lx.");
}

/** "500 lx", "8.4 lx", "46.5 fc": three digits, more where the whole number has more. */
export function printIlluminance(e: Lux, units: "lx" | "fc" = "lx"): string {
  requireFinite(e, "The illuminance");
  const value = units === "fc" ? footcandlesOfLux(e) : e;
  const text = value >= 100 ? value.toFixed(0) : String(Number(value.toPrecision(3)));
  return `${text} ${units}`;
}
