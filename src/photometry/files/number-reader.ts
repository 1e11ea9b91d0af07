/**
 * The free-format numbers of an LM-63 file: separated by blanks, line breaks or commas, in any layout.
 * Reads one at a time and knows the line of each, so that every fault can say where it stands.
 */

import { type Findings, quote } from "./findings.ts";

const number = /^[+-]?(\d+\.?\d*|\.\d+)([eEdD][+-]?\d+)?$/;

export class NumberReader {
  /** Line of the number read last (or where reading began). */
  line: number;
  private readonly text: string;
  private readonly findings: Findings;
  private at: number;

  constructor(text: string, at: number, line: number, findings: Findings) {
    this.text = text;
    this.at = at;
    this.line = line;
    this.findings = findings;
  }

  /** The next number; NaN with a fault where something else stands; null at the end of the file. */
  next(): number | null {
    const piece = this.nextPiece();
    if (piece === null) return null;
    const value = parseNumber(piece);
    if (!Number.isFinite(value)) {
      this.findings.refuse(
        "ies-not-a-number",
        `${quote(piece)} is not a number`,
        this.line,
        "Write a plain number such as 12.5, with a point for decimals.",
      );
      return Number.NaN;
    }
    return value;
  }

  /** How many pieces are left; reading goes on where it was. */
  remaining(): number {
    const { at, line } = this;
    let count = 0;
    while (this.nextPiece() !== null) count += 1;
    this.at = at;
    this.line = line;
    return count;
  }

  /** Line on which the next number stands. */
  nextLine(): number {
    this.skipSeparators();
    return this.line;
  }

  private nextPiece(): string | null {
    const { text } = this;
    this.skipSeparators();
    if (this.at >= text.length) return null;
    const start = this.at;
    while (this.at < text.length && !isSeparator(text.charCodeAt(this.at))) this.at += 1;
    return text.slice(start, this.at);
  }

  private skipSeparators(): void {
    const { text } = this;
    while (this.at < text.length && isSeparator(text.charCodeAt(this.at))) {
      if (endsLine(text, this.at)) this.line += 1;
      this.at += 1;
    }
  }
}

/** A number as both formats write it (D exponents are Fortran's); NaN for anything else. */
export function parseNumber(piece: string): number {
  if (piece.length > 64 || !number.test(piece)) return Number.NaN;
  return Number(piece.replace(/[dD]/, "e"));
}

/** True at the last character of a line end: LF, or a CR that no LF follows. */
function endsLine(text: string, at: number): boolean {
  const code = text.charCodeAt(at);
  return code === 10 || (code === 13 && text.charCodeAt(at + 1) !== 10);
}

/** Blanks, line ends, commas, and the end-of-file mark 0x1A that old writers leave. */
function isSeparator(code: number): boolean {
  return code === 32 || (code >= 9 && code <= 13) || code === 44 || code === 0x1a || code === 0xa0;
}
