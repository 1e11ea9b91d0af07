/**
 * Documents as an append-only log of shared-document updates. A document is named as in the address of its
 * link without book and generation: "kit", or "setup.ID". A snapshot stands for the updates before it.
 */

import * as Y from "yjs";
import type { Kit, Setup } from "../setup/index.ts";
import { projectKit, projectSetup } from "./projection.ts";
import type { Statements } from "./statements.ts";

export type DocumentValue =
  | { readonly kind: "setup"; readonly setup: Setup }
  | { readonly kind: "kit"; readonly kit: Kit };

export const kitName = "kit";
export const setupName = (id: string): string => `setup.${id}`;

export interface DocumentEntry {
  readonly number: number;
  readonly name: string;
  readonly trashed: boolean;
}

export function findDocument(sql: Statements, name: string): DocumentEntry | null {
  const row = sql.get("SELECT number, name, trashed_ms FROM documents WHERE name = ?", name);
  return row === undefined ? null : { number: Number(row.number), name, trashed: row.trashed_ms !== null };
}

/** Makes a document with its first update; within the caller's transaction. */
export function createDocument(sql: Statements, name: string, bytes: Uint8Array, value: DocumentValue, at: Date): void {
  const number = sql.run("INSERT INTO documents (name, created_ms) VALUES (?, ?)", name, at.getTime());
  append(sql, number, bytes, value, at);
}

/** Appends an update and renews the projection; within the caller's transaction. */
export function append(sql: Statements, number: number, bytes: Uint8Array, value: DocumentValue, at: Date): void {
  sql.run("INSERT INTO updates (document, bytes) VALUES (?, ?)", number, bytes);
  if (value.kind === "setup") projectSetup(sql, number, value.setup, at);
  else projectKit(sql, number, value.kit);
}

/** Snapshot and updates, in the order in which they are to be applied. */
export function readLog(sql: Statements, number: number): readonly Uint8Array[] {
  const snapshot = sql.get("SELECT bytes FROM snapshots WHERE document = ?", number);
  const updates = sql.all("SELECT bytes FROM updates WHERE document = ? ORDER BY seq", number);
  return [...(snapshot === undefined ? [] : [snapshot]), ...updates].map((row) => row.bytes as Uint8Array);
}

export const updatesKept = (sql: Statements, number: number): number =>
  Number(sql.get("SELECT count(*) AS n FROM updates WHERE document = ?", number)?.n);

/** Replaces the log by one snapshot that says the same; within the caller's transaction. */
export function compactLog(sql: Statements, number: number): void {
  const doc = new Y.Doc();
  for (const bytes of readLog(sql, number)) Y.applyUpdate(doc, bytes);
  // Updates that wait for one not seen yet are part of the encoded state, so nothing is lost.
  const bytes = Y.encodeStateAsUpdate(doc);
  doc.destroy();
  sql.run(
    "INSERT INTO snapshots (document, bytes) VALUES (?, ?) ON CONFLICT DO UPDATE SET bytes = excluded.bytes",
    number,
    bytes,
  );
  sql.run("DELETE FROM updates WHERE document = ?", number);
}

/** To the trash, or out of it. */
export function setTrashed(sql: Statements, number: number, at: Date | null): void {
  sql.run("UPDATE documents SET trashed_ms = ? WHERE number = ?", at?.getTime() ?? null, number);
  sql.run("UPDATE facts SET trashed = ? WHERE document = ?", at === null ? 0 : 1, number);
}
