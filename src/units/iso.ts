/**
 * Film and sensor speed. Marks 100, 125, 160… are exactly 100·2^(k/3) (ISO 640 is 634.96). The logarithmic scale is
 * S° = 1 + 10·log10 S (ISO 5800 and ISO 2240, from memory); it is strictly decimal, and the 0.003 stop between that
 * and the marks is left aside: a speed in degrees names the mark.
 */

import { foldText, quote, refuse, requireFinite, textFault } from "./notation.ts";
import { failure, type Result, success } from "./result.ts";
import { type Iso, iso } from "./unit.ts";

export interface ParsedIso {
  readonly iso: Iso;
  readonly as: "mark" | "literal" | "degrees";
  readonly typed: string;
}

/** The slowest and fastest speeds that are accepted. */
export const SLOWEST_ISO: Iso = iso(0.75);
export const FASTEST_ISO: Iso = iso(6_600_000);

/**
 * A speed: "400", "ISO 400", "ISO 400/27°", "27°". A mark is its exact value; another number is literal.
 * Faults: iso-empty, -too-long, -form, -disagree (400/24°), -range.
 */
export function parseIso(text: string, where = "iso"): Result<ParsedIso> {
  const bare = textFault("iso", text, where, MEND);
  if (bare) return failure(bare);
  const folded = foldText(text).replace(/^iso ?/, "");
  const parts = /^(?:(\d+(?:\.\d+)?)(?: ?\/ ?(\d+) ?°)?|(\d+) ?°)$/.exec(folded);
  if (!parts) return refuse("iso-form", `${quote(text)} is not a speed`, where, MEND);
  const degrees = parts[2] ?? parts[3];
  const mark = parts[1] === undefined ? null : markOf(Number(parts[1]));
  const arithmetic = parts[1] === undefined ? exactIso(Number(degrees) - 21) : iso(mark?.exact ?? Number(parts[1]));
  if (!(arithmetic >= SLOWEST_ISO && arithmetic <= FASTEST_ISO)) {
    return refuse("iso-range", `${quote(text)} is no speed in use`, where, "Speeds run from ISO 0.8 to 6 500 000.");
  }
  if (parts[2] !== undefined && Math.round(isoDegrees(arithmetic)) !== Number(parts[2])) {
    const right = Math.round(isoDegrees(arithmetic));
    return refuse("iso-disagree", `${quote(text)} names two speeds`, where, `Write ISO ${parts[1]}/${right}°.`);
  }
  return success({ iso: arithmetic, as: parts[3] !== undefined ? "degrees" : mark ? "mark" : "literal", typed: text });
}

/** The mark ("640") for an exact mark, else the number itself, to a hundredth: no "ISO" before it. */
export function printIso(speed: Iso): string {
  requireFinite(speed, "The speed");
  const mark = MARKS.find((m) => Math.abs(m.exact / speed - 1) < 1e-6);
  return mark?.label ?? String(Number(speed.toFixed(2)));
}

/** 1 + 10·log10 S, before rounding: ISO 400 is 27.02°. */
export const isoDegrees = (speed: Iso): number => 1 + 10 * Math.log10(speed);

/** The exact speed `thirds` third-stops above ISO 100. */
export const exactIso = (thirds: number): Iso => iso(100 * 2 ** (thirds / 3));

const MEND = "Write a speed such as ISO 400, ISO 400/27° or 27°.";

interface IsoMark {
  readonly label: string;
  readonly exact: Iso;
}

/** Third-stop marks from ISO 0.8 (21 thirds under 100) on. */
const MARKS: readonly IsoMark[] = (
  "0.8 1 1.2 1.6 2 2.5 3 4 5 6 8 10 12 16 20 25 32 40 50 64 80 100 125 160 200 250 320 400 500 640 800 1000 1250 1600 2000 " +
  "2500 3200 4000 5000 6400 8000 10000 12800 16000 20000 25600 32000 40000 51200 64000 80000 102400 128000 160000 204800 " +
  "256000 320000 409600 512000 640000 819200 1024000 1280000 1638400 2048000 2560000 3276800"
)
  .split(" ")
  .map((label, k) => ({ label, exact: exactIso(k - 21) }));

const markOf = (nominal: number): IsoMark | null => MARKS.find((mark) => Number(mark.label) === nominal) ?? null;
