/**
 * The kit in a shared document of its own. Each list of items is a root map, id → map of fields. Kit items
 * carry no order, so a root map of fractional keys holds it (`kitOrder`, by list and id). Backdrops have no
 * id and are one value.
 *
 *     kit        format, version, id, name, backdrops, bonds, sandbagsKg, counterweightsKg, roomHereId, …
 *     heads modifiers supports panels meters cameras rooms      id → map of fields
 *     kitOrder   "heads ID" → fractional key
 */

import type * as Y from "yjs";
import { type Kit, parseKit } from "../setup/index.ts";
import type { Result } from "../units/index.ts";
import { type Fields, fieldsOf, type Item, readFields, readItems, writeFields, writeItems } from "./fields.ts";
import { grouped, ungrouped } from "./groups.ts";
import { orderBetween } from "./order.ts";

export const kitCollections = ["heads", "modifiers", "supports", "panels", "meters", "cameras", "rooms"] as const;

const apart: ReadonlySet<string> = new Set(kitCollections);

/** Fills an empty document that the caller made. */
export function kitToDoc(doc: Y.Doc, kit: Kit, origin: unknown = null): void {
  doc.transact(() => {
    writeFields(doc.getMap("kit"), {}, fieldsOf(kit), apart);
    for (const name of kitCollections) writeList(doc, name, [], kit[name]);
  }, origin);
}

/** The kit that the document holds, repaired the same way on every device. */
export function docToKit(doc: Y.Doc): Result<Kit> {
  return parseKit(readKit(doc));
}

/** Writes what differs between two values of the kit, as one transaction. */
export function writeKit(doc: Y.Doc, before: Kit, after: Kit, origin: unknown): void {
  doc.transact(() => {
    writeFields(doc.getMap("kit"), fieldsOf(before), fieldsOf(after), apart);
    for (const name of kitCollections) writeList(doc, name, before[name], after[name]);
  }, origin);
}

function writeList(doc: Y.Doc, name: string, before: readonly Item[], after: readonly Item[]): void {
  const order = doc.getMap<string>("kitOrder");
  const keyOf = (item: Item | undefined): string | null => (item && order.get(`${name} ${item.id}`)) ?? null;
  const whole = (items: readonly Item[]): readonly Item[] =>
    items.map((item) => grouped(name, fieldsOf(item)) as Fields & Item);
  writeItems(doc.getMap(name), whole(before), whole(after), (item, index) => {
    const next = after.slice(index + 1).find((other) => keyOf(other) !== null);
    order.set(`${name} ${item.id}`, orderBetween(keyOf(after[index - 1]), keyOf(next)));
  });
}

function readKit(doc: Y.Doc): Fields {
  const order = doc.getMap("kitOrder");
  const lists = kitCollections.map(
    (name) =>
      [
        name,
        readItems(doc.getMap(name), (id) => order.get(`${name} ${id}`)).map((item) => ungrouped(name, item)),
      ] as const,
  );
  return { ...readFields(doc.getMap("kit")), ...Object.fromEntries(lists) };
}
