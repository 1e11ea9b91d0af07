/**
 * One process owns a data directory. The lock is an exclusive transaction on a small database of its own:
 * the system lets go of it when the process ends, however it ends. A note beside it says who holds it; the
 * note is for words only and may be stale.
 */

import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { fault } from "../units/index.ts";
import { StoreError } from "./store-error.ts";

export interface DirectoryLock {
  release(): void;
}

const sqliteBusy = 5;

/** Takes the lock or throws a StoreError that names the holder. */
export function lockDirectory(dataDir: string, startedAt: string): DirectoryLock {
  const note = join(dataDir, "owner.json");
  const db = new DatabaseSync(join(dataDir, "lock.sqlite"));
  try {
    db.exec("PRAGMA busy_timeout = 0; BEGIN EXCLUSIVE");
  } catch (error) {
    db.close();
    if ((error as { errcode?: number }).errcode !== sqliteBusy) throw error;
    throw new StoreError(
      fault(
        "book-open-elsewhere",
        `This book is already open${holderWords(note)}`,
        dataDir,
        "Use the Stopwise that is running, close it first, or name another folder with --data.",
      ),
    );
  }
  try {
    writeFileSync(note, `${JSON.stringify({ pid: process.pid, since: startedAt })}\n`);
  } catch (error) {
    // A disc that takes no note must not stay locked for the next try.
    db.close();
    throw error;
  }
  return {
    release: () => {
      rmSync(note, { force: true });
      db.close();
    },
  };
}

function holderWords(note: string): string {
  try {
    const { pid, since } = JSON.parse(readFileSync(note, "utf8")) as { pid?: unknown; since?: unknown };
    return Number.isInteger(pid) ? ` in process ${Number(pid)}, since ${String(since).slice(0, 40)}` : "";
  } catch {
    return "";
  }
}
