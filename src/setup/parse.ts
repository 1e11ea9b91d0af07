/**
 * Setup and kit documents from JSON and back. Parsing gives every fault with its path; fields this version
 * does not know stay on their objects and are printed again. Printing is stable: the same document gives
 * the same text, known fields in the order of the types, unknown ones after them by name.
 */

import { distance, failure, formatFault, type Result, success } from "../units/index.ts";
import {
  checkJson,
  checkUnique,
  exactly,
  FaultList,
  id,
  instant,
  list,
  number,
  orNull,
  type Read,
  record,
  text,
  whole,
  yesNo,
} from "./check.ts";
import { migrate } from "./migrate.ts";
import * as item from "./parse-items.ts";
import * as kitItem from "./parse-kit-items.ts";
import { noseOf, placeFault, positionOf } from "./place.ts";
import { type Repair, type RepairOptions, repairKit, repairSetup } from "./repair.ts";
import type { Kit, Place, Setup } from "./types.ts";

const readSetup: Read<Setup> = record<Setup>({
  format: exactly("stopwise-setup"),
  version: exactly(1),
  id,
  title: text(200),
  notes: text(20_000),
  tags: list(text(60, 1), 50),
  invented: yesNo,
  createdAt: instant,
  exposure: item.exposure,
  camera: kitItem.camera,
  meter: kitItem.meter,
  room: kitItem.room,
  backdrop: orNull(kitItem.backdrop),
  subject: item.subject,
  sitters: list(item.sitter, item.caps.sitters),
  lights: list(item.light, item.caps.lights),
  panels: list(item.panel, item.caps.panels),
  readings: list(item.reading, item.caps.readings),
  asShot: list(item.asShot, item.caps.asShot),
});

const readKit: Read<Kit> = record<Kit>(
  {
    format: exactly("stopwise-kit"),
    version: exactly(1),
    id,
    name: text(200),
    heads: list(kitItem.head, 500),
    modifiers: list(kitItem.modifier, 500),
    supports: list(kitItem.support, 500),
    panels: list(kitItem.kitPanel, 500),
    meters: list(kitItem.meter, 100),
    cameras: list(kitItem.camera, 100),
    rooms: list(kitItem.room, 500),
    backdrops: list(kitItem.backdrop, 200),
    sandbagsKg: list(number(0.1, 200, "kg"), 200),
    counterweightsKg: list(number(0.1, 200, "kg"), 200),
    bonds: whole(0, 1000),
    roomHereId: orNull(id),
  },
  {
    also: (kit, _path, faults) => {
      const lists = ["heads", "modifiers", "supports", "panels", "meters", "cameras", "rooms"] as const;
      for (const name of lists) checkUnique(kit[name], name, faults);
    },
  },
);

/** A setup from JSON, or every fault in it. Dangling references come back mended (`parseSetupWithRepairs` lists them). */
export function parseSetup(json: unknown): Result<Setup> {
  const read = parseSetupWithRepairs(json);
  return read.ok ? success(read.value.setup) : read;
}

/** The same with what was mended; `merged` also moves places that two peers made impossible together. */
export function parseSetupWithRepairs(
  json: unknown,
  options: RepairOptions = {},
): Result<{ readonly setup: Setup; readonly repairs: readonly Repair[] }> {
  const migrated = migrate(json, "stopwise-setup");
  if (!migrated.ok) return migrated;
  const faults = new FaultList();
  checkJson(migrated.value, faults);
  if (faults.count > 0) return failure(...faults.faults);
  const setup = readSetup(migrated.value, "", faults);
  if (setup === undefined) {
    checkParts(migrated.value, faults);
    return failure(...faults.faults);
  }
  const repaired = repairSetup(setup, options);
  checkWhole(repaired.setup, faults);
  return faults.count > 0 ? failure(...faults.faults) : success(repaired);
}

/** A kit from JSON, or every fault in it. */
export function parseKit(json: unknown): Result<Kit> {
  const migrated = migrate(json, "stopwise-kit");
  if (!migrated.ok) return migrated;
  const faults = new FaultList();
  checkJson(migrated.value, faults);
  if (faults.count > 0) return failure(...faults.faults);
  const kit = readKit(migrated.value, "", faults);
  return kit === undefined ? failure(...faults.faults) : success(repairKit(kit).kit);
}

/** What spans several parts: ids, and places that need the nose. */
export function checkWhole(setup: Setup, faults: FaultList): void {
  for (const name of ["sitters", "lights", "panels", "readings", "asShot"] as const)
    checkUnique(setup[name], name, faults);
  checkPlaces(setup, faults);
}

/** Places of lights and panels that are impossible or in the nose itself. */
export function checkPlaces(setup: Pick<Setup, "subject" | "lights" | "panels">, faults: FaultList): void {
  for (const name of ["lights", "panels"] as const) {
    setup[name].forEach((thing, i) => {
      checkPlace(thing.place, setup, `${name}[${i}].place`, faults);
    });
  }
}

function checkPlace(place: Place, setup: Pick<Setup, "subject">, where: string, faults: FaultList): void {
  const impossible = placeFault(place, setup, place.kind === "polar" ? `${where}.distanceM` : where);
  if (impossible !== null) faults.add(impossible.code, impossible.what, impossible.where, impossible.mend);
  else if (distance(positionOf(place, setup), noseOf(setup)) < 0.01) {
    faults.add("place-at-nose", "This stands in the nose itself", where, "Move it away.");
  }
}

/** Where a document has faults of its own, its ids and places are still looked at: all faults at once. */
function checkParts(json: Record<string, unknown>, faults: FaultList): void {
  const quiet = new FaultList(true);
  const subject = item.subject(json.subject, "", quiet);
  for (const name of ["sitters", "lights", "panels", "readings", "asShot"] as const) {
    const given = json[name];
    if (!Array.isArray(given) || given.length > item.caps[name]) continue;
    checkUniqueLoose(given, name, faults);
    if (subject === undefined || (name !== "lights" && name !== "panels")) continue;
    given.forEach((thing: unknown, i) => {
      const place = item.place((thing as { place?: unknown } | null)?.place, "", quiet);
      if (place !== undefined) checkPlace(place, { subject }, `${name}[${i}].place`, faults);
    });
  }
}

/** As `checkUnique`, over entries that may be anything. */
function checkUniqueLoose(items: readonly unknown[], path: string, faults: FaultList): void {
  const ids = items.map((entry) => (entry as { id?: unknown } | null)?.id);
  const named = ids.map((given, i) => ({ id: typeof given === "string" ? given : `\u0000${i}` }));
  checkUnique(named, path, faults);
}

/**
 * The document as text, two spaces deep, ending in a line feed.
 * @throws RangeError when the value is no valid setup (programmer mistake).
 */
export const printSetup = (setup: Setup): string => print(readSetup, setup);

/** @throws RangeError when the value is no valid kit (programmer mistake). */
export const printKit = (kit: Kit): string => print(readKit, kit);

function print<T>(read: Read<T>, value: T): string {
  const faults = new FaultList(true);
  const ordered = read(value, "", faults);
  if (ordered === undefined) throw new RangeError(faults.faults.map(formatFault).join("\n"));
  return `${JSON.stringify(ordered, null, 2)}\n`;
}
