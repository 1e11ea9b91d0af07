/**
 * Shutter times. Marks are powers of two and their thirds (1/125 is 1/128 s, 1/60 is 1/64 s, 30 s is 32 s; common
 * practice, agrees with APEX); a literal time is what it says. Video times are literal, and a shutter angle is
 * t = (angle/360)/fps. Times in s, angles in degrees, rates in frames per second.
 */

import { foldText, parseAmount, quote, refuse, requireFinite, textFault } from "./notation.ts";
import { failure, type Result, success } from "./result.ts";
import { type Degrees, degrees, type Seconds, seconds } from "./unit.ts";

export type ShutterScale = "third" | "half";

export interface ParsedShutter {
  readonly seconds: Seconds;
  /** mark: a power of two or a part of one. literal: measured, stated or video. angle: from a shutter angle. */
  readonly as: "mark" | "literal" | "angle";
  /** The rate that an angle was stated at. */
  readonly framesPerSecond: number | null;
  readonly typed: string;
}

export interface ShutterOptions {
  /** Whose marks a number may name; third unless said. */
  readonly scale?: ShutterScale;
  /** Take every time literally: video, or measured. */
  readonly literal?: boolean;
  /** Named in faults; "shutter" unless said. */
  readonly where?: string;
}

/** Times that a camera, a meter or a person with a watch can mean. */
export const SHORTEST_S: Seconds = seconds(1 / 100_000);
export const LONGEST_S: Seconds = seconds(3600);

/**
 * A shutter time: "1/160", "1/160 s", "0.5", "2 s", "2″", "1/50 video", "1/50 literal", "0.0213 s", "180° at 24 fps".
 * Off the marks a time is literal. Faults: shutter-empty, -too-long, -form, -zero, -bare (125 may be 1/125 or 125 s),
 * -angle, -rate, -range.
 */
export function parseShutter(text: string, options: ShutterOptions = {}): Result<ParsedShutter> {
  const where = options.where ?? "shutter";
  const bare = textFault("shutter", text, where, MEND);
  if (bare) return failure(bare);
  const folded = foldText(text);
  if (/°|deg/.test(folded)) return parseAngled(folded, text, where);
  const stated = /^(.*?) ?\b(video|literal|measured)(?: literal)?$/.exec(folded);
  const read = readTime((stated?.[1] ?? folded).trim());
  if (read === null) return refuse("shutter-form", `${quote(text)} is not a shutter time`, where, MEND);
  if (read.time === 0 || read.time === Number.POSITIVE_INFINITY) {
    return refuse("shutter-zero", `${quote(text)} divides by zero or lasts no time`, where, MEND);
  }
  if (read.bare) {
    return refuse(
      "shutter-bare",
      `${quote(text)} may be a fraction or seconds`,
      where,
      `Write 1/${read.time} or ${read.time} s.`,
    );
  }
  const mark = stated || options.literal ? null : markOf(read.time, options.scale ?? "third");
  const time = seconds(mark === null ? read.time : 2 ** -mark.tv);
  if (!inRange(time)) return refuse("shutter-range", `${quote(text)} is no time a shutter has`, where, RANGE);
  return success({ seconds: time, as: mark ? "mark" : "literal", framesPerSecond: null, typed: text });
}

/**
 * The mark where the time stands on one ("1/125", "2 s"), else the literal time ("1/48", "0.0213 s"), with the word
 * "literal" where it would otherwise be read back as a mark. Exact for marks and whole 1/x; else six digits.
 */
export function printShutter(time: Seconds, options: Omit<ShutterOptions, "where"> = {}): string {
  requireFinite(time, "The shutter time");
  const scale = options.scale ?? "third";
  const tv = -Math.log2(time);
  const mark = options.literal ? undefined : MARKS[scale].find((m) => Math.abs(m.tv - tv) < 1e-6);
  if (mark) return mark.label;
  const whole = Math.round(1 / time);
  const fraction = whole > 1 && Math.abs(whole * time - 1) < 1e-9;
  const text = fraction ? `1/${whole}` : `${Number(time.toPrecision(6))} s`;
  const readBack = fraction ? 1 / whole : Number(time.toPrecision(6));
  return options.literal || markOf(readBack, scale) === null ? text : `${text} literal`;
}

/** Exposure time of a shutter angle, s: (angle/360)/fps. */
export const secondsOfAngle = (angle: Degrees, framesPerSecond: number): Seconds =>
  seconds(angle / 360 / framesPerSecond);

/** Shutter angle of an exposure time: 360·fps·t. 24 fps at 1/50 s is 172.8°. */
export const shutterAngle = (time: Seconds, framesPerSecond: number): Degrees => degrees(360 * framesPerSecond * time);

/** Broadcast rates are written rounded: 23.976 is 24000/1001, 29.97 is 30000/1001 (SMPTE practice, from memory). */
export function exactFrameRate(framesPerSecond: number): number {
  const whole = Math.round(framesPerSecond * 1.001);
  const exact = (whole * 1000) / 1001;
  return [24, 30, 48, 60, 120].includes(whole) && Math.abs(exact - framesPerSecond) < 0.0045 ? exact : framesPerSecond;
}

const MEND = "Write 1/160, 0.5 s, 1/50 video, or 180° at 24 fps.";
const RANGE = "Times run from 1/100000 s to 3600 s.";

/** A shutter mark: its label, its exact Tv, and the numbers of seconds that people type for it. */
interface ShutterMark {
  readonly label: string;
  readonly tv: number;
  readonly nominal: readonly number[];
}

// Marks from 30 s to 1/32000 s, each list starting at Tv −5. Several spellings of one mark are joined by "=".
const THIRD =
  "30 25 20 15 13 10 8 6 5 4 3.2 2.5 2 1.6 1.3 1 0.8=1/1.3 0.6=1/1.6 0.5=1/2 0.4=1/2.5 0.3=1/3 1/4 1/5 1/6 1/8 1/10 1/13 " +
  "1/15 1/20 1/25 1/30 1/40 1/50 1/60 1/80 1/100 1/125 1/160 1/200 1/250 1/320 1/400 1/500 1/640 1/800 1/1000 1/1250 " +
  "1/1600 1/2000 1/2500 1/3200 1/4000 1/5000 1/6400 1/8000 1/10000 1/12500=1/12800 1/16000 1/20000 1/25000=1/25600 1/32000";
const HALF =
  "30 20 15 10 8 6 4 3 2 1.5 1 0.7=1/1.5 0.5=1/2 0.3=1/3 1/4 1/6 1/8 1/10 1/15 1/20 1/30 1/45 1/60 1/90 1/125 1/180 1/250 " +
  "1/350 1/500 1/750 1/1000 1/1500 1/2000 1/3000 1/4000 1/6000 1/8000 1/12000 1/16000 1/24000 1/32000";

const listMarks = (text: string, perStop: number): readonly ShutterMark[] =>
  text.split(" ").map((entry, k) => {
    const spellings = entry.split("=");
    const first = spellings[0] ?? "";
    return {
      label: first.includes("/") ? first : `${first} s`,
      tv: k / perStop - 5,
      nominal: spellings.map(spelledSeconds),
    };
  });

const spelledSeconds = (spelling: string): number => {
  const [over, under] = spelling.split("/");
  return under === undefined ? Number(over) : Number(over) / Number(under);
};

const MARKS: Readonly<Record<ShutterScale, readonly ShutterMark[]>> = {
  third: listMarks(THIRD, 3),
  half: listMarks(HALF, 2),
};

const markOf = (time: number, scale: ShutterScale): ShutterMark | null =>
  MARKS[scale].find((mark) => mark.nominal.some((n) => Math.abs(n - time) < 1e-6 * n)) ?? null;

const inRange = (time: number): boolean => time >= SHORTEST_S && time <= LONGEST_S;

/** Seconds as written; `bare` for a whole number above 1 without a unit, which nobody can place. */
function readTime(folded: string): { readonly time: number; readonly bare: boolean } | null {
  const fraction = /^1 ?\/ ?(\d+(?:\.\d+)?) ?(?:s|sec|seconds?)?$/.exec(folded);
  if (fraction) return { time: 1 / Number(fraction[1]), bare: false };
  const parts = /^(?:t ?= ?)?([\d./ ]*\d) ?(s|sec|seconds?|")?$/.exec(folded);
  const time = parts ? parseAmount(parts[1] ?? "") : null;
  if (!parts || time === null) return null;
  const named = parts[2] !== undefined || folded.startsWith("t");
  return { time, bare: !named && time > 1 && Number.isInteger(time) };
}

function parseAngled(folded: string, typed: string, where: string): Result<ParsedShutter> {
  const mend = "Write an angle and a rate, such as 180° at 24 fps.";
  const parts = /^(\d+(?:\.\d+)?) ?(?:°|deg|degrees?) ?(?:at|@|\/)? ?(\d+(?:\.\d+)?) ?(?:fps)?$/.exec(folded);
  if (!parts) return refuse("shutter-form", `${quote(typed)} is not a shutter angle`, where, mend);
  const angle = Number(parts[1]);
  const rate = exactFrameRate(Number(parts[2]));
  if (!(angle > 0 && angle <= 360))
    return refuse("shutter-angle", `${quote(typed)} is no shutter angle`, where, "Angles run to 360°.");
  if (!(rate >= 1 && rate <= 1000))
    return refuse("shutter-rate", `${quote(typed)} has no usable rate`, where, "Rates run from 1 to 1000 fps.");
  const time = secondsOfAngle(degrees(angle), rate);
  if (!inRange(time)) return refuse("shutter-range", `${quote(typed)} is no time a shutter has`, where, RANGE);
  return success({ seconds: time, as: "angle", framesPerSecond: rate, typed });
}
