/** Prepared statements by their text, and transactions, over one open database. */

import type { DatabaseSync, SQLInputValue, SQLOutputValue, StatementSync } from "node:sqlite";

export type Row = Record<string, SQLOutputValue>;

export class Statements {
  readonly db: DatabaseSync;
  readonly #prepared = new Map<string, StatementSync>();

  constructor(db: DatabaseSync) {
    this.db = db;
  }

  run(sql: string, ...values: readonly SQLInputValue[]): number {
    return Number(this.#statement(sql).run(...values).lastInsertRowid);
  }

  get(sql: string, ...values: readonly SQLInputValue[]): Row | undefined {
    return this.#statement(sql).get(...values);
  }

  all(sql: string, ...values: readonly SQLInputValue[]): readonly Row[] {
    return this.#statement(sql).all(...values);
  }

  /** All of `work` or nothing; the commit returns after the flush to the disc. */
  atomically<T>(work: () => T): T {
    this.db.exec("BEGIN IMMEDIATE");
    try {
      const value = work();
      this.db.exec("COMMIT");
      return value;
    } catch (error) {
      // SQLite has rolled back by itself after some failures, a full disc among them.
      if (this.db.isTransaction) this.db.exec("ROLLBACK");
      throw error;
    }
  }

  #statement(sql: string): StatementSync {
    const known = this.#prepared.get(sql);
    if (known !== undefined) return known;
    const made = this.db.prepare(sql);
    this.#prepared.set(sql, made);
    return made;
  }
}
