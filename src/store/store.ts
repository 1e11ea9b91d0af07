/**
 * The book on disc: one SQLite file and a folder for assets in a data directory that one process owns. What
 * `append` returned for is on the disc. All calls but `backup` are synchronous: a commit is short, and nothing can
 * come between deciding and writing.
 */

import { mkdirSync, readdirSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import * as Y from "yjs";
import { type Kit, parseKit, printSetup, type Setup } from "../setup/index.ts";
import { docToKit, docToSetup, kitToDoc, setupToDoc, writeKit } from "../sync/index.ts";
import { fault, type Result } from "../units/index.ts";
import { checkBackup, flushFolder, prepareRestore, swapIn, writeBackup } from "./backup.ts";
import { type BookFile, parseBook } from "./book-file.ts";
import { FactColumns } from "./fact-columns.ts";
import { FrameShelf } from "./frames.ts";
import { countItems, emptied, mergeKits } from "./kit-merge.ts";
import { type DirectoryLock, lockDirectory } from "./lock.ts";
import * as log from "./log.ts";
import { openBookFile, pragmaNumber, schemaVersion } from "./schema.ts";
import { searchCards } from "./search.ts";
import { Statements } from "./statements.ts";
import { guarded, guardedLong, StoreError } from "./store-error.ts";
import type { BookInfo, CardFilter, CardPage } from "./types.ts";

export interface StoreOptions {
  readonly dataDir: string;
  readonly now: () => Date;
  readonly newId: () => string;
}

export interface Imported {
  /** Setups written, and their ids in this book. */
  readonly setups: number;
  readonly ids: readonly string[];
  /** Setups that this book had already, word for word. */
  readonly same: number;
  /** Kit items added. */
  readonly kitItems: number;
  /** The update that added them to a kit that was there, for whoever has it open. */
  readonly kitUpdate: Uint8Array | null;
}

/** Opens the book in a folder, making both when they are not there. Faults: held by another process, no book, not writable. */
export function openStore(options: StoreOptions): Result<Store> {
  const dataDir = resolve(options.dataDir);
  return guarded(dataDir, () => {
    mkdirSync(join(dataDir, "assets"), { recursive: true });
    const lock = lockDirectory(dataDir, options.now().toISOString());
    try {
      removeLeftovers(dataDir);
      const store = new Store({ ...options, dataDir }, lock);
      store.frames.removeLeftovers();
      flushFolder(dataDir);
      return store;
    } catch (error) {
      lock.release();
      throw error;
    }
  });
}

/** Backups that a process was sending or receiving when it ended. Only who holds the lock may do this. */
function removeLeftovers(dataDir: string): void {
  for (const name of readdirSync(dataDir)) {
    if (/^(outgoing|incoming)-[\w-]+\.sqlite/.test(name)) rmSync(join(dataDir, name), { force: true });
  }
}

export class Store {
  readonly dataDir: string;
  /** Test frames, kept beside the documents. */
  readonly frames: FrameShelf;
  readonly #options: StoreOptions;
  readonly #lock: DirectoryLock;
  #sql: Statements;
  /** Made when it is first searched for; belongs to the open file. */
  #facts: FactColumns | null = null;
  /** How many are being written. */
  #backups = 0;

  constructor(options: StoreOptions, lock: DirectoryLock) {
    this.dataDir = options.dataDir;
    this.#options = options;
    this.#lock = lock;
    this.#sql = new Statements(openBookFile(this.#file, { id: options.newId() }));
    this.frames = new FrameShelf({ ...options, sql: () => this.#sql });
  }

  get #file(): string {
    return join(this.dataDir, "book.sqlite");
  }

  /** Which book this is, and since which restoring. */
  get identity(): { readonly id: string; readonly generation: number } {
    const meta = (key: string): string => String(this.#sql.get("SELECT value FROM meta WHERE key = ?", key)?.value);
    return { id: meta("id"), generation: Number(meta("generation")) };
  }

  info(): BookInfo {
    const count = (where: string): number =>
      Number(this.#sql.get(`SELECT count(*) AS n FROM documents WHERE name != 'kit' AND trashed_ms IS ${where}`)?.n);
    return {
      ...this.identity,
      version: schemaVersion,
      counts: { setups: count("NULL"), trashed: count("NOT NULL") },
    };
  }

  /** `PRAGMA synchronous` of the open file: 2 is FULL. */
  get synchronous(): number {
    return pragmaNumber(this.#sql.db, "synchronous");
  }

  /** The most pages that the file may grow to, at least what it has: a quota, and how tests fill the disc. */
  limitPages(pages: number): void {
    this.#sql.db.exec(`PRAGMA max_page_count = ${Math.max(1, Math.trunc(pages))}`);
  }

  find(name: string): log.DocumentEntry | null {
    return log.findDocument(this.#sql, name);
  }

  /** Appends a checked update; on the disc when this returns. `value` is what the document says after it. */
  append(name: string, bytes: Uint8Array, value: log.DocumentValue): Result<void> {
    return this.#guarded(() =>
      this.#sql.atomically(() => {
        const entry = this.#expect(name);
        log.append(this.#sql, entry.number, bytes, value, this.#options.now());
      }),
    );
  }

  /** Snapshot and updates of a document, to be applied in this order. */
  load(name: string): Result<readonly Uint8Array[]> {
    return this.#guarded(() => log.readLog(this.#sql, this.#expect(name).number));
  }

  /** Shortens a document's log into a snapshot when it holds more than `keep` updates. */
  compact(name: string, keep = 0): Result<void> {
    return this.#guarded(() => {
      const { number } = this.#expect(name);
      if (log.updatesKept(this.#sql, number) > keep) this.#sql.atomically(() => log.compactLog(this.#sql, number));
    });
  }

  /** New setups in one transaction: all or none. Faults: an id that the book has already, in use or in the trash. */
  addSetups(setups: readonly Setup[]): Result<void> {
    return this.#guarded(() => this.#sql.atomically(() => this.#create(setups)));
  }

  /** The kit of a book that has none yet, and its first setups: all or nothing. */
  addKit(kit: Kit, setups: readonly Setup[] = []): Result<void> {
    return this.#guarded(() =>
      this.#sql.atomically(() => {
        this.#createKit(kit);
        this.#create(setups);
      }),
    );
  }

  /** A setup as it stands, from its log. */
  setup(id: string): Result<Setup> {
    const read = this.#document(log.setupName(id));
    return read.ok ? docToSetup(read.value) : read;
  }

  /** The kit as it stands, from its log. */
  kit(): Result<Kit> {
    const read = this.#document(log.kitName);
    return read.ok ? docToKit(read.value) : read;
  }

  /** Puts a setup into the trash or takes it out. */
  trash(id: string, trashed: boolean): Result<void> {
    return this.#guarded(() =>
      this.#sql.atomically(() => {
        const { number } = this.#expect(log.setupName(id));
        log.setTrashed(this.#sql, number, trashed ? this.#options.now() : null);
      }),
    );
  }

  /** The first page of cards that match, newest change first, and how many match. */
  cards(filter: CardFilter = {}): Result<CardPage> {
    return this.#guarded(() => searchCards(this.#sql, this.#searched(), filter));
  }

  /** Reads what searches need into memory now, so that the first one does not wait for it. */
  prepareSearch(): Result<void> {
    return this.#guarded(() => this.#searched().follow());
  }

  /** The book as one value; what lies in the trash is left out. */
  exportBook(): Result<BookFile> {
    return this.#guarded(() => {
      const rows = this.#sql.all(
        "SELECT name FROM documents WHERE name != 'kit' AND trashed_ms IS NULL ORDER BY number",
      );
      const setups = rows.map((row) => expectStored(this.setup(String(row.name).slice("setup.".length))));
      const kits = this.find(log.kitName) === null ? [] : [expectStored(this.kit())];
      return { format: "stopwise-book", version: 1, setups, kits };
    });
  }

  /**
   * Adds an exported book to this one. A setup that is here already, word for word, is skipped; one whose id is
   * taken by another comes in under a new id. Kit items with ids that are not here are added to the kit, the
   * others stay as they are. Any fault, and nothing is written.
   */
  importBook(json: unknown): Result<Imported> {
    const book = parseBook(json);
    return book.ok ? this.#guarded(() => this.#sql.atomically(() => this.#import(book.value))) : book;
  }

  /** Writes a consistent copy of the book, assets included, into one new file; other calls go on meanwhile. */
  async backup(file: string): Promise<Result<void>> {
    this.#backups += 1;
    try {
      return await guardedLong(file, () => writeBackup(this.#sql.db, join(this.dataDir, "assets"), resolve(file)));
    } finally {
      this.#backups -= 1;
    }
  }

  /** Replaces the book by a backup and begins a new generation; the book that was stays beside it. */
  restore(file: string): Result<BookInfo> {
    return guarded(file, () => {
      if (this.#backups > 0) {
        throw new StoreError(fault("book-busy", "A backup is being written", file, "Try again when it is done."));
      }
      const before = this.info().generation;
      const seconds = Math.floor(this.#options.now().getTime() / 1000);
      const generation = Math.max(before + 1, checkBackup(file).generation + 1, seconds);
      const ready = prepareRestore(file, this.dataDir, generation);
      this.#sql.db.close();
      try {
        swapIn(ready, this.#file, join(this.dataDir, `book-until-${generation}.sqlite`));
      } finally {
        this.#facts = null;
        this.#sql = new Statements(openBookFile(this.#file, { id: this.#options.newId() }));
      }
      return this.info();
    });
  }

  close(): void {
    this.#sql.db.close();
    this.#lock.release();
  }

  #guarded<T>(work: () => T): Result<T> {
    return guarded(this.#file, work);
  }

  #searched(): FactColumns {
    this.#facts ??= new FactColumns(this.#sql);
    return this.#facts;
  }

  #expect(name: string): log.DocumentEntry {
    const entry = this.find(name);
    if (entry !== null) return entry;
    throw new StoreError(
      fault(
        "no-setup",
        "There is no such setup in this book",
        name,
        "Look it up in the Book; it may be on another machine.",
      ),
    );
  }

  #document(name: string): Result<Y.Doc> {
    return this.#guarded(() => {
      const doc = new Y.Doc();
      for (const bytes of log.readLog(this.#sql, this.#expect(name).number)) Y.applyUpdate(doc, bytes);
      return doc;
    });
  }

  #create(setups: readonly Setup[]): void {
    const taken = setups.filter((setup) => this.find(log.setupName(setup.id)) !== null);
    if (taken.length > 0) {
      throw new StoreError(
        ...taken.map(({ id }) =>
          fault("id-taken", `There is a setup "${id}" already`, id, "Give the new one another id."),
        ),
      );
    }
    for (const setup of setups) {
      const bytes = encoded((doc) => setupToDoc(doc, setup));
      log.createDocument(this.#sql, log.setupName(setup.id), bytes, { kind: "setup", setup }, this.#options.now());
    }
  }

  #createKit(kit: Kit): void {
    const bytes = encoded((doc) => kitToDoc(doc, kit));
    log.createDocument(this.#sql, log.kitName, bytes, { kind: "kit", kit }, this.#options.now());
  }

  #import(book: BookFile): Imported {
    const fresh: Setup[] = [];
    for (const setup of book.setups) {
      const here = this.find(log.setupName(setup.id)) === null ? null : expectStored(this.setup(setup.id));
      if (here === null) fresh.push(setup);
      else if (!sameText(here, setup)) fresh.push({ ...setup, id: this.#options.newId() });
    }
    this.#create(fresh);
    return {
      setups: fresh.length,
      ids: fresh.map((setup) => setup.id),
      same: book.setups.length - fresh.length,
      ...this.#importKits(book.kits),
    };
  }

  #importKits(kits: readonly Kit[]): Pick<Imported, "kitItems" | "kitUpdate"> {
    const [first] = kits;
    if (first === undefined) return { kitItems: 0, kitUpdate: null };
    const here = this.find(log.kitName) === null ? null : expectStored(this.kit());
    const start = here ?? emptied(first);
    const merged = expectStored(parseKit(kits.reduce(mergeKits, start)));
    const kitItems = countItems(merged) - countItems(start);
    if (here === null) this.#createKit(merged);
    return { kitItems, kitUpdate: here === null || kitItems === 0 ? null : this.#changeKit(here, merged) };
  }

  #changeKit(before: Kit, after: Kit): Uint8Array {
    const doc = expectStored(this.#document(log.kitName));
    const state = Y.encodeStateVector(doc);
    writeKit(doc, before, after, null);
    const update = Y.encodeStateAsUpdate(doc, state);
    const { number } = this.#expect(log.kitName);
    log.append(this.#sql, number, update, { kind: "kit", kit: after }, this.#options.now());
    return update;
  }
}

/** What the store itself wrote must be readable; if it is not, the caller is told why. */
function expectStored<T>(result: Result<T>): T {
  if (result.ok) return result.value;
  throw new StoreError(...result.faults);
}

function encoded(fill: (doc: Y.Doc) => void): Uint8Array {
  const doc = new Y.Doc();
  fill(doc);
  const bytes = Y.encodeStateAsUpdate(doc);
  doc.destroy();
  return bytes;
}

const sameText = (a: Setup, b: Setup): boolean => printSetup(a) === printSetup(b);
