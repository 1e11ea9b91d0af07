/**
 * The devices that were let in, in a file of their own beside the book: a backup of the book carries no device's
 * secret, and restoring an older one lets nobody back in who was put out. Of a secret only its SHA-256 is kept.
 */

import { chmodSync, closeSync, openSync } from "node:fs";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { failure, fault, type Result } from "../units/index.ts";
import { pragmaNumber } from "./schema.ts";
import { type Row, Statements } from "./statements.ts";
import { guarded, StoreError } from "./store-error.ts";
import type { Device, Permission } from "./types.ts";

const version = 1;
/** "STPD". */
const applicationId = 0x53545044;

const tables = `
CREATE TABLE devices (
  id TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  permission TEXT NOT NULL CHECK (permission IN ('look', 'meter', 'edit')),
  plain INTEGER NOT NULL,
  secret_sha256 BLOB NOT NULL UNIQUE,
  created_ms INTEGER NOT NULL,
  seen_ms INTEGER NOT NULL
) WITHOUT ROWID`;

export class DeviceStore {
  readonly #sql: Statements;
  readonly #file: string;

  constructor(db: DatabaseSync, file: string) {
    this.#sql = new Statements(db);
    this.#file = file;
  }

  /** All devices, the last one let in first. */
  all(): Result<readonly Device[]> {
    return guarded(this.#file, () => this.#sql.all("SELECT * FROM devices ORDER BY created_ms DESC, id").map(deviceOf));
  }

  /** On the disc when this returns, as are the changes below. */
  add(device: Device, secretSha256: Uint8Array): Result<void> {
    const { id, name, permission, plain, createdAt, seenAt } = device;
    return this.#change(
      "INSERT INTO devices (id, name, permission, plain, secret_sha256, created_ms, seen_ms) VALUES (?, ?, ?, ?, ?, ?, ?)",
      ...[id, name, permission, plain ? 1 : 0, secretSha256, Date.parse(createdAt), Date.parse(seenAt)],
    );
  }

  change(id: string, set: { readonly name: string; readonly permission: Permission }): Result<void> {
    return this.#change("UPDATE devices SET name = ?, permission = ? WHERE id = ?", set.name, set.permission, id);
  }

  seen(id: string, at: Date): Result<void> {
    return this.#change("UPDATE devices SET seen_ms = ? WHERE id = ?", at.getTime(), id);
  }

  remove(id: string): Result<void> {
    return this.#change("DELETE FROM devices WHERE id = ?", id);
  }

  /** Whose secret has this hash; null when nobody's. */
  bySecret(sha256: Uint8Array): Device | null {
    const row = this.#sql.get("SELECT * FROM devices WHERE secret_sha256 = ?", sha256);
    return row === undefined ? null : deviceOf(row);
  }

  close(): void {
    this.#sql.db.close();
  }

  #change(sql: string, ...values: readonly (string | number | Uint8Array)[]): Result<void> {
    return guarded(this.#file, () => {
      this.#sql.run(sql, ...values);
    });
  }
}

/** Opens or makes `devices.sqlite` in a data directory whose lock the caller holds. */
export function openDevices(dataDir: string): Result<DeviceStore> {
  const file = join(dataDir, "devices.sqlite");
  const opened = guarded(file, () => {
    // Made for its owner alone before anything is in it; the files that SQLite puts beside it follow its mode.
    closeSync(openSync(file, "a", 0o600));
    chmodSync(file, 0o600);
    const db = new DatabaseSync(file, { timeout: 1000 });
    try {
      const isNew = db.prepare("SELECT count(*) AS n FROM sqlite_schema").get()?.n === 0;
      if (!isNew) check(db, file);
      db.exec("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA secure_delete = ON");
      if (isNew) {
        db.exec(`BEGIN; ${tables}; PRAGMA application_id = ${applicationId}; PRAGMA user_version = ${version}; COMMIT`);
      }
      return new DeviceStore(db, file);
    } catch (error) {
      db.close();
      throw error;
    }
  });
  if (opened.ok || opened.faults[0]?.code !== "book-damaged") return opened;
  return failure(fault("not-devices", "The list of devices cannot be read", file, moveAway));
}

function check(db: DatabaseSync, file: string): void {
  if (pragmaNumber(db, "application_id") !== applicationId) {
    throw new StoreError(fault("not-devices", "This file is not Stopwise's list of devices", file, moveAway));
  }
  const found = pragmaNumber(db, "user_version");
  if (found > version) {
    const what = `The list of devices is of version ${found}; this program reads up to ${version}`;
    throw new StoreError(fault("book-too-new", what, file, "Use the newer Stopwise that wrote it."));
  }
}

const moveAway = "Move it away; devices must then be let in anew.";

const deviceOf = (row: Row): Device => ({
  id: String(row.id),
  name: String(row.name),
  permission: row.permission as Permission,
  plain: row.plain === 1,
  createdAt: new Date(Number(row.created_ms)).toISOString(),
  seenAt: new Date(Number(row.seen_ms)).toISOString(),
});
