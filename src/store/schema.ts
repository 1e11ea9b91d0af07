/**
 * The book's file. `documents` and `updates` are the truth: an append-only log of shared-document updates,
 * shortened now and then into a snapshot. The rest is a projection for searching, written in the same
 * transaction. `facts` is narrow and clustered by the last change, so that it is read into memory in that order.
 */

import { DatabaseSync } from "node:sqlite";
import { fault } from "../units/index.ts";
import { StoreError } from "./store-error.ts";

export const schemaVersion = 1;
/** "STPW": tells a book from any other SQLite file. */
export const applicationId = 0x53545057;

const tables = `
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE documents (
  number INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  created_ms INTEGER NOT NULL,
  trashed_ms INTEGER
);
CREATE TABLE updates (
  seq INTEGER PRIMARY KEY AUTOINCREMENT,
  document INTEGER NOT NULL REFERENCES documents (number),
  bytes BLOB NOT NULL
);
CREATE INDEX updates_of ON updates (document, seq);
CREATE TABLE snapshots (document INTEGER PRIMARY KEY REFERENCES documents (number), bytes BLOB NOT NULL);
CREATE TABLE kits (document INTEGER PRIMARY KEY REFERENCES documents (number), json TEXT NOT NULL);
CREATE TABLE cards (document INTEGER PRIMARY KEY REFERENCES documents (number), json TEXT NOT NULL);
CREATE TABLE facts (
  changed_ms INTEGER NOT NULL,
  document INTEGER NOT NULL,
  trashed INTEGER NOT NULL,
  lights INTEGER NOT NULL,
  main_to_fill REAL,
  roles INTEGER NOT NULL,
  medium INTEGER NOT NULL,
  met INTEGER NOT NULL,
  last_metered_ms INTEGER,
  width_mm INTEGER NOT NULL,
  depth_mm INTEGER NOT NULL,
  height_mm INTEGER NOT NULL,
  kit0 INTEGER NOT NULL,
  kit1 INTEGER NOT NULL,
  kit2 INTEGER NOT NULL,
  kit3 INTEGER NOT NULL,
  kit_beyond INTEGER NOT NULL,
  PRIMARY KEY (changed_ms DESC, document)
) WITHOUT ROWID;
CREATE INDEX facts_of ON facts (document);
CREATE TABLE kit_bits (token TEXT PRIMARY KEY, bit INTEGER NOT NULL UNIQUE) WITHOUT ROWID;
CREATE TABLE kit_beyond (document INTEGER NOT NULL, token TEXT NOT NULL, PRIMARY KEY (document, token)) WITHOUT ROWID;
CREATE TABLE tags (tag TEXT NOT NULL, document INTEGER NOT NULL, PRIMARY KEY (tag, document)) WITHOUT ROWID;
CREATE INDEX tags_of ON tags (document);
CREATE VIRTUAL TABLE words USING fts5 (title, notes, tags, roles, kit, tokenize = "unicode61 remove_diacritics 2", prefix = "2 3");
`;

/**
 * Test frames, beside the documents: rows here, files in the folder `frames` by their hash. Came later than the other
 * tables and is added to books without it; programs from before it leave it alone.
 */
const frameTables = `
CREATE TABLE IF NOT EXISTS frames (
  id TEXT PRIMARY KEY,
  setup_id TEXT NOT NULL,
  sha256 TEXT NOT NULL,
  place INTEGER NOT NULL,
  file TEXT NOT NULL,
  card TEXT NOT NULL,
  assignment TEXT,
  UNIQUE (setup_id, sha256)
) WITHOUT ROWID;
CREATE INDEX IF NOT EXISTS frames_of ON frames (setup_id, place);
CREATE INDEX IF NOT EXISTS frames_by_hash ON frames (sha256);
CREATE TABLE IF NOT EXISTS frame_folders (setup_id TEXT PRIMARY KEY, path TEXT NOT NULL) WITHOUT ROWID;
`;

/** Opens or makes the book's file, durable: a commit returns after its flush to the disc. */
export function openBookFile(file: string, fresh: { readonly id: string }): DatabaseSync {
  const db = new DatabaseSync(file, { enableForeignKeyConstraints: true, timeout: 1000 });
  try {
    const isNew = db.prepare("SELECT count(*) AS n FROM sqlite_schema").get()?.n === 0;
    if (!isNew) checkBookFile(db, file);
    db.exec(
      "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON",
    );
    if (isNew) createTables(db, fresh.id);
    db.exec(frameTables);
    db.exec("PRAGMA temp_store = MEMORY");
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

/** Throws a StoreError unless this is a book of a version that this program reads. */
export function checkBookFile(db: DatabaseSync, file: string): void {
  if (pragmaNumber(db, "application_id") !== applicationId) {
    throw new StoreError(
      fault("not-a-book", "This file is not a Stopwise book", file, "Choose a book or a backup of one."),
    );
  }
  const version = pragmaNumber(db, "user_version");
  if (version > schemaVersion) {
    const what = `This book is of version ${version}; this program reads up to ${schemaVersion}`;
    throw new StoreError(fault("book-too-new", what, file, "Use the newer Stopwise that wrote it."));
  }
}

function createTables(db: DatabaseSync, id: string): void {
  db.exec("BEGIN IMMEDIATE");
  db.exec(tables);
  db.exec(`PRAGMA application_id = ${applicationId}; PRAGMA user_version = ${schemaVersion}`);
  const put = db.prepare("INSERT INTO meta (key, value) VALUES (?, ?)");
  put.run("id", id);
  put.run("generation", "1");
  db.exec("COMMIT");
}

export const pragmaNumber = (db: DatabaseSync, name: string): number =>
  Number(Object.values(db.prepare(`PRAGMA ${name}`).get() ?? {})[0]);
