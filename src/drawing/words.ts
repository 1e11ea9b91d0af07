/**
 * Words and numbers as the drawings set them: readings with a quiet f/ and a raised tenth, thirds as small
 * fractions (the font lacks ⅓, ⅔ and ⅛), lengths in metres or feet, sides in words. Camera left and camera right
 * are the picture's left and right.
 */

import { ev, metres, printLength, readingParts } from "../units/index.ts";
import type { TextRun } from "./types.ts";

export type LengthUnits = "metres" | "feet";

const raisedDigits = "⁰¹²³⁴⁵⁶⁷⁸⁹";
const vulgars: Readonly<Record<string, readonly [string, string]>> = {
  "⅓": ["1", "3"],
  "⅔": ["2", "3"],
  "⅛": ["1", "8"],
  "¼": ["1", "4"],
  "½": ["1", "2"],
  "¾": ["3", "4"],
};

/** Plain text as runs: raised digits and fractions set by hand, because a web font or a PDF may lack them. */
export function runsOf(plain: string, style: Pick<TextRun, "strong" | "quiet"> = {}): readonly TextRun[] {
  const runs: TextRun[] = [];
  let pending = "";
  const flush = (): void => {
    if (pending !== "") runs.push({ text: pending, ...style });
    pending = "";
  };
  for (const character of plain) {
    const digit = raisedDigits.indexOf(character);
    const vulgar = vulgars[character];
    if (digit >= 0) {
      flush();
      runs.push({ text: String(digit), raised: true, ...style });
    } else if (vulgar !== undefined) {
      flush();
      runs.push({ text: vulgar[0], raised: true, ...style });
      runs.push({ text: "⁄", ...style });
      runs.push({ text: vulgar[1], small: true, ...style });
    } else pending += character;
  }
  flush();
  return runs;
}

/** f/5.6⁷; null is dark. */
export function readingRuns(av: number | null, style: Pick<TextRun, "strong"> = {}): readonly TextRun[] {
  if (av === null) return [{ text: "dark", ...style }];
  const { mark, tenth } = readingParts(ev(av));
  return [
    { text: "f/", quiet: true },
    { text: mark, ...style },
    { text: String(tenth), raised: true, ...style },
  ];
}

/** A full mark without tenths where there are none, as an aperture is set: f/5.6, f/7.1 as f/5.6⁷. */
export function apertureRuns(av: number): readonly TextRun[] {
  const { mark, tenth } = readingParts(ev(av));
  const raised: readonly TextRun[] = tenth === 0 ? [] : [{ text: String(tenth), raised: true }];
  return [{ text: "f/", quiet: true }, { text: mark, strong: true }, ...raised];
}

/** Text of runs for spoken labels and tests. */
export const plainText = (runs: readonly TextRun[]): string => runs.map((run) => run.text).join("");

/** A line from pieces: strings become plain runs. */
export const phrase = (...parts: readonly (string | readonly TextRun[])[]): readonly TextRun[] =>
  parts.flatMap((part) => (typeof part === "string" ? runsOf(part) : part));

export const strong = (plain: string): readonly TextRun[] => runsOf(plain, { strong: true });

/** One decimal with the true minus sign, and no sign on zero. */
export function tenths(value: number): string {
  const text = Math.abs(value).toFixed(1);
  return value < 0 && text !== "0.0" ? `−${text}` : text;
}

/** 1.25 m; in feet to the quarter inch: 4′ 1¼″. */
export const lengthText = (m: number, units: LengthUnits): string =>
  printLength(metres(m), { units: units === "metres" ? "m" : "feet" });

/** The backdrop's name, with its width unless the name tells it already. */
export const backdropName = (
  backdrop: { readonly name: string; readonly widthM: number },
  units: LengthUnits,
): string => (/\d/.test(backdrop.name) ? backdrop.name : `${backdrop.name} ${lengthText(backdrop.widthM, units)}`);

/** First letter large: a line of its own. */
export const begun = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

/** "45° camera left", "0° from the camera", "180° behind". */
export function azimuthText(azimuthDeg: number): string {
  const whole = Math.round(Math.abs(azimuthDeg));
  if (whole === 0) return "0° at the camera";
  if (whole === 180) return "180° behind";
  return `${whole}° ${azimuthDeg < 0 ? "camera left" : "camera right"}`;
}

/** A light above the nose points down: "25° down". */
export function elevationText(elevationDeg: number): string {
  const whole = Math.round(Math.abs(elevationDeg));
  return whole === 0 ? "level" : `${whole}° ${elevationDeg > 0 ? "down" : "up"}`;
}

/** "1.10 cam. left" and "1.10 in front" of a place on the floor, from the cross. */
export function fromCross(xM: number, zM: number, units: LengthUnits): readonly [string, string] {
  const bare = (m: number): string => lengthText(Math.abs(m), units).replace(" m", "");
  const side = Math.abs(xM) < 0.005 ? "on the middle" : `${bare(xM)} ${xM < 0 ? "cam. left" : "cam. right"}`;
  const along = Math.abs(zM) < 0.005 ? "level with it" : `${bare(zM)} ${zM > 0 ? "in front" : "behind"}`;
  return [side, along];
}
