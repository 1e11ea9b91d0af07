/**
 * The items of an EULUMDAT file by line number, from 1: one item per line, decimals with point or comma.
 */

import { type Findings, printable, quote } from "./findings.ts";
import { parseNumber } from "./number-reader.ts";

/** The items of the file by line number. */
export class LdtLines {
  readonly count: number;
  private readonly items: readonly string[];
  private readonly findings: Findings;

  constructor(text: string, findings: Findings) {
    this.items = withoutBlankTail(text).split(/\r\n|\n|\r/);
    this.count = this.items.length;
    this.findings = findings;
  }

  text(at: number): string {
    return printable(this.items[at - 1] ?? "").slice(0, 1000);
  }

  /** A number that must be there; NaN with a fault. */
  number(at: number, name: string): number {
    const item = this.items[at - 1];
    if (item === undefined) {
      this.findings.refuse(
        "ldt-truncated",
        `The file ends before the ${name}`,
        this.count,
        "The file is cut short: fetch it again.",
      );
      return Number.NaN;
    }
    const value = toNumber(item);
    if (Number.isNaN(value)) {
      this.findings.refuse(
        "ldt-not-a-number",
        `The ${name} is ${quote(item)}, not a number`,
        at,
        "Write one number on this line; check that no line is missing or doubled above.",
      );
    }
    return value;
  }

  /** A number that nothing depends on: what cannot be read counts as 0, with a warning. */
  optionalNumber(at: number, name: string): number {
    const item = this.items[at - 1];
    const value = item === undefined ? Number.NaN : toNumber(item);
    if (!Number.isNaN(value)) return value;
    if (item !== undefined)
      this.findings.warn(
        "ldt-unread",
        `The ${name} is ${quote(item)}; taken as 0`,
        at,
        "Write one number on this line.",
      );
    return 0;
  }

  optionalNumbers(at: number, count: number, name: string): readonly number[] {
    return Array.from({ length: count }, (_, i) => this.optionalNumber(at + i, `${name} ${i + 1}`));
  }
}

/** A number as EULUMDAT writes it: decimals with point or comma; blanks around; NaN for anything else. */
export function toNumber(item: string): number {
  const value = parseNumber(item.trim().replace(",", "."));
  return Number.isFinite(value) ? value : Number.NaN;
}

/** Blank lines and old end-of-file marks after the last item are no items. */
function withoutBlankTail(text: string): string {
  let end = text.length;
  while (end > 0 && (text.charCodeAt(end - 1) <= 32 || text.charCodeAt(end - 1) === 0xa0)) end -= 1;
  return text.slice(0, end);
}
