/**
 * Keeps what is searched true to the log: called inside the transaction that appends to it. A card's words
 * are rewritten only when they differ, since an edit in the Plan rarely touches them.
 */

import { type Kit, kitNeeds, type Setup } from "../setup/index.ts";
import { type CardWords, cardOf, roleBits, wordsOf } from "./card.ts";
import { needBits } from "./kit-bits.ts";
import type { Statements } from "./statements.ts";
import type { BookCard } from "./types.ts";

/** Renews the card, facts, tags and words of a setup's document. */
export function projectSetup(sql: Statements, document: number, setup: Setup, at: Date): void {
  const card = cardOf(setup, at.toISOString());
  sql.run(
    "INSERT INTO cards (document, json) VALUES (?, ?) ON CONFLICT DO UPDATE SET json = excluded.json",
    document,
    JSON.stringify(card),
  );
  writeFacts(sql, document, card, kitNeeds(setup), at);
  writeTags(sql, document, setup.tags);
  writeWords(sql, document, wordsOf(setup));
}

/** Renews the kit that searches compare with. */
export function projectKit(sql: Statements, document: number, kit: Kit): void {
  sql.run(
    "INSERT INTO kits (document, json) VALUES (?, ?) ON CONFLICT DO UPDATE SET json = excluded.json",
    document,
    JSON.stringify(kit),
  );
}

function writeFacts(sql: Statements, document: number, card: BookCard, needs: readonly string[], at: Date): void {
  const { columns, beyond } = needBits(sql, needs);
  const trashed = sql.get("SELECT trashed_ms FROM documents WHERE number = ?", document)?.trashed_ms === null ? 0 : 1;
  sql.run("DELETE FROM facts WHERE document = ?", document);
  sql.run(
    `INSERT INTO facts (changed_ms, document, trashed, lights, main_to_fill, roles, medium, met, last_metered_ms,
       width_mm, depth_mm, height_mm, kit0, kit1, kit2, kit3, kit_beyond)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
    at.getTime(),
    document,
    trashed,
    card.lights.length,
    card.mainToFillStops,
    roleBits(card.roles),
    card.medium === "flash" ? 0 : 1,
    card.met ? 1 : 0,
    card.lastMeteredAt === null ? null : Date.parse(card.lastMeteredAt),
    millimetres(card.space.widthM),
    millimetres(card.space.depthM),
    millimetres(card.space.heightM),
    ...columns,
    beyond.length > 0 ? 1 : 0,
  );
  sql.run("DELETE FROM kit_beyond WHERE document = ?", document);
  for (const token of beyond) sql.run("INSERT INTO kit_beyond (document, token) VALUES (?, ?)", document, token);
}

/** Up to the next millimetre, and never more than a safe whole number. */
const millimetres = (metres: number): number => Math.min(Math.ceil(metres * 1000 - 1e-6), 1e9);

function writeTags(sql: Statements, document: number, tags: readonly string[]): void {
  const kept = sql.all("SELECT tag FROM tags WHERE document = ? ORDER BY tag", document).map((row) => String(row.tag));
  const wanted = [...new Set(tags)];
  if (kept.length === wanted.length && wanted.every((tag) => kept.includes(tag))) return;
  sql.run("DELETE FROM tags WHERE document = ?", document);
  for (const tag of wanted) sql.run("INSERT INTO tags (tag, document) VALUES (?, ?)", tag, document);
}

function writeWords(sql: Statements, document: number, words: CardWords): void {
  const kept = sql.get("SELECT title, notes, tags, roles, kit FROM words WHERE rowid = ?", document);
  const { title, notes, tags, roles, kit } = words;
  if (kept !== undefined && Object.entries(words).every(([column, text]) => kept[column] === text)) return;
  if (kept !== undefined) sql.run("DELETE FROM words WHERE rowid = ?", document);
  sql.run(
    "INSERT INTO words (rowid, title, notes, tags, roles, kit) VALUES (?, ?, ?, ?, ?, ?)",
    document,
    title,
    notes,
    tags,
    roles,
    kit,
  );
}
