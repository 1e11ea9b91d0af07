/**
 * The Stopwise that is running on a data directory, if one is. `start` leaves a note with its address in the
 * folder; the note counts only while the server there answers for the same book.
 */

import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";

export interface Running {
  /** "http://127.0.0.1:47115" */
  readonly address: string;
  /** The id of the book that it serves. */
  readonly book: string;
}

const noteOf = (dataDir: string): string => join(dataDir, "address.json");

/** Leaves the note. Give it back with `forgetRunning`. */
export function noteRunning(dataDir: string, running: Running): void {
  writeFileSync(noteOf(dataDir), `${JSON.stringify(running)}\n`);
}

export function forgetRunning(dataDir: string): void {
  rmSync(noteOf(dataDir), { force: true });
}

/** A server on this machine answers at once; one that does not is not there. */
const PATIENCE_MS = 3000;

/** The address of the server that has this book open, or null. A stale note counts as none. */
export async function findRunning(dataDir: string): Promise<string | null> {
  const note = readNote(dataDir);
  if (note === null) return null;
  try {
    const answer = await fetch(`${note.address}/api/book`, { signal: AbortSignal.timeout(PATIENCE_MS) });
    const { id } = (await answer.json()) as { readonly id?: unknown };
    return id === note.book ? note.address : null;
  } catch {
    return null;
  }
}

function readNote(dataDir: string): Running | null {
  try {
    const { address, book } = JSON.parse(readFileSync(noteOf(dataDir), "utf8")) as Partial<Record<string, unknown>>;
    // Only this machine is ever asked, whatever the note says.
    if (typeof address !== "string" || !/^http:\/\/127\.0\.0\.1(:\d{1,5})?$/.test(address)) return null;
    return typeof book === "string" ? { address, book } : null;
  } catch {
    return null;
  }
}
