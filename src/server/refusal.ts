/**
 * Why a link is refused, as the page hears it: "code: words". A close reason may be 123 bytes long (RFC 6455,
 * 5.5), so the words are short and plain ASCII. `docs/internals.md`, Saved, says what the page does with each.
 */

import { inspect } from "node:util";

/** Close code: this document is not for this page; do not come back. */
export const refusedCode = 4403;
/** Close code: the bytes are no message of a page (RFC 6455, 7.4.1: inconsistent data). */
export const noMessageCode = 1007;
/** Close code: the disc refused; come back and try again (RFC 6455: internal error). */
export const notKeptCode = 1011;

const words = {
  "other-book": "This is another book. What you changed is kept in this browser.",
  restored: "The book was restored from a backup. Keep your edits as a copy.",
  deleted: "The setup was deleted. Take it out of the trash, or keep a copy.",
  "no-setup": "There is no such setup in this book. Keep your edits as a copy.",
  "bad-name": "That is not the name of a document.",
  "bad-update": "This edit cannot be read and is not kept here.",
  "not-allowed": "This device may not change that here. It is kept in this browser alone.",
  "put-out": "This device was put out. Ask at the computer to be let in again.",
  "too-big": "The setup would grow past 32 MiB. Take out large files.",
} as const;

export type RefusalCode = keyof typeof words;

/** Thrown to Hocuspocus, which tells the page code and reason. */
export class Refusal extends Error {
  readonly code: number;
  readonly reason: string;

  constructor(code: number, reason: string) {
    // No message and no stack: Hocuspocus prints both, and a refused page is nothing for the log.
    super("");
    this.stack = reason;
    this.code = code;
    this.reason = reason;
    // What Hocuspocus prints of a refused message: one line.
    Object.defineProperty(this, inspect.custom, { value: () => reason });
  }
}

export const refusalReason = (code: RefusalCode): string => `${code}: ${words[code]}`;

export const refusal = (code: RefusalCode): Refusal => new Refusal(refusedCode, refusalReason(code));

/** Something broke inside; what it was stays inside, for it may name files of this machine. */
export const brokenInside = (): Refusal => new Refusal(notKeptCode, "not-kept: server error");

/** The disc said no. The reason is cut to what a close frame holds. */
export const notKept = (what: string): Refusal => new Refusal(notKeptCode, asciiReason(`not-kept: ${what}`));

const asciiReason = (text: string): string => text.replace(/[^\x20-\x7e]/g, "?").slice(0, 120);
