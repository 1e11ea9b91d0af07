/**
 * Text for a terminal: columns, faults, quoted words. What comes from files or other people is shown without
 * control characters, so that no text can move the cursor, change colours or reverse the line.
 */

import { type Fault, formatFault } from "../units/index.ts";

/** Control characters, line and paragraph separators, marks that turn the direction of text. */
const UNSAFE = /[\p{Cc}\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069]/gu;

/** One line of text, safe to show. */
export const safe = (text: string): string => text.replace(/[\t\r\n]+/g, " ").replace(UNSAFE, "\ufffd");

/** Several lines of text, safe to show. */
export const safeLines = (text: string): string => text.split("\n").map(safe).join("\n");

/** A word as it was given, shortened, in quotes. */
export function quoted(word: string): string {
  const shown = safe(word);
  return shown.length > 60 ? `"${shown.slice(0, 60)}…"` : `"${shown}"`;
}

/** Every fault on a line of its own under the command that met them. */
export function faultText(command: string, faults: readonly Fault[]): string {
  const head = faults.length === 1 ? "one fault" : `${faults.length} faults`;
  const lines = faults.map((f) => `  ${safe(formatFault(f))} [${safe(f.code)}]`);
  return [`stopwise${command === "" ? "" : ` ${command}`}: ${head}`, ...lines].join("\n");
}

/**
 * Rows of cells as columns two blanks apart, the last one ragged. `right` lists columns that are flush right.
 * A column without any text is left out.
 */
export function columns(rows: readonly (readonly string[])[], right: readonly number[] = []): string {
  const count = Math.max(0, ...rows.map((row) => row.length));
  const used = Array.from({ length: count }, (_, j) => j).filter((j) => rows.some((row) => (row[j] ?? "") !== ""));
  const widths = used.map((j) => Math.max(...rows.map((row) => width(row[j] ?? ""))));
  const lines = rows.map((row) =>
    used
      .map((j, k) => {
        const cell = row[j] ?? "";
        const blanks = " ".repeat((widths[k] as number) - width(cell));
        return right.includes(j) ? blanks + cell : cell + blanks;
      })
      .join("  ")
      .trimEnd(),
  );
  return lines.join("\n");
}

/** Characters as a terminal counts them: no combining marks; everything we print is one cell wide. */
const width = (text: string): number => [...text.replace(/\p{Mn}/gu, "")].length;

/** Text broken at blanks to lines of at most `most` characters, each after `indent`. */
export function wrapped(text: string, indent = "", most = 100): string {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/\s+/).filter((piece) => piece !== "")) {
    if (line !== "" && indent.length + line.length + 1 + word.length > most) {
      lines.push(indent + line);
      line = word;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  if (line !== "") lines.push(indent + line);
  return lines.join("\n");
}
