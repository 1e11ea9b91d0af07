/**
 * A setup in a shared document, and back. One root map per section and per collection, got by name, so that
 * no two devices ever create the same one. A light, panel or sitter is a nested map under its own fresh id,
 * each field one value: a place, an aim, a target, a rig, a dial is replaced whole. Readings and frozen
 * values are entries of root maps that are only ever added to; whether one counts stands beside them.
 *
 *     setup            format, version, id, title, notes, tags, …; backdrop: true when there is one
 *     exposure camera meter room backdrop subject      their fields, some as groups (`groups.ts`)
 *     lights panels sitters      id → map of fields
 *     readings         id → the reading without `undone`
 *     readingsCounted  id → true; absent once it was taken back (so that Undo takes back a reading by
 *                      removing this entry, and the reading itself stays)
 *     asShot           id → value
 *     asShotShown      id → true; absent once Undo took the entry back
 */

import type * as Y from "yjs";
import { type AsShot, parseSetupWithRepairs, type Reading, type Setup } from "../setup/index.ts";
import { type Result, success } from "../units/index.ts";
import {
  compareText,
  type Fields,
  fieldsOf,
  readFields,
  readItems,
  sameValue,
  type WriteMode,
  writeFields,
  writeItems,
} from "./fields.ts";
import { grouped, ungrouped } from "./groups.ts";
import { mendMerge } from "./repair.ts";
import { noteChange } from "./undo.ts";

export const setupSections = ["exposure", "camera", "meter", "room", "subject"] as const;
export const setupCollections = ["lights", "panels", "sitters"] as const;

/** What stands in a root map of its own and therefore not in `setup`. */
const apart: ReadonlySet<string> = new Set([...setupSections, ...setupCollections, "backdrop", "readings", "asShot"]);
const undoneOnly: ReadonlySet<string> = new Set(["undone"]);

/** Fills an empty document that the caller made. */
export function setupToDoc(doc: Y.Doc, setup: Setup, origin: unknown = null): void {
  doc.transact(() => writeParts(doc, null, setup, "edit"), origin);
}

/**
 * The setup that the document holds. References into nothing, and values that two devices made contradict
 * each other, are repaired the same way on every device; the repair is never written back.
 */
export function docToSetup(doc: Y.Doc): Result<Setup> {
  const parsed = parseSetupWithRepairs(mendMerge(readSetup(doc)), { merged: true });
  return parsed.ok ? success(parsed.value.setup) : parsed;
}

/**
 * Writes what differs between two values of the setup, as one transaction. Readings are never taken out: one
 * that is missing from `after` no longer counts.
 */
export function writeSetup(doc: Y.Doc, before: Setup, after: Setup, origin: unknown): void {
  doc.transact((transaction) => {
    noteChange(transaction, { before, after });
    writeParts(doc, before, after, "edit");
  }, origin);
}

/** Takes an edit back, or does it again: as `writeSetup`, but what others changed since stays. */
export function revertSetup(doc: Y.Doc, before: Setup, after: Setup): void {
  writeParts(doc, before, after, "revert");
}

/** Readings and as-shot entries of a document by list and id, to compare with later. */
export function keptReadings(doc: Y.Doc): ReadonlyMap<string, unknown> {
  return new Map(
    ["readings", "asShot"].flatMap((name) =>
      [...doc.getMap(name).entries()].map(([id, value]) => [`${name} ${id}`, value] as const),
    ),
  );
}

/** Those of `kept` that the document has lost or altered; a good update leaves none. */
export function readingsLost(kept: ReadonlyMap<string, unknown>, doc: Y.Doc): readonly string[] {
  const now = keptReadings(doc);
  return [...kept].filter(([name, value]) => !sameValue(now.get(name), value)).map(([name]) => name);
}

function writeParts(doc: Y.Doc, before: Setup | null, after: Setup, mode: WriteMode): void {
  writeFields(doc.getMap("setup"), fieldsOf(before), fieldsOf(after), mode, apart);
  for (const name of setupSections) {
    const [was, is] = [grouped(name, fieldsOf(before?.[name])), grouped(name, fieldsOf(after[name]))];
    writeFields(doc.getMap(name), was, is, mode);
  }
  writeBackdrop(doc, before, after, mode);
  for (const name of setupCollections) writeItems(doc.getMap(name), before?.[name] ?? [], after[name], mode);
  addReadings(doc, before?.readings ?? [], after.readings);
  addAsShot(doc, before?.asShot ?? [], after.asShot);
}

/** The fields of a backdrop that is taken away stay, so that one that comes back is whole. */
function writeBackdrop(doc: Y.Doc, before: Setup | null, after: Setup, mode: WriteMode): void {
  const has = (setup: Setup | null): Fields => (setup === null ? {} : { backdrop: setup.backdrop !== null });
  writeFields(doc.getMap("setup"), has(before), has(after), mode);
  if (after.backdrop !== null) {
    writeFields(doc.getMap("backdrop"), fieldsOf(before?.backdrop), fieldsOf(after.backdrop), mode);
  }
}

function addReadings(doc: Y.Doc, before: readonly Reading[], after: readonly Reading[]): void {
  const kept = doc.getMap("readings");
  const counted = doc.getMap("readingsCounted");
  const earlier = new Map(before.map((reading) => [reading.id, reading.undone]));
  for (const reading of after) {
    const { id, undone } = reading;
    if (!kept.has(id)) kept.set(id, withoutKeys(reading, undoneOnly));
    if (earlier.get(id) === undone) continue;
    if (undone) counted.delete(id);
    else counted.set(id, true);
  }
  const later = new Set(after.map((reading) => reading.id));
  for (const id of earlier.keys()) if (!later.has(id)) counted.delete(id);
}

function addAsShot(doc: Y.Doc, before: readonly AsShot[], after: readonly AsShot[]): void {
  const kept = doc.getMap("asShot");
  const shown = doc.getMap("asShotShown");
  const earlier = new Set(before.map((shot) => shot.id));
  const later = new Set(after.map((shot) => shot.id));
  for (const shot of after) {
    if (!kept.has(shot.id)) kept.set(shot.id, shot);
    if (!earlier.has(shot.id)) shown.set(shot.id, true);
  }
  for (const shot of before) if (!later.has(shot.id)) shown.delete(shot.id);
}

const withoutKeys = (value: object, keys: ReadonlySet<string>): Fields =>
  Object.fromEntries(Object.entries(value).filter(([key]) => !keys.has(key)));

function readSetup(doc: Y.Doc): Fields {
  const { backdrop: hasBackdrop, ...top } = readFields(doc.getMap("setup"));
  const counted = doc.getMap("readingsCounted");
  const shown = doc.getMap("asShotShown");
  const sections = setupSections.map((name) => [name, ungrouped(name, readFields(doc.getMap(name)))] as const);
  const collections = setupCollections.map(
    (name) => [name, readItems(doc.getMap(name), (_id, fields) => fields.order)] as const,
  );
  return {
    ...top,
    ...Object.fromEntries<unknown>([...sections, ...collections]),
    backdrop: hasBackdrop === true ? readFields(doc.getMap("backdrop")) : null,
    readings: readKept(doc.getMap("readings")).map((reading) => ({
      ...reading,
      undone: counted.get(String(reading.id)) !== true,
    })),
    asShot: readKept(doc.getMap("asShot")).filter((shot) => shown.get(String(shot.id)) === true),
  };
}

/** Entries that are only ever added, in the order of their times, then of their ids. */
function readKept(map: Y.Map<unknown>): readonly Fields[] {
  const items = [...map.entries()].map(([id, value]) => ({ ...fieldsOf(value as object), id }) as Fields);
  const timeOf = (item: Fields): number => Date.parse(String(item.at)) || 0;
  return items.sort((a, b) => timeOf(a) - timeOf(b) || compareText(String(a.id), String(b.id)));
}
