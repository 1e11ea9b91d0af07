/**
 * What all the notations of this room share: folding the many ways to type one sign into one, amounts with
 * fractions, and the plain number as it is printed. Not exported from the room.
 */

import { type Fault, failure, fault } from "./result.ts";

/** Longer texts are refused unread: no notation here needs more. */
export const LONGEST_TEXT = 80;

/** The house rule for rounding: half goes up, and 1e-9 keeps 0.4999999999 from falling down. */
export const roundHalfUp = (x: number): number => Math.floor(x + 0.5 + 1e-9);

/** Rounds the size and keeps the sign, for signed differences: −1.65 and 1.65 print alike. Never −0. */
export const roundSigned = (x: number): number => (x < 0 ? 0 - roundHalfUp(-x) : roundHalfUp(x)) + 0;

const SUPERSCRIPTS = "⁰¹²³⁴⁵⁶⁷⁸⁹";

const VULGAR: Readonly<Record<string, string>> = {
  "½": "1/2",
  "⅓": "1/3",
  "⅔": "2/3",
  "¼": "1/4",
  "¾": "3/4",
  "⅛": "1/8",
  "⅜": "3/8",
  "⅝": "5/8",
  "⅞": "7/8",
  "⅒": "1/10",
};

export const superscript = (digit: number): string => SUPERSCRIPTS[digit] ?? "";

/** The one-character fraction for "1/3", or the text itself where there is none. */
export function vulgar(fraction: string): string {
  for (const [glyph, text] of Object.entries(VULGAR)) if (text === fraction) return glyph;
  return fraction;
}

/**
 * One spelling for signs that have several: decimal commas, minus signs, primes, spaces, raised digits
 * ("⁷" becomes "^7") and one-character fractions ("½" becomes " 1/2"). Lower case, trimmed.
 */
export function foldText(text: string): string {
  return text
    .replace(/[⁰¹²³⁴⁵⁶⁷⁸⁹]/g, (glyph) => `^${SUPERSCRIPTS.indexOf(glyph)}`)
    .replace(/[½⅓⅔¼¾⅛⅜⅝⅞⅒]/g, (glyph) => ` ${VULGAR[glyph]}`)
    .replace(/[\u2212\u2013\u2010\u2011]/g, "-")
    .replace(/\u2044/g, "/")
    .replace(/[\u2032\u2019]/g, "'")
    .replace(/[\u2033\u201d]/g, '"')
    .replace(/''/g, '"')
    .replace(/,(?=\d)/g, ".")
    .replace(/\s+/g, " ")
    .trim()
    .toLowerCase();
}

/** "0.7", ".7", "7/10", "1 1/3", "1+1/3" as a number of 0 or more; null where the text is none of these. Text already folded. */
export function parseAmount(text: string): number | null {
  const t = text.trim();
  if (/^(\d+(\.\d+)?|\.\d+)$/.test(t)) return Number(t);
  const mixed = /^(?:(\d+)(?: ?\+ ?| ))?(\d+)\/(\d+)$/.exec(t);
  if (!mixed) return null;
  const below = Number(mixed[3]);
  // One division, so that 1 2/3 is exactly 5/3.
  return below === 0 ? null : (Number(mixed[1] ?? 0) * below + Number(mixed[2])) / below;
}

/** At most `digits` decimals, trailing zeros dropped, "." as the point: 3 → "3", 2.50 → "2.5". */
export const plainNumber = (x: number, digits: number): string => String(Number(x.toFixed(digits)) + 0);

/** The minus sign that the reader asked for. */
export const minus = (ascii: boolean): string => (ascii ? "-" : "−");

/** A text as it is quoted in a fault: bounded, control characters shown as "·". */
export function quote(text: string): string {
  const shown = text.length > 40 ? `${text.slice(0, 40)}…` : text;
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is being taken out
  return `"${shown.replace(/[\u0000-\u001f\u007f]/g, "·")}"`;
}

/** A failure with one fault. */
export const refuse = (code: string, what: string, where: string, mend: string): ReturnType<typeof failure> =>
  failure(fault(code, what, where, mend));

/** The two faults every parser starts with: nothing there, or far too much. Codes `NAME-empty`, `NAME-too-long`. */
export function textFault(name: string, text: string, where: string, mend: string): Fault | null {
  if (text.length > LONGEST_TEXT) {
    return fault(`${name}-too-long`, `${quote(text)} is longer than ${LONGEST_TEXT} characters`, where, mend);
  }
  return text.trim() === "" ? fault(`${name}-empty`, "Nothing is written", where, mend) : null;
}

/** Printing a number that is none is a mistake in the program, not of the user. */
export function requireFinite(x: number, name: string): void {
  if (!Number.isFinite(x)) throw new RangeError(`${name} must be a finite number, not ${x}`);
}
