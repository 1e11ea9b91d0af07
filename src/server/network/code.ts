/**
 * The code that lets one device in: valid two minutes, for one use. Guessing is bounded three ways: a few wrong
 * codes an address and minute, a few more for a code in all, after which it is withdrawn, and its 32 bits. Codes
 * are compared by their hashes in constant time.
 */

import { createHash, timingSafeEqual } from "node:crypto";
import type { Permission } from "../../store/index.ts";
import { drawCode, tidyCode } from "./words.ts";

export const codeLastsMs = 120_000;
/** Wrong codes from one address within `addressWindowMs`; more are not looked at. */
export const mostPerAddress = 5;
export const addressWindowMs = 60_000;
/** Wrong codes for one code, from wherever; then it is withdrawn. */
export const mostPerCode = 20;
/** Addresses remembered at once; more wait for the window to pass. */
const mostAddresses = 1000;

export interface OpenCode {
  readonly words: string;
  readonly permission: Permission;
  readonly until: Date;
}

export type Verdict =
  | { readonly kind: "right"; readonly permission: Permission }
  | { readonly kind: "wrong" | "slow-down" | "no-code" };

export class PairingCode {
  #open: OpenCode | null = null;
  #wrong = 0;
  readonly #guesses = new Map<string, { count: number; since: number }>();

  /** Makes a new code; one that was open before is void. */
  make(permission: Permission, now: Date): OpenCode {
    this.#wrong = 0;
    this.#open = { words: drawCode(), permission, until: new Date(now.getTime() + codeLastsMs) };
    return this.#open;
  }

  withdraw(): void {
    this.#open = null;
  }

  /** The code that is open now. */
  current(now: Date): OpenCode | null {
    if (this.#open !== null && now >= this.#open.until) this.#open = null;
    return this.#open;
  }

  /** Tries what somebody typed. A right one is used up. */
  guess(typed: string, address: string, now: Date): Verdict {
    if (!this.#mayGuess(address, now.getTime())) return { kind: "slow-down" };
    const open = this.current(now);
    const right = timingSafeEqual(hash(tidyCode(typed)), hash(open?.words ?? ""));
    if (open !== null && right) {
      this.#open = null;
      this.#guesses.delete(address);
      return { kind: "right", permission: open.permission };
    }
    this.#count(address, now.getTime());
    this.#wrong += 1;
    if (this.#wrong >= mostPerCode) this.#open = null;
    return { kind: open === null ? "no-code" : "wrong" };
  }

  #mayGuess(address: string, nowMs: number): boolean {
    for (const [key, { since }] of this.#guesses) {
      // A clock that was set back must not lock anybody out for long.
      if (nowMs - since >= addressWindowMs || nowMs < since) this.#guesses.delete(key);
    }
    const known = this.#guesses.get(address);
    return known === undefined ? this.#guesses.size < mostAddresses : known.count < mostPerAddress;
  }

  #count(address: string, nowMs: number): void {
    const known = this.#guesses.get(address);
    if (known === undefined) this.#guesses.set(address, { count: 1, since: nowMs });
    else known.count += 1;
  }
}

const hash = (text: string): Buffer => createHash("sha256").update(text).digest();
