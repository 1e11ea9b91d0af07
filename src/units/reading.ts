/**
 * Readings as people write them. A meter shows the full-stop mark below the reading in large digits and the
 * tenths above it in a small raised digit: 5.6⁷ means Av = 5 + 0.7, N = 2^(5.7/2) = 7.210, not f/5.67
 * (common practice, no source). A typed 5.67 may mean either, so it is never guessed. Av in EV; thirds and
 * tenths are exact.
 */

import { foldText, quote, refuse, requireFinite, roundHalfUp, superscript, textFault, vulgar } from "./notation.ts";
import { type Fault, failure, type Result, success } from "./result.ts";
import { avOfFNumber, fullMarkLabel, HIGHEST_FULL, LOWEST_FULL, markNamed, type ScaleStep } from "./scale.ts";
import { type Ev, ev, fNumber } from "./unit.ts";

/** A reading, how it was understood, and what was typed. */
export interface ParsedReading {
  readonly av: Ev;
  /** tenths: full mark and tenths. fraction: full mark and a fraction. mark: a mark of the scale. literal: the f-number itself. */
  readonly as: "tenths" | "fraction" | "mark" | "literal";
  readonly typed: string;
}

export interface ReadingOptions {
  /** The scale whose marks a plain number may name; third unless said. */
  readonly scale?: ScaleStep;
  /** refuse (command line, library): a fault. ask (page): a fault that carries the candidates, see `isReadingQuestion`. */
  readonly ambiguity?: "refuse" | "ask";
  /** Named in faults; "reading" unless said. */
  readonly where?: string;
}

/** The fault of an ambiguous text in ask mode: a question with the two readings that it may mean, tenths first. */
export interface ReadingQuestion extends Fault {
  readonly code: "reading-question";
  readonly candidates: readonly [tenths: ParsedReading, literal: ParsedReading];
}

export const isReadingQuestion = (f: Fault): f is ReadingQuestion => f.code === "reading-question" && "candidates" in f;

/** Readings lie between f/0.35 and f/256⁹, half a tenth of grace at both ends. */
export const LOWEST_READING: Ev = ev(LOWEST_FULL);
export const HIGHEST_READING: Ev = ev(HIGHEST_FULL + 0.9);

/**
 * One reading. Accepts "5.6⁷", "5.6^7", "5.6 7", "5.6+7/10", "5.6 .7", "5.6+0.7", "5.6 1/3", "5.6+⅔", "5.6½", marks of
 * the scale ("7.1"), other decimals as literal f-numbers, "N=5.67" always literal; a leading f, f/ or ƒ, decimal
 * commas and any case. Faults: reading-empty, -too-long, -form, -mark, -tenth, -fraction, -range, and for a full
 * mark with one more digit -ambiguous (refuse) or -question (ask).
 */
export function parseReading(text: string, options: ReadingOptions = {}): Result<ParsedReading> {
  const where = options.where ?? "reading";
  const found = understand(text, options.scale ?? "third", where);
  if (!found.ok) return found;
  const [first, second] = found.value;
  if (second === undefined) return success(first);
  const inTenths = printReading(first.av, { ascii: true });
  const what = `${quote(text)} can mean the reading ${inTenths} or the f-number ${literalOf(second)}`;
  const mend = `Write ${inTenths} or N=${literalOf(second)}.`;
  if (options.ambiguity !== "ask") return refuse("reading-ambiguous", what, where, mend);
  const asked: ReadingQuestion = { code: "reading-question", what, where, mend, candidates: [first, second] };
  return failure(asked);
}

/** Everything that a text may mean on this scale: none where it is no reading, two where it is ambiguous (tenths first). */
export function readingCandidates(text: string, scale: ScaleStep = "third"): readonly ParsedReading[] {
  const found = understand(text, scale, "reading");
  return found.ok ? found.value : [];
}

export interface PrintReadingOptions {
  /** tenth unless said. */
  readonly step?: "tenth" | "third";
  /** Show a zero: 8.0⁰. On unless said otherwise, since a meter in tenths always shows it; thirds never show it. */
  readonly zero?: boolean;
  /** 5.6^7 and 5.6+1/3 instead of 5.6⁷ and 5.6⅓. */
  readonly ascii?: boolean;
}

/** A reading rounded once, for people: floor(10·Av + 0.5 + 1e-9) tenths, or the same for thirds. No leading "f/". */
export function printReading(av: Ev, options: PrintReadingOptions = {}): string {
  const ascii = options.ascii ?? false;
  if (options.step === "third") {
    const { mark, third } = thirdParts(av);
    if (third === 0) return mark;
    return ascii ? `${mark}+${third}/3` : mark + vulgar(`${third}/3`);
  }
  const { mark, tenth } = readingParts(av);
  if (tenth === 0 && options.zero === false) return mark;
  return ascii ? `${mark}^${tenth}` : mark + superscript(tenth);
}

/** The full mark below the rounded reading and the tenths above it, for setting the digits by hand. Works below f/1. */
export function readingParts(av: Ev): { readonly mark: string; readonly tenth: number } {
  requireFinite(av, "Av");
  const k = roundHalfUp(10 * av);
  const full = Math.floor(k / 10);
  return { mark: fullMarkLabel(full), tenth: k - 10 * full };
}

/** The same in thirds. */
export function thirdParts(av: Ev): { readonly mark: string; readonly third: number } {
  requireFinite(av, "Av");
  const k = roundHalfUp(3 * av);
  const full = Math.floor(k / 3);
  return { mark: fullMarkLabel(full), third: k - 3 * full };
}

/** "f 5.6 and 7 tenths", "f 8", "f 5.6 and a third": as one says it across a set. */
export function spokenReading(av: Ev, step: "tenth" | "third" = "tenth"): string {
  if (step === "third") {
    const { mark, third } = thirdParts(av);
    return `f ${spokenMark(mark)}${third === 0 ? "" : third === 1 ? " and a third" : " and two thirds"}`;
  }
  const { mark, tenth } = readingParts(av);
  if (tenth === 0) return `f ${spokenMark(mark)}`;
  return `f ${spokenMark(mark)} and ${tenth} ${tenth === 1 ? "tenth" : "tenths"}`;
}

/** Tenths of a stop to thirds: 0, 1 → 0; 2, 3, 4 → 1; 5 (a tie, upward) to 8 → 2; 9 → 3, the next full stop. */
export const thirdsOfTenths = (tenths: number): number => roundHalfUp((3 * tenths) / 10);

const MEND = "Write a mark and tenths such as 5.6^7, a mark such as 7.1, or an f-number such as N=6.05.";

const spokenMark = (mark: string): string => mark.replace(/\.0$/, "");

const literalOf = (reading: ParsedReading): string => foldText(reading.typed).replace(FRONT, "");

/** "f", "f/" or "ƒ" before the number. */
const FRONT = /^[fƒ] ?\/? ?/;

type Candidates = readonly [ParsedReading] | readonly [tenths: ParsedReading, literal: ParsedReading];

function understand(text: string, scale: ScaleStep, where: string): Result<Candidates> {
  const bare = textFault("reading", text, where, MEND);
  if (bare) return failure(bare);
  const folded = foldText(text);
  const named = /^n ?= ?(\d+(?:\.\d+)?)$/.exec(folded);
  if (named) return literal(Number(named[1]), text, where);
  const parts = /^(\d+(?:\.\d+)?)(.*)$/.exec(folded.replace(FRONT, ""));
  if (!parts) return refuse("reading-form", `${quote(text)} is not a reading`, where, MEND);
  const [, digits = "", rest = ""] = parts;
  return rest === "" ? plain(digits, scale, text, where) : marked(Number(digits), rest, text, where);
}

/** A number alone: a mark of the scale, or else a literal f-number that may be a mark and a digit run together. */
function plain(digits: string, scale: ScaleStep, typed: string, where: string): Result<Candidates> {
  const mark = markNamed(Number(digits), scale);
  if (mark) return success([{ av: mark.av, as: "mark", typed }]);
  const asTyped = literal(Number(digits), typed, where);
  if (!asTyped.ok) return asTyped;
  const av = runTogether(digits);
  return av === null ? asTyped : success([{ av, as: "tenths", typed }, asTyped.value[0]]);
}

/**
 * A full mark followed by one more digit: 5.67, 8.5, 11.4, 8.07. Without a point (113, 85) only from f/4 up: an
 * f/12 is no slip for 1.0². Null where the digits have another shape.
 */
function runTogether(digits: string): Ev | null {
  for (let full = LOWEST_FULL; full <= HIGHEST_FULL; full++) {
    const label = fullMarkLabel(full);
    const short = label.replace(/\.0$/, "");
    const heads = label.includes(".") && short === label ? [label] : [`${short}.`, `${short}.0`];
    if (full >= 4) heads.push(short);
    if (heads.some((head) => digits.length === head.length + 1 && digits.startsWith(head))) {
      return ev((10 * full + Number(digits.at(-1))) / 10);
    }
  }
  return null;
}

/** A full mark and what stands after it. */
function marked(nominal: number, rest: string, typed: string, where: string): Result<Candidates> {
  const tail = readTail(rest);
  if (tail === null) return refuse("reading-form", `${quote(typed)} is not a reading`, where, MEND);
  if ("code" in tail) return refuse(tail.code, `${quote(typed)} ${tail.what}`, where, tail.mend);
  const mark = markNamed(nominal, "full");
  if (!mark) {
    const what = `${nominal} is not a full-stop mark, so nothing can be counted above it`;
    return refuse("reading-mark", what, where, "Count from 1.4, 2, 2.8, 4, 5.6, 8, 11, 16 and so on, as 5.6^7.");
  }
  const av = ev((mark.av * tail.parts + tail.count) / tail.parts);
  return success([{ av, as: tail.parts === 10 ? "tenths" : "fraction", typed }]);
}

/** `count` of `parts` of a stop above the mark. */
type Tail = { readonly count: number; readonly parts: number } | Pick<Fault, "code" | "what" | "mend">;

function readTail(rest: string): Tail | null {
  const digit = /^(?: ?\^ ?| )(\d+)$/.exec(rest);
  if (digit) return tenths(Number(digit[1]));
  const decimal = /^(?: ?\+ ?| )(0?\.\d+)$/.exec(rest);
  if (decimal) return tenths(10 * Number(decimal[1]));
  const fraction = /^(?: ?\+ ?| )(\d+)\/(\d+)$/.exec(rest);
  if (!fraction) return null;
  const [count, parts] = [Number(fraction[1]), Number(fraction[2])];
  if (parts === 10) return tenths(count);
  if ((parts === 2 || parts === 3) && count < parts) return { count, parts };
  return {
    code: "reading-fraction",
    what: "has a fraction that is not on the scale",
    mend: "Write 1/3, 1/2, 2/3 or tenths such as 7/10.",
  };
}

function tenths(count: number): Tail {
  const whole = Math.round(count);
  if (Math.abs(count - whole) < 1e-9 && whole <= 9) return { count: whole, parts: 10 };
  return {
    code: "reading-tenth",
    what: "has more than one digit of tenths",
    mend: "Tenths run from 0 to 9; write 5.6^7.",
  };
}

function literal(n: number, typed: string, where: string): Result<readonly [ParsedReading]> {
  const av = avOfFNumber(fNumber(n));
  if (av >= LOWEST_READING - 0.05 && av < HIGHEST_READING + 0.05) return success([{ av, as: "literal", typed }]);
  return refuse("reading-range", `${quote(typed)} is off the scale`, where, "Readings run from f/0.35 to f/256.");
}
