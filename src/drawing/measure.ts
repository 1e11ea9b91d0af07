/**
 * How wide text is, without a browser: sums of the font's advances (font-advances.ts), and how the small raised
 * digit of a reading is set. Lengths in the unit of the drawing. Kerning is left out, so a width is right within
 * about 2 %.
 */

import { fontAdvances } from "./font-advances.ts";
import type { TextRun, TextShape } from "./types.ts";

export type Weight = 400 | 600 | 700;

/** Raised tenths: size and rise in ems of the line, and the air before them. The denominator of a fraction: size. */
export const raisedSize = 0.66;
export const raisedRise = 0.32;
export const raisedGap = 0.05;
export const smallSize = 0.62;

/** Height of a capital and depth of a descender, em. */
export const capHeight = 0.686;
export const descent = 0.21;

/** An unknown character counts as wide as an average capital. */
const unknownAdvance = 700;

const tables: Readonly<Record<Weight, ReadonlyMap<number, number>>> = {
  400: tableOf(400),
  600: tableOf(600),
  700: tableOf(700),
};

function tableOf(weight: Weight): ReadonlyMap<number, number> {
  const entries = fontAdvances[weight].flatMap(([first, advances]) =>
    advances.map((advance, i) => [first + i, advance] as const),
  );
  return new Map(entries.filter(([, advance]) => advance > 0));
}

/** Width of plain text at `size`. */
export function textWidth(text: string, size: number, weight: Weight): number {
  const table = tables[weight];
  let sum = 0;
  for (const character of text) sum += table.get(character.codePointAt(0) ?? 0) ?? unknownAdvance;
  return (sum * size) / 1000;
}

/** How one run is set: its size, its weight, how far it rises, and the air before it. */
export function setRun(run: TextRun, size: number, weight: Weight): RunSetting {
  if (run.raised) {
    const heavier = run.strong ? 700 : weight === 400 ? 600 : 700;
    return { size: size * raisedSize, weight: heavier, rise: size * raisedRise, gap: size * raisedGap };
  }
  const own = run.quiet ? 400 : run.strong ? 700 : weight;
  return { size: run.small ? size * smallSize : size, weight: own, rise: 0, gap: 0 };
}

export interface RunSetting {
  readonly size: number;
  readonly weight: Weight;
  readonly rise: number;
  readonly gap: number;
}

/** Width of one line of runs. */
export function runsWidth(runs: readonly TextRun[], size: number, weight: Weight): number {
  return runs.reduce((sum, run) => {
    const set = setRun(run, size, weight);
    return sum + set.gap + textWidth(run.text, set.size, set.weight);
  }, 0);
}

/** The size at which a line fits `width`: `size`, or smaller. */
export function fittedSize(runs: readonly TextRun[], size: number, weight: Weight, width: number): number {
  const wanted = runsWidth(runs, size, weight);
  return wanted <= width ? size : (size * width) / wanted;
}

/** Below this part of its size a line is cut short rather than made smaller: it has to be read at arm's length. */
const LEAST_PART = 0.7;

/** A line that fits `width`: a little smaller where that is enough, else also cut, with an ellipsis. */
export function fittedLine(
  runs: readonly TextRun[],
  size: number,
  weight: Weight,
  width: number,
): { readonly size: number; readonly runs: readonly TextRun[] } {
  const least = size * LEAST_PART;
  const fitted = fittedSize(runs, size, weight, width);
  if (fitted >= least) return { size: fitted, runs };
  const cut = [...runs];
  while (cut.length > 0 && runsWidth([...cut, { text: "…" }], least, weight) > width) {
    const last = cut.pop();
    if (last !== undefined && last.text.length > 1) cut.push({ ...last, text: last.text.slice(0, -1).trimEnd() });
  }
  return { size: least, runs: [...cut, { text: "…" }] };
}

export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** The box that an upright line of text covers, capitals and descenders. */
export function textBox(text: Pick<TextShape, "x" | "y" | "size" | "anchor" | "weight" | "runs">): Box {
  const width = runsWidth(text.runs, text.size, text.weight);
  const x = text.anchor === "start" ? text.x : text.anchor === "end" ? text.x - width : text.x - width / 2;
  const rises = text.runs.some((run) => run.raised) ? 0.82 : capHeight;
  return { x, y: text.y - rises * text.size, width, height: (rises + descent) * text.size };
}

/** Lines no wider than `width`; a single word that is wider stands alone, and the caller shrinks it. */
export function wrapRuns(
  runs: readonly TextRun[],
  size: number,
  weight: Weight,
  width: number,
): readonly (readonly TextRun[])[] {
  const lines: TextRun[][] = [];
  let line: TextRun[] = [];
  for (const word of wordsOf(runs)) {
    const longer =
      line.length === 0 ? word : [...line, { ...word[0], text: ` ${word[0]?.text ?? ""}` }, ...word.slice(1)];
    if (line.length > 0 && runsWidth(longer, size, weight) > width) {
      lines.push(line);
      line = [...word];
    } else line = [...longer];
  }
  if (line.length > 0) lines.push(line);
  return lines;
}

/** Runs cut at spaces; pieces that touch stay one word ("f/" and its number and tenth). */
function wordsOf(runs: readonly TextRun[]): readonly (readonly TextRun[])[] {
  const words: TextRun[][] = [];
  let word: TextRun[] = [];
  for (const run of runs) {
    run.text.split(/[ \n]/).forEach((piece, i) => {
      if (i > 0 && word.length > 0) {
        words.push(word);
        word = [];
      }
      if (piece !== "") word.push({ ...run, text: piece });
    });
  }
  if (word.length > 0) words.push(word);
  return words;
}
