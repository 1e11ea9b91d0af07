/**
 * Finding setups without opening documents. The narrow `facts` are read front to back, newest change first;
 * the kit is compared as four integers, words come from the full-text index. (`+document` keeps SQLite from
 * another index, with which it would have to look up every row and sort.)
 */

import type { SQLInputValue } from "node:sqlite";
import { type Kit, kitOffers, type Room } from "../setup/index.ts";
import { roleBits } from "./card.ts";
import { offerBits } from "./kit-bits.ts";
import type { Statements } from "./statements.ts";
import type { BookCard, CardFilter, CardPage } from "./types.ts";

const usualLimit = 60;
const mostLimit = 200;
const onePass = 1000;
const mainToFillSlackStops = 0.05 + 1e-9;

interface Clause {
  readonly sql: string;
  readonly values: readonly SQLInputValue[];
}

/** The first page of what matches, newest change first, and how many match in all. */
export function searchCards(sql: Statements, filter: CardFilter): CardPage {
  const clauses = clausesOf(sql, filter);
  const where = clauses.map((clause) => clause.sql).join(" AND ");
  const values = clauses.flatMap((clause) => clause.values);
  const limit = Math.max(0, Math.min(filter.limit ?? usualLimit, mostLimit));
  const offset = Math.max(0, filter.offset ?? 0);
  // Few matches are all read in one pass; many are found soon, and counting them takes a second one.
  const reach = Math.max(offset + limit, onePass);
  const found = sql.all(
    `SELECT document FROM facts WHERE ${where} ORDER BY changed_ms DESC, document LIMIT ?`,
    ...values,
    reach,
  );
  const total =
    found.length < reach
      ? found.length
      : Number(sql.get(`SELECT count(*) AS n FROM facts WHERE ${where}`, ...values)?.n);
  return { total, cards: found.slice(offset, offset + limit).map((row) => cardAt(sql, Number(row.document))) };
}

const cardAt = (sql: Statements, document: number): BookCard =>
  JSON.parse(String(sql.get("SELECT json FROM cards WHERE document = ?", document)?.json)) as BookCard;

function clausesOf(sql: Statements, filter: CardFilter): readonly Clause[] {
  const clauses: Clause[] = [{ sql: "trashed = ?", values: [filter.trashed === true ? 1 : 0] }];
  const add = (text: string, ...values: readonly SQLInputValue[]): void => void clauses.push({ sql: text, values });
  const { lights, mainToFill, roles, medium, met, tag, text } = filter;
  if (lights !== undefined) add("lights = ?", lights);
  if (mainToFill !== undefined) {
    add("main_to_fill BETWEEN ? AND ?", mainToFill - mainToFillSlackStops, mainToFill + mainToFillSlackStops);
  }
  if (roles !== undefined && roles.length > 0) add("(~roles & ?) = 0", roleBits(roles));
  if (medium !== undefined) add("medium = ?", medium === "flash" ? 0 : 1);
  if (met !== undefined) add("met = ?", met ? 1 : 0);
  if (tag !== undefined) add("+document IN (SELECT document FROM tags WHERE tag = ?)", tag);
  const query = matchQuery(text ?? "");
  if (query !== "") {
    matchWords(sql, query);
    add("+document IN (SELECT document FROM temp.matched)");
  }
  const kit = filter.kitHere === true || filter.fitsHere === true ? kitOfBook(sql) : null;
  if (filter.kitHere === true) clauses.push(kitClause(sql, kit));
  if (filter.fitsHere === true) clauses.push(roomClause(kit?.rooms.find((room) => room.id === kit.roomHereId)));
  return clauses;
}

/** Finds the words once, into memory, though page and count both ask for them. */
function matchWords(sql: Statements, query: string): void {
  sql.run("DELETE FROM temp.matched");
  sql.run("INSERT INTO temp.matched SELECT rowid FROM words WHERE words MATCH ?", query);
}

/** Each word in quotes, so that nothing typed is taken for query syntax; the last may be the start of one. */
export function matchQuery(text: string): string {
  const words = text.normalize("NFC").match(/[\p{L}\p{N}]+/gu) ?? [];
  if (words.length === 0) return "";
  const ended = /\s$/u.test(text);
  return words.map((word, i) => `"${word}"${i === words.length - 1 && !ended ? "*" : ""}`).join(" ");
}

/** The kit as it stands; null in a book without one. */
export function kitOfBook(sql: Statements): Kit | null {
  const row = sql.get("SELECT json FROM kits LIMIT 1");
  return row === undefined ? null : (JSON.parse(String(row.json)) as Kit);
}

function kitClause(sql: Statements, kit: Kit | null): Clause {
  const offers = new Set(kit === null ? [] : kitOffers(kit));
  const columns = offerBits(sql, offers);
  const subset = columns.map((_, i) => `(kit${i} & ~?) = 0`).join(" AND ");
  const beyond = `(kit_beyond = 0 OR NOT EXISTS (
    SELECT 1 FROM kit_beyond AS need WHERE need.document = facts.document
      AND need.token NOT IN (SELECT value FROM json_each(?))))`;
  return { sql: `${subset} AND ${beyond}`, values: [...columns, JSON.stringify([...offers])] };
}

function roomClause(room: Room | undefined): Clause {
  if (room === undefined) return { sql: "0", values: [] };
  const millimetres = (metres: number): number => Math.floor(metres * 1000 + 1e-6);
  return {
    sql: "width_mm <= ? AND depth_mm <= ? AND height_mm <= ?",
    values: [millimetres(room.widthM), millimetres(room.depthM), millimetres(room.heightM)],
  };
}
