/**
 * Backing up and restoring. A backup is one SQLite file: the book as it is at one moment, and the files of
 * the assets folder in a table of their own. Restoring checks the file first, sets the book aside, and
 * begins a new generation, so that pages opened before do not write the future back.
 */

import {
  closeSync,
  copyFileSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { open, readdir, readFile } from "node:fs/promises";
import { basename, dirname, join } from "node:path";
import { backup, DatabaseSync } from "node:sqlite";
import { fault } from "../units/index.ts";
import { checkBookFile } from "./schema.ts";
import { StoreError } from "./store-error.ts";

/** Pages copied between two looks at what else is to be done: a few milliseconds' work. */
const pagesAtATime = 100;

/**
 * Writes a consistent copy of the open book, in steps: others are served meanwhile, and what they write is in the
 * copy too. Throws when the file is there already.
 */
export async function writeBackup(db: DatabaseSync, assetsDir: string, file: string): Promise<void> {
  if (existsSync(file)) {
    throw new StoreError(fault("file-exists", "There is a file of that name already", file, "Choose another name."));
  }
  const partial = `${file}.partial`;
  removeBook(partial);
  try {
    await backup(db, partial, { rate: pagesAtATime });
    await addAssets(partial, assetsDir);
    const handle = await open(partial, "r+");
    await handle.sync().finally(() => handle.close());
    renameSync(partial, file);
    flushFolder(dirname(file));
  } finally {
    removeBook(partial);
  }
}

async function addAssets(file: string, assetsDir: string): Promise<void> {
  const copy = new DatabaseSync(file);
  try {
    // A copy of a book in use is in its mode of writing; a backup is one file.
    copy.exec("PRAGMA journal_mode = DELETE; BEGIN; CREATE TABLE assets (name TEXT PRIMARY KEY, bytes BLOB NOT NULL)");
    const put = copy.prepare("INSERT INTO assets (name, bytes) VALUES (?, ?)");
    for (const entry of await readdir(assetsDir, { withFileTypes: true })) {
      if (entry.isFile()) put.run(entry.name, await readFile(join(assetsDir, entry.name)));
    }
    copy.exec("COMMIT");
  } finally {
    copy.close();
  }
}

function removeBook(file: string): void {
  for (const end of ["", "-wal", "-shm", "-journal"]) rmSync(`${file}${end}`, { force: true });
}

/** What a backup says of itself, after every check. Throws a StoreError when it is no whole, readable book. */
export function checkBackup(file: string): { readonly generation: number } {
  if (!existsSync(file)) throw new StoreError(fault("no-file", "There is no such file", file, "Check the name."));
  if (!statSync(file).isFile()) {
    throw new StoreError(
      fault("not-a-book", "This is a folder, not a backup", file, "Choose the file that a backup wrote."),
    );
  }
  const db = new DatabaseSync(file, { readOnly: true });
  try {
    checkBookFile(db, file);
    const verdict = db.prepare("PRAGMA integrity_check(1)").get()?.integrity_check;
    const row = db.prepare("SELECT value FROM meta WHERE key = 'generation'").get();
    const generation = Number(row?.value);
    if (verdict !== "ok" || !Number.isSafeInteger(generation)) {
      throw new StoreError(
        fault("book-damaged", "The backup is damaged", file, "Restore another backup; nothing was changed."),
      );
    }
    return { generation };
  } finally {
    db.close();
  }
}

/** A checked backup made ready beside the book: its generation set, its assets unpacked. Gives its path. */
export function prepareRestore(file: string, dataDir: string, generation: number): string {
  const ready = join(dataDir, "restoring.sqlite");
  removeBook(ready);
  copyFileSync(file, ready);
  const db = new DatabaseSync(ready);
  try {
    db.exec("PRAGMA journal_mode = DELETE; PRAGMA synchronous = FULL");
    db.prepare("UPDATE meta SET value = ? WHERE key = 'generation'").run(String(generation));
    unpackAssets(db, join(dataDir, "assets"));
  } finally {
    db.close();
  }
  flush(ready);
  return ready;
}

/** Assets are named by whoever keeps them and never altered, so that one already there stays. */
function unpackAssets(db: DatabaseSync, assetsDir: string): void {
  if (db.prepare("SELECT 1 FROM sqlite_schema WHERE name = 'assets'").get() === undefined) return;
  mkdirSync(assetsDir, { recursive: true });
  for (const row of db.prepare("SELECT name, bytes FROM assets").iterate()) {
    const name = String(row.name);
    if (basename(name) !== name || name === "." || name === ".." || name.includes("\0")) {
      throw new StoreError(
        fault("book-damaged", "The backup holds a file with an unsafe name", "assets", "Restore another backup."),
      );
    }
    const path = join(assetsDir, name);
    if (!existsSync(path)) writeFileSync(path, row.bytes as Uint8Array);
  }
  db.exec("DROP TABLE assets");
}

/** Puts the prepared file in place of the closed book, which is kept under another name. */
export function swapIn(ready: string, book: string, kept: string): void {
  // A log left beside the old file must never be taken for one of the new file.
  if (existsSync(`${book}-wal`)) {
    throw new StoreError(
      fault("book-busy", "The book did not close", book, "Stop Stopwise, start it, and restore again."),
    );
  }
  renameSync(book, kept);
  renameSync(ready, book);
  flushFolder(dirname(book));
}

function flush(file: string): void {
  const handle = openSync(file, "r+");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Makes a rename or a new file last; some systems refuse to flush a folder and keep it anyway. */
export function flushFolder(folder: string): void {
  if (process.platform === "win32") return;
  const handle = openSync(folder, "r");
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}
