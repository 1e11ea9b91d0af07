/**
 * What setups need of a kit, as bits: each token of `kitNeeds` gets the next bit when it is met for the first
 * time, and "the kit has all it needs" is four comparisons of integers. Tokens past the last bit are listed
 * by name.
 */

import type { Statements } from "./statements.ts";

export const bitsPerColumn = 62;
export const columnCount = 4;

export type BitColumns = readonly [bigint, bigint, bigint, bigint];

/** Bits for the tokens that a setup needs; called inside the transaction that writes them. */
export function needBits(
  sql: Statements,
  tokens: readonly string[],
): { readonly columns: BitColumns; readonly beyond: readonly string[] } {
  const bits: number[] = [];
  const beyond: string[] = [];
  for (const token of tokens) {
    const bit = bitOf(sql, token) ?? newBit(sql, token);
    if (bit === null) beyond.push(token);
    else bits.push(bit);
  }
  return { columns: pack(bits), beyond };
}

/** The bits of what a kit offers, of those that any setup needs. */
export function offerBits(sql: Statements, offers: ReadonlySet<string>): BitColumns {
  const known = sql.all("SELECT token, bit FROM kit_bits");
  return pack(known.filter((row) => offers.has(String(row.token))).map((row) => Number(row.bit)));
}

function bitOf(sql: Statements, token: string): number | null {
  const row = sql.get("SELECT bit FROM kit_bits WHERE token = ?", token);
  return row === undefined ? null : Number(row.bit);
}

/** Null when all bits are given away. */
function newBit(sql: Statements, token: string): number | null {
  const next = Number(sql.get("SELECT count(*) AS n FROM kit_bits")?.n);
  if (next >= bitsPerColumn * columnCount) return null;
  sql.run("INSERT INTO kit_bits (token, bit) VALUES (?, ?)", token, next);
  return next;
}

function pack(bits: readonly number[]): BitColumns {
  const columns: [bigint, bigint, bigint, bigint] = [0n, 0n, 0n, 0n];
  for (const bit of bits) {
    const column = Math.floor(bit / bitsPerColumn);
    columns[column] = (columns[column] ?? 0n) | (1n << BigInt(bit % bitsPerColumn));
  }
  return columns;
}
