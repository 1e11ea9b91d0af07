/**
 * The words at the head of an LM-63 file: the edition, the keyword lines, and the TILT line that ends them.
 *
 * First line `IESNA91`, `IESNA:LM-63-1995`, `IESNA:LM-63-2002`, `IES:LM-63-2019`, or none of these: then
 * the file is of the 1986 edition and its lines are free text. Source: ANSI/IES LM-63, editions as named.
 */

import { type Findings, printable, quote } from "./findings.ts";
import type { PhotometricFormat } from "./web.ts";

export type IesEdition = Exclude<PhotometricFormat, "EULUMDAT">;

export interface IesHeader {
  readonly edition: IesEdition;
  readonly keywords: readonly (readonly [string, string])[];
  readonly tilt: "none" | "include";
  /** Where the numbers begin. */
  readonly dataAt: number;
  readonly dataLine: number;
}

const maxKeywords = 1000;
const maxKeywordText = 4000;
const requiredKeywords: Partial<Record<IesEdition, readonly string[]>> = {
  "LM-63-2002": ["TEST", "TESTLAB", "ISSUEDATE", "MANUFAC"],
  "LM-63-2019": ["TEST", "TESTLAB", "ISSUEDATE", "MANUFAC"],
};

/** The header, or null when no TILT line was found or it cannot be honoured (faults are in `findings`). */
export function readIesHeader(text: string, findings: Findings): IesHeader | null {
  const lines = new LineReader(text);
  let edition: IesEdition | null = null;
  const keywords: [string, string][] = [];
  for (let line = lines.next(); line !== null; line = lines.next()) {
    const trimmed = line.trim();
    if (edition === null) {
      if (trimmed === "") continue;
      const named = readEdition(trimmed.slice(0, 80), lines.line, findings);
      edition = named ?? "LM-63-1986";
      if (named !== null) continue;
    }
    if (/^TILT\s*=/i.test(trimmed)) {
      warnMissing(edition, keywords, findings);
      const tilt = readTiltLine(trimmed, lines.line, findings);
      return tilt === null
        ? null
        : {
            edition,
            keywords,
            tilt,
            dataAt: lines.at,
            dataLine: lines.line + 1,
          };
    }
    readKeyword(trimmed, edition, lines.line, keywords, findings);
  }
  findings.refuse(
    "ies-no-tilt",
    "There is no TILT= line, so no numbers can be found",
    lines.line,
    "Put TILT=NONE on a line of its own before the numbers.",
  );
  return null;
}

/** True when the text has the marks of LM-63: a first line of an edition, or a TILT line. */
export function looksLikeIes(text: string): boolean {
  return /^\s*IES(NA)?[\s:\d]/i.test(text.slice(0, 200)) || /(^|[\r\n])[ \t]*TILT[ \t]*=/i.test(text);
}

function readEdition(line: string, at: number, findings: Findings): IesEdition | null {
  const match = /^IES(?:NA)?\s*:?\s*(?:LM-?63-?)?\s*(\d{2,4})/i.exec(line);
  if (match === null) {
    if (!/^IES(NA)?\b/i.test(line) || line.length > 40) return null;
    findings.warn(
      "ies-edition",
      `${quote(line)} names no known edition; read as 2002`,
      at,
      "Name the edition, for instance IES:LM-63-2019.",
    );
    return "LM-63-2002";
  }
  const digits = match[1] as string;
  const year = digits.length === 2 ? 1900 + Number(digits) : Number(digits);
  switch (year) {
    case 1986:
      return "LM-63-1986";
    case 1991:
      return "LM-63-1991";
    case 1995:
      return "LM-63-1995";
    case 2002:
      return "LM-63-2002";
    case 2019:
      return "LM-63-2019";
    default: {
      const nearest =
        year < 1995 ? "LM-63-1991" : year < 2002 ? "LM-63-1995" : year < 2019 ? "LM-63-2002" : "LM-63-2019";
      findings.warn(
        "ies-edition",
        `Edition ${digits} is unknown; read as ${nearest}`,
        at,
        "Name the edition, for instance IES:LM-63-2019.",
      );
      return nearest;
    }
  }
}

function readKeyword(
  line: string,
  edition: IesEdition,
  at: number,
  keywords: [string, string][],
  findings: Findings,
): void {
  if (line === "") return;
  const close = line.startsWith("[") ? line.indexOf("]") : -1;
  if (close < 0 && edition !== "LM-63-1986") {
    findings.warn(
      "ies-loose-line",
      `${quote(line)} stands before TILT without a [KEYWORD]`,
      at,
      "Put a keyword before it, for instance [OTHER].",
    );
  }
  const name = close < 0 ? "" : printable(line.slice(1, close)).toUpperCase();
  const value = printable(line.slice(close + 1)).slice(0, maxKeywordText);
  const previous = keywords[keywords.length - 1];
  if (name === "MORE" && previous !== undefined) previous[1] = `${previous[1]}\n${value}`.slice(0, maxKeywordText);
  else if (keywords.length < maxKeywords) keywords.push([name, value]);
  else if (keywords.length === maxKeywords)
    findings.warn(
      "ies-many-keywords",
      `More than ${maxKeywords} keyword lines; the rest is left out`,
      at,
      "Shorten the header.",
    );
}

function readTiltLine(line: string, at: number, findings: Findings): "none" | "include" | null {
  const named = line.slice(line.indexOf("=") + 1).trim();
  const value = named.toUpperCase();
  if (value === "NONE") return "none";
  if (value === "INCLUDE") return "include";
  if (named === "") {
    findings.warn("ies-tilt-empty", "TILT= is empty; read as TILT=NONE", at, "Write TILT=NONE.");
    return "none";
  }
  findings.refuse(
    "ies-tilt-file",
    `TILT names another file, ${quote(named)}, which is not at hand`,
    at,
    "Write TILT=NONE (the light's own directions do not depend on it), or TILT=INCLUDE with the tilt table below it.",
  );
  return null;
}

function warnMissing(edition: IesEdition, keywords: readonly (readonly [string, string])[], findings: Findings): void {
  const present = new Set(keywords.map(([name]) => name));
  const missing = (requiredKeywords[edition] ?? []).filter((name) => !present.has(name));
  if (missing.length > 0) {
    const names = missing.map((name) => `[${name}]`).join(" ");
    findings.warn(
      "ies-keyword-missing",
      `${names} required by ${edition} is missing`,
      null,
      "Ask whoever made the file; reading does not depend on it.",
    );
  }
  const radiometric = keywords.find(([name, value]) => saysRadiometric(name, value));
  if (radiometric !== undefined) {
    findings.warn(
      "ies-radiometric",
      `[${radiometric[0]}] says that the numbers are radiometric, not candela`,
      null,
      "Use the shape only; its level does not predict a meter reading.",
    );
  }
}

function saysRadiometric(name: string, value: string): boolean {
  if (/UNITS$/.test(name)) return /W\s*\/\s*sr/i.test(value);
  return /radiometric units/i.test(value);
}

/** Lines without splitting the whole file: LF, CR LF and lone CR all end a line. */
class LineReader {
  /** Number of the line read last, from 1. */
  line = 0;
  /** Where the next line begins. */
  at = 0;
  private readonly text: string;

  constructor(text: string) {
    this.text = text;
  }

  next(): string | null {
    const { text } = this;
    if (this.at >= text.length) return null;
    let end = this.at;
    while (end < text.length && text.charCodeAt(end) !== 10 && text.charCodeAt(end) !== 13) end += 1;
    const line = text.slice(this.at, end);
    this.at = text.charCodeAt(end) === 13 && text.charCodeAt(end + 1) === 10 ? end + 2 : end + 1;
    this.line += 1;
    return line;
  }
}
