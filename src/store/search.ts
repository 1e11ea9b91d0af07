/**
 * Finding setups without opening documents. Each filter narrows a list of document numbers, newest change
 * first, over the columns in memory; words and tags are looked up on the disc, as lists of numbers; cards are
 * read for the page that is shown.
 */

import type { SQLInputValue } from "node:sqlite";
import { type Kit, kitOffers, type Room } from "../setup/index.ts";
import { roleBits } from "./card.ts";
import { type FactColumns, kitPartsOf } from "./fact-columns.ts";
import { offerBits } from "./kit-bits.ts";
import type { Statements } from "./statements.ts";
import type { BookCard, CardFilter, CardPage } from "./types.ts";

const usualLimit = 60;
const mostLimit = 200;
const mainToFillSlackStops = 0.05 + 1e-9;

/** Whether a document, by its number, stays in the list. */
type Test = (document: number) => boolean;

/** The page that was asked for, newest change first, and how many match in all. */
export function searchCards(sql: Statements, facts: FactColumns, filter: CardFilter): CardPage {
  facts.follow();
  const found = facts.newestFirst();
  let total = found.length;
  for (const test of testsOf(sql, facts, filter)) total = narrow(found, total, test);
  const limit = Math.max(0, Math.min(filter.limit ?? usualLimit, mostLimit));
  const offset = Math.max(0, filter.offset ?? 0);
  const page = found.subarray(Math.min(offset, total), Math.min(offset + limit, total));
  return { total, cards: Array.from(page, (document) => cardAt(sql, document)) };
}

/** Moves those of the first `count` that pass to the front, in their order, and says how many they are. */
function narrow(list: Uint32Array, count: number, test: Test): number {
  let kept = 0;
  for (let i = 0; i < count; i++) {
    const document = list[i] as number;
    if (test(document)) list[kept++] = document;
  }
  return kept;
}

const cardAt = (sql: Statements, document: number): BookCard =>
  JSON.parse(String(sql.get("SELECT json FROM cards WHERE document = ?", document)?.json)) as BookCard;

/** Cheap ones first, so that the later ones see fewer documents. */
function testsOf(sql: Statements, facts: FactColumns, filter: CardFilter): readonly Test[] {
  const trashed = filter.trashed === true ? 1 : 0;
  const tests: Test[] = [(document) => facts.trashed[document] === trashed, ...factTests(facts, filter)];
  const kit = filter.kitHere === true || filter.fitsHere === true ? kitOfBook(sql) : null;
  if (filter.fitsHere === true)
    tests.push(
      roomTest(
        facts,
        kit?.rooms.find((room) => room.id === kit.roomHereId),
      ),
    );
  if (filter.kitHere === true) tests.push(kitTest(sql, facts, kit));
  if (filter.tag !== undefined) {
    tests.push(listed(sql, facts, "SELECT group_concat(document) AS numbers FROM tags WHERE tag = ?", filter.tag));
  }
  const query = matchQuery(filter.text ?? "");
  if (query !== "") {
    tests.push(listed(sql, facts, "SELECT group_concat(rowid) AS numbers FROM words WHERE words MATCH ?", query));
  }
  return tests;
}

function factTests(facts: FactColumns, { lights, mainToFill, roles, medium, met }: CardFilter): readonly Test[] {
  const tests: Test[] = [];
  if (lights !== undefined) tests.push((document) => facts.lights[document] === lights);
  if (mainToFill !== undefined) {
    // No main or no fill is NaN, which is never near.
    tests.push((document) => Math.abs((facts.mainToFill[document] as number) - mainToFill) <= mainToFillSlackStops);
  }
  if (roles !== undefined && roles.length > 0) {
    const wanted = roleBits(roles);
    tests.push((document) => (~(facts.roles[document] as number) & wanted) === 0);
  }
  if (medium !== undefined) {
    const wanted = medium === "flash" ? 0 : 1;
    tests.push((document) => facts.medium[document] === wanted);
  }
  if (met !== undefined) {
    const wanted = met ? 1 : 0;
    tests.push((document) => facts.met[document] === wanted);
  }
  return tests;
}

/**
 * Whether a document is among those that a statement lists as `numbers`. One text of many numbers comes out of
 * SQLite several times quicker than a row for each.
 */
function listed(sql: Statements, facts: FactColumns, text: string, ...values: readonly SQLInputValue[]): Test {
  const marks = marksIn(String(sql.get(text, ...values)?.numbers ?? ""), facts.size);
  return (document) => marks[document] === 1;
}

const comma = 44;
const zero = 48;

/** "7,12" as 1 at places 7 and 12. */
function marksIn(numbers: string, size: number): Uint8Array {
  const marks = new Uint8Array(size);
  let number = 0;
  for (let i = 0; i < numbers.length; i++) {
    const code = numbers.charCodeAt(i);
    if (code !== comma) {
      number = number * 10 + code - zero;
      continue;
    }
    marks[number] = 1;
    number = 0;
  }
  // Documents are numbered from 1: an empty text marks nobody.
  marks[number] = 1;
  return marks;
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

function kitTest(sql: Statements, facts: FactColumns, kit: Kit | null): Test {
  const offers = new Set(kit === null ? [] : kitOffers(kit));
  const offered = kitPartsOf(offerBits(sql, offers));
  const lacking = listed(
    sql,
    facts,
    `SELECT group_concat(document) AS numbers FROM kit_beyond WHERE token NOT IN (SELECT value FROM json_each(?))`,
    JSON.stringify([...offers]),
  );
  return (document) => facts.kitCovers(document, offered) && (facts.kitBeyond[document] === 0 || !lacking(document));
}

function roomTest(facts: FactColumns, room: Room | undefined): Test {
  if (room === undefined) return () => false;
  const millimetres = (metres: number): number => Math.floor(metres * 1000 + 1e-6);
  const [width, depth, height] = [millimetres(room.widthM), millimetres(room.depthM), millimetres(room.heightM)];
  return (document) =>
    (facts.widthMm[document] as number) <= width &&
    (facts.depthMm[document] as number) <= depth &&
    (facts.heightMm[document] as number) <= height;
}
