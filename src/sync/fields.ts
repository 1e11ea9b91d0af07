/**
 * Small tools over root maps: reading them as plain objects, and writing only what differs. A field is
 * replaced whole or left alone; a nested map is made only for an item that was not there before.
 */

import * as Y from "yjs";

export type Fields = Readonly<Record<string, unknown>>;

/** An item of a collection: an object with an id. */
export interface Item {
  readonly id: string;
}

/** The fields of a map as a plain object, without the keys left out. */
export function readFields(map: Y.Map<unknown>): Record<string, unknown> {
  const entries = [...map.entries()].map(([key, value]) => [key, plain(value)] as const);
  return Object.fromEntries(entries);
}

/** A shared type nested where a plain value belongs is read as the plain value that it holds. */
const plain = (value: unknown): unknown => (value instanceof Y.AbstractType ? value.toJSON() : value);

/** The items of a collection whose items are nested maps; the key is the id. Sorted by `order`, then by id. */
export function readItems(root: Y.Map<unknown>, orderOf: (id: string, fields: Fields) => unknown): readonly Fields[] {
  const items: { readonly id: string; readonly order: string; readonly fields: Fields }[] = [];
  for (const [id, value] of root.entries()) {
    if (!(value instanceof Y.Map)) continue;
    const fields = { ...readFields(value), id };
    const order = orderOf(id, fields);
    items.push({ id, order: typeof order === "string" ? order : "", fields });
  }
  items.sort((a, b) => compareText(a.order, b.order) || compareText(a.id, b.id));
  return items.map((item) => item.fields);
}

/** Order of code units: the same on every device, whatever its language. */
export const compareText = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);

/**
 * edit: what differs is written. revert: the same, but a field that no longer says what `before` says was
 * changed by somebody else meanwhile and is left alone.
 */
export type WriteMode = "edit" | "revert";

/** Writes the fields in which `after` differs from `before`; fields missing from `after` are taken out. */
export function writeFields(
  map: Y.Map<unknown>,
  before: Fields,
  after: Fields,
  mode: WriteMode,
  leaveOut: ReadonlySet<string> = nothing,
): void {
  for (const key of new Set([...Object.keys(before), ...Object.keys(after)])) {
    const value = after[key];
    if (leaveOut.has(key) || sameValue(before[key], value)) continue;
    if (mode === "revert" && !sameValue(plain(map.get(key)), before[key])) continue;
    if (value === undefined) map.delete(key);
    else map.set(key, value);
  }
}

const nothing: ReadonlySet<string> = new Set();

/**
 * Writes a collection of nested maps. An item that another device has deleted meanwhile stays deleted: its
 * fields have nowhere to go. `added` is told of each item that this call made.
 */
export function writeItems(
  root: Y.Map<unknown>,
  before: readonly Item[],
  after: readonly Item[],
  mode: WriteMode,
  added: (item: Item, index: number) => void = () => {},
): void {
  const earlier = new Map(before.map((item) => [item.id, item]));
  const later = new Set(after.map((item) => item.id));
  for (const item of before) if (!later.has(item.id)) root.delete(item.id);
  after.forEach((item, index) => {
    const was = earlier.get(item.id);
    const map = root.get(item.id);
    if (map instanceof Y.Map) writeFields(map, fieldsOf(was), fieldsOf(item), mode, idOnly);
    else if (was === undefined) {
      const made = new Y.Map<unknown>();
      root.set(item.id, made);
      writeFields(made, {}, fieldsOf(item), "edit", idOnly);
      added(item, index);
    }
  });
}

const idOnly: ReadonlySet<string> = new Set(["id"]);

/** An object of the document seen as its fields. */
export const fieldsOf = (value: object | null | undefined): Fields => (value ?? {}) as Fields;

/** Whether two plain JSON values say the same; the order of keys does not matter. */
export function sameValue(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  if (Array.isArray(a) || Array.isArray(b)) {
    return Array.isArray(a) && Array.isArray(b) && a.length === b.length && a.every((item, i) => sameValue(item, b[i]));
  }
  const keys = Object.keys(a);
  return (
    keys.length === Object.keys(b).length &&
    keys.every((key) => Object.hasOwn(b, key) && sameValue(fieldsOf(a)[key], fieldsOf(b)[key]))
  );
}
