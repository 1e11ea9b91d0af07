/**
 * Everything found wrong (faults) or odd (warnings) while one file is read, each with the line where it
 * stands. Both lists are capped: a broken table repeats one mistake thousands of times.
 */

import { type Fault, failure, fault } from "../../units/index.ts";

const maxFindings = 60;

export class Findings {
  readonly where: string;
  private readonly faults: Fault[] = [];
  private readonly odd: Fault[] = [];
  private unlisted = 0;

  constructor(where: string) {
    this.where = where;
  }

  /** Something that makes the file unusable. `line` counts from 1. */
  refuse(code: string, what: string, line: number | null, mend: string): void {
    if (this.faults.length < maxFindings) this.faults.push(fault(code, what, this.at(line), mend));
    else this.unlisted += 1;
  }

  /** Something odd that was read anyway; the text says how. */
  warn(code: string, what: string, line: number | null, mend: string): void {
    if (this.odd.length < maxFindings) this.odd.push(fault(code, what, this.at(line), mend));
  }

  get bad(): boolean {
    return this.faults.length > 0;
  }

  get warnings(): readonly Fault[] {
    return this.odd;
  }

  /** All faults as a failed result. Warnings go along after them: they often name the cause. */
  failed(): { readonly ok: false; readonly faults: readonly Fault[] } {
    const more =
      this.unlisted > 0
        ? [
            fault(
              "file-more-faults",
              `${this.unlisted} more faults are not listed`,
              this.where,
              "Mend those listed first.",
            ),
          ]
        : [];
    return failure(...this.faults, ...more, ...this.odd);
  }

  private at(line: number | null): string {
    return line === null ? this.where : `${this.where}, line ${line}`;
  }
}

/** A piece of the file fit to be quoted in a message: short, printable. */
export function quote(piece: string): string {
  const clean = printable(piece);
  return clean.length > 24 ? `"${clean.slice(0, 24)}…"` : `"${clean}"`;
}

/** Text of the file without control characters or stray blanks. */
export function printable(text: string): string {
  return text.replace(/[\p{Cc}\p{Cs}\u2028\u2029]+/gu, " ").trim();
}
