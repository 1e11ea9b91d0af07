/**
 * Signed differences on the exposure scale as people write them: "−1.6", "up 0.7", "3 under", "+1/3". One stop is
 * a factor 2 in light; up and over are positive, down and under negative. Ratios are photometry's.
 */

import {
  foldText,
  minus,
  parseAmount,
  plainNumber,
  quote,
  refuse,
  requireFinite,
  roundSigned,
  textFault,
  vulgar,
} from "./notation.ts";
import { failure, type Result, success } from "./result.ts";
import { type Stops, stops } from "./unit.ts";

/** No difference that a photographer meets is larger. */
export const MOST_STOPS = 30;

export interface PlaceOptions {
  /** Named in faults. */
  readonly where?: string;
}

/**
 * A signed difference. Accepts a number or fraction with a sign ("+0.7", "−1 2/3", "⅓"), with a word before or
 * after it ("up 0.7", "3 under", "1.5 stops down"), and "level" for none. Without sign or word it is positive.
 * Faults: stops-empty, -too-long, -form, -sign-twice (a sign and a word), -range (beyond 30).
 */
export function parseStops(text: string, options: PlaceOptions = {}): Result<Stops> {
  const where = options.where ?? "stops";
  const bare = textFault("stops", text, where, MEND);
  if (bare) return failure(bare);
  const folded = foldText(text);
  if (/^(level|even|no change)$/.test(folded)) return success(stops(0));
  // A sign or a word may stand before the amount, a word after it, never two of them.
  const parts = /^(?:(up|over|down|under)\b ?)?([+-] ?)?([\d./ +]*\d)(?: ?stops?\b)?(?: ?(up|over|down|under))?$/.exec(
    folded,
  );
  const amount = parts ? parseAmount(parts[3] ?? "") : null;
  if (!parts || amount === null)
    return refuse("stops-form", `${quote(text)} is not a difference in stops`, where, MEND);
  const [, before, sign, , after] = parts;
  const said = [before, sign?.trim(), after].filter((word) => word !== undefined);
  if (said.length > 1) return refuse("stops-sign-twice", `${quote(text)} says twice which way`, where, MEND);
  if (amount > MOST_STOPS) {
    return refuse(
      "stops-range",
      `${quote(text)} is beyond ${MOST_STOPS} stops`,
      where,
      `Write at most ${MOST_STOPS} stops.`,
    );
  }
  const negative = said[0] === "-" || said[0] === "down" || said[0] === "under";
  return success(stops(negative && amount !== 0 ? -amount : amount));
}

/**
 * How far under the main a light shall be, positive under: "3 under", "3" (the usual case needs no word), "−3", "0.5 over".
 * The inverse of `printUnder`, with its sign turned. Faults as `parseStops`.
 */
export function parseUnder(text: string, options: PlaceOptions = {}): Result<Stops> {
  const read = parseStops(text, options);
  if (!read.ok) return read;
  const bare = /^[\d./ ]+( ?stops?)?$/.test(foldText(text));
  return success(stops(bare ? read.value : 0 - read.value));
}

export interface PrintStopsOptions {
  /** tenth unless said. */
  readonly step?: "tenth" | "third";
  /** A plus before positive values; on unless switched off. */
  readonly plus?: boolean;
  readonly ascii?: boolean;
}

/** "+0.7", "−1.6", "0.0"; in thirds "+⅓", "−1⅔", "0" (ascii "+1/3", "-1 2/3"). Rounded by size, so ±x print alike. */
export function printStops(difference: Stops, options: PrintStopsOptions = {}): string {
  requireFinite(difference, "The difference");
  const ascii = options.ascii ?? false;
  const perStop = options.step === "third" ? 3 : 10;
  const count = roundSigned(difference * perStop);
  const sign = count < 0 ? minus(ascii) : count > 0 && options.plus !== false ? "+" : "";
  const size = Math.abs(count);
  return sign + (perStop === 3 ? printThirds(size, ascii) : (size / 10).toFixed(1));
}

/** What to do at the dial: "up 0.7", "down 1.6", "no change". */
export function printTurn(difference: Stops, options: PrintStopsOptions = {}): string {
  return inWords(difference, options, (size, up) => `${up ? "up" : "down"} ${size}`, "no change");
}

/** How a light stands to another: "3 under", "0.5 over", "level". Negative is under. */
export function printUnder(difference: Stops, options: PrintStopsOptions = {}): string {
  return inWords(difference, options, (size, up) => `${size} ${up ? "over" : "under"}`, "level");
}

const MEND = "Write a difference such as +0.7, -1 1/3, down 0.5 or 3 under.";

function printThirds(thirds: number, ascii: boolean): string {
  const [whole, rest] = [Math.floor(thirds / 3), thirds % 3];
  if (rest === 0) return String(whole);
  const fraction = ascii ? `${rest}/3` : vulgar(`${rest}/3`);
  return whole === 0 ? fraction : `${whole}${ascii ? " " : ""}${fraction}`;
}

function inWords(
  difference: Stops,
  options: PrintStopsOptions,
  phrase: (size: string, up: boolean) => string,
  none: string,
): string {
  const shown = printStops(stops(Math.abs(difference)), { ...options, plus: false });
  if (/^0(\.0)?$/.test(shown)) return none;
  return phrase(options.step === "third" ? shown : plainNumber(Number(shown), 1), difference > 0);
}
