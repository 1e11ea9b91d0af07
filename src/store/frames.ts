/**
 * Test frames of the book: the files as they came, by their hash, in `frames/ab/abcdef….jpg`, a linear proxy and a small
 * picture beside each; a row says which setup a frame belongs to. A file is whole under its name or not there: it is
 * received under a passing name, flushed, renamed, and only then does a row speak of it. The same bytes are one file,
 * and one row a setup. Nothing is ever deleted but by hand.
 */

import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
  writeSync,
} from "node:fs";
import { join } from "node:path";
import type { Shows } from "../frames/index.ts";
import type { Id } from "../setup/index.ts";
import { fault, type Result } from "../units/index.ts";
import { flushFolder } from "./backup.ts";
import { setupName } from "./log.ts";
import type { Row, Statements } from "./statements.ts";
import { guarded, StoreError } from "./store-error.ts";
import type { FrameAssignment, FrameCard } from "./types.ts";

/** What is known of a frame when it is kept. */
export interface NewFrame {
  readonly card: Omit<FrameCard, "id" | "setupId" | "order" | "assignment" | "addedAt">;
  readonly proxy: Uint8Array;
  /** A small JPEG. */
  readonly thumb: Uint8Array | null;
}

export interface KeptFrame {
  readonly card: FrameCard;
  /** False: the setup had these bytes already, and the card is that frame's. */
  readonly isNew: boolean;
}

/** Where a frame's files lie. */
export interface FrameFiles {
  readonly original: string;
  readonly proxy: string;
  readonly thumb: string;
}

export interface ShelfParts {
  readonly dataDir: string;
  /** Of the open book; another after a restore. */
  readonly sql: () => Statements;
  readonly now: () => Date;
  readonly newId: () => string;
}

export class FrameShelf {
  readonly #parts: ShelfParts;
  readonly #folder: string;

  constructor(parts: ShelfParts) {
    this.#parts = parts;
    this.#folder = join(parts.dataDir, "frames");
  }

  /** A path for a file that is being received; whoever asks writes it, and `keep` or the next start removes it. */
  newPartial(): Result<string> {
    return this.#guarded(() => {
      mkdirSync(this.#folder, { recursive: true });
      return join(this.#folder, `${this.#parts.newId()}.incoming`);
    });
  }

  /** Files that were being received when a process ended. Only who holds the book's lock may do this. */
  removeLeftovers(): void {
    if (!existsSync(this.#folder)) return;
    for (const name of readdirSync(this.#folder)) {
      if (name.endsWith(".incoming")) rmSync(join(this.#folder, name), { force: true });
    }
  }

  /** Frames of a setup, in the order in which they came. */
  list(setupId: Id): Result<readonly FrameCard[]> {
    return this.#guarded(() => {
      this.#expectSetup(setupId);
      return this.#sql.all("SELECT * FROM frames WHERE setup_id = ? ORDER BY place", setupId).map(cardOf);
    });
  }

  card(id: Id): Result<FrameCard> {
    return this.#guarded(() => cardOf(this.#expect(id)));
  }

  /** The frame of a setup that has these bytes; null when there is none. */
  find(setupId: Id, sha256: string): Result<FrameCard | null> {
    return this.#guarded(() => {
      const row = this.#sql.get("SELECT * FROM frames WHERE setup_id = ? AND sha256 = ?", setupId, sha256);
      return row === undefined ? null : cardOf(row);
    });
  }

  /** Paths of a frame's files. Fault: the original is not there, as after a restore on another machine. */
  files(id: Id): Result<FrameFiles> {
    return this.#guarded(() => {
      const files = this.#filesOf(String(this.#expect(id).file));
      if (existsSync(files.original)) return files;
      const mend =
        "Backups hold no frames: copy the folder `frames` of that book beside this one, or add the file again.";
      throw new StoreError(fault("no-frame-file", "The frame's file is not on this machine", id, mend));
    });
  }

  /** Takes in a received, flushed file; on the disc, with its row, when this returns. The file at `partial` is gone then. */
  keep(setupId: Id, partial: string, frame: NewFrame): Result<KeptFrame> {
    return this.#guarded(() => {
      this.#expectSetup(setupId);
      const { sha256, name } = frame.card;
      const known = this.find(setupId, sha256);
      if (known.ok && known.value !== null) {
        rmSync(partial, { force: true });
        return { card: known.value, isNew: false };
      }
      const file = fileName(sha256, name);
      this.#place(partial, this.#filesOf(file), frame);
      return { card: this.#insert(setupId, file, frame), isNew: true };
    });
  }

  setAssignment(id: Id, assignment: FrameAssignment | null): Result<FrameCard> {
    return this.#guarded(() => {
      this.#expect(id);
      const json = assignment === null ? null : JSON.stringify(assignment);
      this.#sql.run("UPDATE frames SET assignment = ? WHERE id = ?", json, id);
      return cardOf(this.#expect(id));
    });
  }

  /** Several at once, all or none; the cards as they stand then. A frame that is gone by now is left out. */
  setAssignments(
    changes: readonly { readonly id: Id; readonly assignment: FrameAssignment }[],
  ): Result<readonly FrameCard[]> {
    return this.#guarded(() =>
      this.#sql.atomically(() =>
        changes.flatMap(({ id, assignment }) => {
          this.#sql.run("UPDATE frames SET assignment = ? WHERE id = ?", JSON.stringify(assignment), id);
          const row = this.#sql.get("SELECT * FROM frames WHERE id = ?", id);
          return row === undefined ? [] : [cardOf(row)];
        }),
      ),
    );
  }

  /** By hand only. The files go when no other setup has the same bytes. */
  remove(id: Id): Result<FrameCard> {
    return this.#guarded(() => {
      const row = this.#expect(id);
      const others = this.#sql.get("SELECT 1 FROM frames WHERE sha256 = ? AND id != ?", String(row.sha256), id);
      this.#sql.run("DELETE FROM frames WHERE id = ?", id);
      if (others === undefined) {
        for (const path of Object.values(this.#filesOf(String(row.file)))) rmSync(path, { force: true });
      }
      return cardOf(row);
    });
  }

  /** Hot folders that are switched on. */
  folders(): Result<readonly { readonly setupId: Id; readonly path: string }[]> {
    return this.#guarded(() =>
      this.#sql
        .all("SELECT * FROM frame_folders ORDER BY setup_id")
        .map((row) => ({ setupId: String(row.setup_id), path: String(row.path) })),
    );
  }

  setFolder(setupId: Id, path: string | null): Result<void> {
    return this.#guarded(() => {
      this.#expectSetup(setupId);
      if (path === null) this.#sql.run("DELETE FROM frame_folders WHERE setup_id = ?", setupId);
      else this.#sql.run("INSERT OR REPLACE INTO frame_folders (setup_id, path) VALUES (?, ?)", setupId, path);
    });
  }

  get #sql(): Statements {
    return this.#parts.sql();
  }

  #guarded<T>(work: () => T): Result<T> {
    return guarded(this.#folder, work);
  }

  #filesOf(file: string): FrameFiles {
    const sha256 = file.split(".")[0] as string;
    const folder = join(this.#folder, sha256.slice(0, 2));
    return {
      original: join(folder, file),
      proxy: join(folder, `${sha256}.proxy`),
      thumb: join(folder, `${sha256}.thumb.jpg`),
    };
  }

  /** The files under their names, flushed: what is derived first, so that an original is never without it. */
  #place(partial: string, files: FrameFiles, { proxy, thumb }: NewFrame): void {
    const folder = join(files.original, "..");
    mkdirSync(folder, { recursive: true });
    writeWhole(files.proxy, proxy);
    if (thumb !== null) writeWhole(files.thumb, thumb);
    if (existsSync(files.original)) rmSync(partial, { force: true });
    else renameSync(partial, files.original);
    flushFolder(folder);
    flushFolder(this.#folder);
  }

  #insert(setupId: Id, file: string, { card }: NewFrame): FrameCard {
    return this.#sql.atomically(() => {
      const last = this.#sql.get("SELECT max(place) AS last FROM frames WHERE setup_id = ?", setupId)?.last;
      const place = last === null || last === undefined ? 0 : Number(last) + 1;
      const id = `frame-${this.#parts.newId()}`;
      const addedAt = this.#parts.now().toISOString();
      this.#sql.run(
        "INSERT INTO frames (id, setup_id, sha256, place, file, card) VALUES (?, ?, ?, ?, ?, ?)",
        ...[id, setupId, card.sha256, place, file, JSON.stringify({ ...card, addedAt })],
      );
      return cardOf(this.#expect(id));
    });
  }

  #expect(id: Id): Row {
    const row = this.#sql.get("SELECT * FROM frames WHERE id = ?", id);
    if (row !== undefined) return row;
    throw new StoreError(
      fault("no-frame", "There is no such frame in this book", id, "Look at the setup's frames again."),
    );
  }

  #expectSetup(setupId: Id): void {
    if (this.#sql.get("SELECT 1 FROM documents WHERE name = ?", setupName(setupId)) !== undefined) return;
    throw new StoreError(fault("no-setup", "There is no such setup in this book", setupId, "Look it up in the Book."));
  }
}

/** Whether a person said what a frame shows. */
export const saidByPerson = (card: FrameCard): boolean => card.assignment?.by === "person";

/** An assignment that a person made. */
export const personSays = (shows: Shows): FrameAssignment => ({
  shows,
  confidence: 1,
  by: "person",
  why: "said by hand",
});

/** The hash and the ending that the file had, if that is a plain one. */
function fileName(sha256: string, name: string): string {
  const ending = /\.([A-Za-z0-9]{1,8})$/.exec(name)?.[1]?.toLowerCase();
  return ending === undefined ? `${sha256}.bin` : `${sha256}.${ending}`;
}

function cardOf(row: Row): FrameCard {
  const card = JSON.parse(String(row.card)) as Omit<FrameCard, "id" | "setupId" | "order" | "assignment">;
  const assignment = row.assignment === null ? null : (JSON.parse(String(row.assignment)) as FrameAssignment);
  return { ...card, id: String(row.id), setupId: String(row.setup_id), order: Number(row.place), assignment };
}

/** Under its name only when it is whole and flushed. */
function writeWhole(path: string, bytes: Uint8Array): void {
  const partial = `${path}.incoming`;
  const handle = openSync(partial, "w");
  try {
    for (let at = 0; at < bytes.length; ) at += writeSync(handle, bytes, at);
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  renameSync(partial, path);
}
