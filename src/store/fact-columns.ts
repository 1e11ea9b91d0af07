/**
 * The `facts` of a book in memory, one typed array for each column, so that a search over 100,000 setups reads
 * a few megabytes front to back and not the disc. Documents are numbered from 1 without gaps, so the number of a
 * document is its place in the arrays. `#order` lists them by their last change and is kept sorted.
 *
 * Sound because one process owns the data directory and every change goes through one connection: triggers on it
 * note which documents a transaction changed, within that transaction, and `follow` reads those anew. What was
 * rolled back is never noted. About 70 bytes a document, up to twice that after growing.
 */

import type { SQLOutputValue, StatementSync } from "node:sqlite";
import { type BitColumns, bitsPerColumn, columnCount } from "./kit-bits.ts";
import type { Statements } from "./statements.ts";

/** Kit bits come in 62s from the disc and are compared as whole numbers of 31 bits. */
const bitsPerPart = bitsPerColumn / 2;
const kitParts = 2 * columnCount;
const partMask = 2 ** bitsPerPart - 1;

const kitColumns: string = Array.from(
  { length: columnCount },
  (_, i) => `kit${i} & ${partMask}, kit${i} >> ${bitsPerPart}`,
).join(", ");

const factsSql = `SELECT document, changed_ms, trashed, lights, main_to_fill, roles, medium, met,
  width_mm, depth_mm, height_mm, kit_beyond, ${kitColumns} FROM facts`;

/** Columns before those of the kit. */
const plainColumns = 12;

/** Notes what a transaction changes; temporary tables live in memory and are rolled back with the rest. */
const noteChanges = `
CREATE TEMP TABLE IF NOT EXISTS touched (document INTEGER PRIMARY KEY);
CREATE TEMP TRIGGER IF NOT EXISTS fact_added AFTER INSERT ON main.facts
  BEGIN INSERT OR IGNORE INTO touched VALUES (new.document); END;
CREATE TEMP TRIGGER IF NOT EXISTS fact_changed AFTER UPDATE ON main.facts
  BEGIN INSERT OR IGNORE INTO touched VALUES (new.document); END;
CREATE TEMP TRIGGER IF NOT EXISTS fact_removed AFTER DELETE ON main.facts
  BEGIN INSERT OR IGNORE INTO touched VALUES (old.document); END;
`;

export class FactColumns {
  changedMs: Float64Array = new Float64Array(0);
  trashed: Uint8Array = new Uint8Array(0);
  lights: Uint32Array = new Uint32Array(0);
  /** Stops; NaN when there is none. */
  mainToFill: Float64Array = new Float64Array(0);
  roles: Uint8Array = new Uint8Array(0);
  medium: Uint8Array = new Uint8Array(0);
  met: Uint8Array = new Uint8Array(0);
  widthMm: Uint32Array = new Uint32Array(0);
  depthMm: Uint32Array = new Uint32Array(0);
  heightMm: Uint32Array = new Uint32Array(0);
  /** 1 where tokens past the last bit are listed by name. */
  kitBeyond: Uint8Array = new Uint8Array(0);
  /** The parts of one document beside each other. */
  kit: Int32Array = new Int32Array(0);

  readonly #sql: Statements;
  readonly #one: StatementSync;
  #known: Uint8Array = new Uint8Array(0);
  /** Oldest change first; of one moment, the higher number first: the newest-first order, backwards. */
  #order: Uint32Array = new Uint32Array(0);
  #count = 0;

  /** Reads all facts of an open book. */
  constructor(sql: Statements) {
    this.#sql = sql;
    sql.db.exec(noteChanges);
    this.#one = sql.db.prepare(`${factsSql} WHERE document = ?`);
    this.#one.setReturnArrays(true);
    this.#load();
  }

  /** Places for documents; their numbers are below this. */
  get size(): number {
    return this.#known.length;
  }

  /** Takes in what was committed since the last time. */
  follow(): void {
    const touched = this.#sql.all("SELECT document FROM temp.touched");
    if (touched.length === 0) return;
    // After a large import reading everything is quicker than reading most of it one by one.
    if (touched.length > 1000 && touched.length > this.#count / 4) this.#load();
    else for (const { document } of touched) this.#renew(Number(document));
    this.#sql.run("DELETE FROM temp.touched");
  }

  /** All documents, newest change first, then by number. The caller may alter the list. */
  newestFirst(): Uint32Array {
    return this.#order.slice(0, this.#count).reverse();
  }

  #load(): void {
    this.#count = 0;
    this.#known.fill(0);
    const all = this.#sql.db.prepare(`${factsSql} ORDER BY changed_ms, document DESC`);
    all.setReturnArrays(true);
    for (const row of all.iterate()) this.#put(row as unknown as readonly SQLOutputValue[]);
  }

  #renew(document: number): void {
    const row = this.#one.get(document) as unknown as readonly SQLOutputValue[] | undefined;
    if (row === undefined) this.#remove(document);
    else this.#put(row);
  }

  /** A row as `factsSql` gives it. */
  #put(row: readonly SQLOutputValue[]): void {
    const at = Number(row[0]);
    this.#remove(at);
    if (at >= this.size) this.#grow(at);
    const fill = row[4];
    this.changedMs[at] = Number(row[1]);
    this.trashed[at] = Number(row[2]);
    this.lights[at] = Number(row[3]);
    this.mainToFill[at] = fill === null ? Number.NaN : Number(fill);
    this.roles[at] = Number(row[5]);
    this.medium[at] = Number(row[6]);
    this.met[at] = Number(row[7]);
    this.widthMm[at] = Number(row[8]);
    this.depthMm[at] = Number(row[9]);
    this.heightMm[at] = Number(row[10]);
    this.kitBeyond[at] = Number(row[11]);
    for (let part = 0; part < kitParts; part++) this.kit[at * kitParts + part] = Number(row[plainColumns + part]);
    const place = this.#placeOf(at);
    this.#order.copyWithin(place + 1, place, this.#count);
    this.#order[place] = at;
    this.#count += 1;
    this.#known[at] = 1;
  }

  #remove(document: number): void {
    if (this.#known[document] !== 1) return;
    const place = this.#placeOf(document);
    this.#order.copyWithin(place, place + 1, this.#count);
    this.#count -= 1;
    this.#known[document] = 0;
  }

  /** Where a document stands in the order, or belongs: how many come before it. */
  #placeOf(document: number): number {
    let [low, high] = [0, this.#count];
    // Nearly every change is the newest.
    if (high > 0 && this.#isBefore(this.#order[high - 1] as number, document)) return high;
    while (low < high) {
      const middle = (low + high) >>> 1;
      if (this.#isBefore(this.#order[middle] as number, document)) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  #isBefore(a: number, b: number): boolean {
    const [aMs, bMs] = [this.changedMs[a] as number, this.changedMs[b] as number];
    return aMs < bMs || (aMs === bMs && a > b);
  }

  #grow(document: number): void {
    const size = Math.max(64, document + 1, 2 * this.size);
    this.changedMs = grown(this.changedMs, new Float64Array(size));
    this.trashed = grown(this.trashed, new Uint8Array(size));
    this.lights = grown(this.lights, new Uint32Array(size));
    this.mainToFill = grown(this.mainToFill, new Float64Array(size));
    this.roles = grown(this.roles, new Uint8Array(size));
    this.medium = grown(this.medium, new Uint8Array(size));
    this.met = grown(this.met, new Uint8Array(size));
    this.widthMm = grown(this.widthMm, new Uint32Array(size));
    this.depthMm = grown(this.depthMm, new Uint32Array(size));
    this.heightMm = grown(this.heightMm, new Uint32Array(size));
    this.kitBeyond = grown(this.kitBeyond, new Uint8Array(size));
    this.kit = grown(this.kit, new Int32Array(size * kitParts));
    this.#order = grown(this.#order, new Uint32Array(size));
    this.#known = grown(this.#known, new Uint8Array(size));
  }

  /** Whether all that a document needs is among these bits of a kit, as `kitPartsOf` gives them. */
  kitCovers(document: number, offered: Int32Array): boolean {
    const from = document * kitParts;
    for (let part = 0; part < kitParts; part++) {
      if (((this.kit[from + part] as number) & ~(offered[part] as number)) !== 0) return false;
    }
    return true;
  }
}

/** Bits of a kit in the parts that are compared. */
export function kitPartsOf(columns: BitColumns): Int32Array {
  const mask = BigInt(partMask);
  return Int32Array.from(
    columns.flatMap((column) => [Number(column & mask), Number((column >> BigInt(bitsPerPart)) & mask)]),
  );
}

function grown<T extends Float64Array | Uint32Array | Uint8Array | Int32Array>(from: T, to: T): T {
  to.set(from);
  return to;
}
