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
import {
  type Fields,
  fieldsOf,
  type Item,
  readFields,
  readItems,
  type WriteMode,
  writeFields,
  writeItems,
} from "./fields.ts";
import { grouped, ungrouped } from "./groups.ts";
import { orderBetween } from "./order.ts";
import { noteChange } from "./undo.ts";

export const kitCollections = ["heads", "modifiers", "supports", "panels", "meters", "cameras", "rooms"] as const;

const apart: ReadonlySet<string> = new Set(kitCollections);

/** Fills an empty document that the caller made. */
export function kitToDoc(doc: Y.Doc, kit: Kit, origin: unknown = null): void {
  doc.transact(() => writeParts(doc, null, kit, "edit"), origin);
}

/** The kit that the document holds, repaired the same way on every device. */
export function docToKit(doc: Y.Doc): Result<Kit> {
  return parseKit(readKit(doc));
}

/** Writes what differs between two values of the kit, as one transaction. */
export function writeKit(doc: Y.Doc, before: Kit, after: Kit, origin: unknown): void {
  doc.transact((transaction) => {
    noteChange(transaction, { before, after });
    writeParts(doc, before, after, "edit");
  }, origin);
}

/** Takes an edit back, or does it again: as `writeKit`, but what others changed since stays. */
export function revertKit(doc: Y.Doc, before: Kit, after: Kit): void {
  writeParts(doc, before, after, "revert");
}

function writeParts(doc: Y.Doc, before: Kit | null, after: Kit, mode: WriteMode): void {
  writeFields(doc.getMap("kit"), fieldsOf(before), fieldsOf(after), mode, apart);
  for (const name of kitCollections) writeList(doc, name, before?.[name] ?? [], after[name], mode);
}

function writeList(doc: Y.Doc, name: string, before: readonly Item[], after: readonly Item[], mode: WriteMode): void {
  const order = doc.getMap<string>("kitOrder");
  const keyOf = (item: Item | undefined): string | null => (item && order.get(`${name} ${item.id}`)) ?? null;
  const whole = (items: readonly Item[]): readonly Item[] =>
    items.map((item) => grouped(name, fieldsOf(item)) as Fields & Item);
  writeItems(doc.getMap(name), whole(before), whole(after), mode, (item, index) => {
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
