/**
 * Dials as heads show them and people write them: "1/16+0.3", "⅛+⅓", "−3.7", "6.3", "12.5 Ws", "35 %". Text in,
 * stops relative to full out, and back. Common practice, no published source.
 */

import { type DialScale, dialRange, exactStep, percentOfStops, quantiseDial, stopsOfPercent } from "./dial.ts";
import {
  foldText,
  minus,
  parseAmount,
  plainNumber,
  quote,
  refuse,
  requireFinite,
  roundHalfUp,
  roundSigned,
  textFault,
  vulgar,
} from "./notation.ts";
import { failure, type Result, success } from "./result.ts";
import { type Stops, stops } from "./unit.ts";

export interface DialOptions {
  /** Named in faults; "dial" unless said. */
  readonly where?: string;
}

/**
 * A dial in the notation of its own head, or "full". The value returned is a position of the head, exactly.
 * Faults: dial-empty, -too-long, -form, -fraction (1/12), -above-full, -below-lowest, -step (between positions).
 */
export function parseDial(text: string, scale: DialScale, options: DialOptions = {}): Result<Stops> {
  const where = options.where ?? "dial";
  const mend = `Write it as the head does, for example ${example(scale)}.`;
  const bare = textFault("dial", text, where, mend);
  if (bare) return failure(bare);
  const folded = foldText(text);
  if (folded === "full") return success(stops(0));
  const wanted = READ[scale.kind](folded, scale);
  if (wanted === null) return refuse("dial-form", `${quote(text)} is not a position of this dial`, where, mend);
  if (wanted === "fraction") {
    return refuse("dial-fraction", `${quote(text)} is not 1 over 1, 2, 4, 8 and so on`, where, mend);
  }
  return onScale(wanted, scale, quote(text), where);
}

export interface PrintDialOptions {
  /** "-3.7" and "1/8+1/3" instead of "−3.7" and "⅛+⅓". */
  readonly ascii?: boolean;
}

/**
 * The dial as its head shows it, rounded to the head's own step. Not held to its range: what is out of reach
 * prints as it is, so `quantiseDial` first. Throws RangeError on a number that is none.
 */
export function printDial(position: Stops, scale: DialScale, options: PrintDialOptions = {}): string {
  requireFinite(position, "The dial");
  const ascii = options.ascii ?? false;
  switch (scale.kind) {
    case "fraction":
      return printFraction(position, scale.stepStops, ascii);
    case "below-full":
      return printDecimal(snap(position, scale), decimalsOf(scale.stepStops), ascii);
    case "number":
      return printDecimal(scale.top + snap(position, scale), decimalsOf(scale.stepStops), ascii);
    case "watt-seconds":
      return `${printWs(scale.fullWs * 2 ** snap(position, scale))} Ws`;
    case "percent":
      return `${printPercent(position, scale)} %`;
  }
}

type Kind = DialScale["kind"];
/** Stops relative to full as written, before they are held against the head's positions. */
type Read = (folded: string, scale: DialScale) => number | "fraction" | null;

const READ: Readonly<Record<Kind, Read>> = {
  fraction: readFraction,
  "below-full": readBelowFull,
  number: readNumber,
  "watt-seconds": readWs,
  percent: readPercent,
};

/** "1/16", then stops up or down from there: "+0.3", "+1/3", " .3", "-0.3". */
function readFraction(folded: string): number | "fraction" | null {
  const parts = /^1 ?\/ ?(\d{1,5})(?: ?([+-]) ?([\d./]+)| ([\d./]+))?$/.exec(folded);
  if (!parts) return null;
  const halvings = Math.log2(Number(parts[1]));
  if (!Number.isInteger(halvings)) return "fraction";
  const written = parts[3] ?? parts[4];
  const extra = written === undefined ? 0 : parseAmount(written);
  if (extra === null || extra >= 1) return null;
  return -halvings + (parts[2] === "-" ? -extra : extra);
}

/** "-3.7", "-3 2/3", and "3.7", which on this dial can only be below. */
function readBelowFull(folded: string): number | null {
  const parts = /^([+-]?) ?(.+)$/.exec(folded);
  const amount = parts ? parseAmount(parts[2] ?? "") : null;
  if (!parts || amount === null) return null;
  return parts[1] === "+" ? amount : 0 - amount;
}

function readNumber(folded: string, scale: DialScale): number | null {
  const parts = /^(-?) ?(\d[\d./ ]*)$/.exec(folded);
  const amount = parts ? parseAmount(parts[2] ?? "") : null;
  if (!parts || amount === null || scale.kind !== "number") return null;
  return (parts[1] === "-" ? -amount : amount) - scale.top;
}

function readWs(folded: string, scale: DialScale): number | null {
  const parts = /^(\d+(?:\.\d+)?|\.\d+) ?(?:w ?s|w·s|j)?$/.exec(folded);
  if (!parts || scale.kind !== "watt-seconds" || Number(parts[1]) === 0) return null;
  return Math.log2(Number(parts[1]) / scale.fullWs);
}

function readPercent(folded: string, scale: DialScale): number | null {
  const parts = /^(\d+(?:\.\d+)?) ?%?$/.exec(folded);
  if (!parts || scale.kind !== "percent" || Number(parts[1]) === 0) return null;
  const percent = Number(parts[1]);
  // Above full there is no measured light; any value above 0 will do to be refused.
  return percent > 100 ? Math.log2(percent / 100) : stopsOfPercent(percent, scale.table);
}

function onScale(wanted: number, scale: DialScale, quoted: string, where: string): Result<Stops> {
  const { lowest } = dialRange(scale);
  // The ends are held closely, also where a head rounds its watt-seconds: 410 is not full on a 400 Ws head.
  const grace = graceOf(scale);
  const endGrace = Math.min(grace, 0.04);
  if (wanted > (scale.kind === "watt-seconds" ? 0.01 : endGrace)) {
    const full = printDial(stops(0), scale, { ascii: true });
    return refuse("dial-above-full", `${quoted} is above full`, where, `Full is ${full}.`);
  }
  if (wanted < lowest - endGrace) {
    const end = printDial(lowest, scale, { ascii: true });
    return refuse("dial-below-lowest", `${quoted} is below the lowest of this head`, where, `The lowest is ${end}.`);
  }
  const { stops: reached } = quantiseDial(scale, stops(wanted));
  if (Math.abs(wanted - reached) <= grace) return success(reached);
  const near = printDial(reached, scale, { ascii: true });
  return refuse("dial-step", `${quoted} lies between two positions of this head`, where, `The nearest is ${near}.`);
}

/**
 * How far what is written may be from a position and still mean it, stops. Tenths and percents are exact; a third
 * may be written 0.3 or 0.33; heads round their watt-seconds as they like, so half a step is granted.
 */
function graceOf(scale: DialScale): number {
  if (scale.kind === "percent") return 1e-6;
  if (scale.kind === "watt-seconds") return scale.stepStops / 2 + 1e-9;
  return inTenths(scale.stepStops) ? 1e-6 : 0.04;
}

/** Whether every position has one decimal: steps of 0.1, 0.2, 0.3, 0.5, 1. */
const inTenths = (stepStops: number): boolean => Math.abs(stepStops * 10 - Math.round(stepStops * 10)) < 1e-6;

/** Decimals that tell the positions apart: thirds are shown as .3 and .7, other odd steps need two. */
function decimalsOf(stepStops: number): number {
  const step = exactStep(stepStops);
  return inTenths(stepStops) || ("perStop" in step && step.perStop === 3) ? 1 : 2;
}

/** The nearest multiple of the head's step, not held to its range. */
function snap(position: number, scale: Exclude<DialScale, { kind: "percent" }>): number {
  const { lowest, full } = dialRange(scale);
  if (position >= lowest && position <= full) return quantiseDial(scale, stops(position)).stops;
  const step = exactStep(scale.stepStops);
  return "perStop" in step
    ? roundHalfUp(position * step.perStop) / step.perStop
    : roundHalfUp(position / step.step) * step.step;
}

function printFraction(position: number, stepStops: number, ascii: boolean): string {
  const step = exactStep(stepStops);
  const perStop = "perStop" in step ? step.perStop : 10;
  const count = roundHalfUp(position * perStop);
  const whole = Math.min(Math.floor(count / perStop), 0);
  const extra = count - whole * perStop;
  const base = `1/${2 ** -whole}`;
  const shown = ascii ? base : vulgar(base);
  if (extra === 0) return shown;
  if (!("perStop" in step) || 10 % perStop === 0) return `${shown}+${plainNumber(extra / perStop, 1)}`;
  return `${shown}+${ascii ? `${extra}/${perStop}` : vulgar(`${extra}/${perStop}`)}`;
}

function printDecimal(value: number, decimals: number, ascii: boolean): string {
  const unit = 10 ** decimals;
  const count = roundSigned(value * unit);
  return (count < 0 ? minus(ascii) : "") + (Math.abs(count) / unit).toFixed(decimals);
}

/** Three digits at least, so that neighbouring tenths (7 %) never look the same. */
function printWs(ws: number): string {
  return plainNumber(ws, Math.min(Math.max(2 - Math.floor(Math.log10(ws)), 0), 20));
}

function printPercent(position: number, scale: Extract<DialScale, { kind: "percent" }>): string {
  const { lowest, full } = dialRange(scale);
  const shown = position >= lowest && position <= full ? quantiseDial(scale, stops(position)).stops : stops(position);
  return plainNumber(percentOfStops(shown, scale.table), 1);
}

function example(scale: DialScale): string {
  const { lowest } = dialRange(scale);
  return printDial(quantiseDial(scale, stops(lowest / 2)).stops, scale, { ascii: true });
}
