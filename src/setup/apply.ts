/**
 * The one place that carries out edits. Pure: the setup that comes in stays as it is. Each edit is checked
 * by the same readers as a file, only what it touches is looked at, and the faults of all edits come
 * together. An edit sees what the edits before it did.
 */

import { failure, type Result, success } from "../units/index.ts";
import { checkJson, FaultList, isRecord, list, type Read, text } from "./check.ts";
import type { Edit } from "./edit.ts";
import { checkPlaces } from "./parse.ts";
import * as item from "./parse-items.ts";
import * as kitItem from "./parse-kit-items.ts";
import { repairSetup } from "./repair.ts";
import type { Id, Setup } from "./types.ts";

/** The setup after the edits, or every fault; paths are those of the document after the edit. */
export function applyEdits(setup: Setup, edits: readonly Edit[]): Result<Setup> {
  const faults = new FaultList();
  let now = setup;
  let placesTouched = false;
  let referencesTouched = false;
  edits.forEach((edit, i) => {
    const next = applyOne(now, edit, `edits[${i}]`, faults);
    if (next === undefined) return;
    now = next;
    placesTouched ||= touchesPlaces(edit);
    referencesTouched ||= edit.kind === "room" || edit.kind === "light" || edit.kind === "add-light";
  });
  if (placesTouched) checkPlaces(now, faults);
  if (faults.count > 0) return failure(...faults.faults);
  return success(referencesTouched ? repairSetup(now).setup : now);
}

function touchesPlaces(edit: Edit): boolean {
  if (edit.kind === "add-light" || edit.kind === "add-panel") return true;
  if (edit.kind === "light" || edit.kind === "panel") return "place" in edit.set;
  return edit.kind === "subject" && "noseHeightM" in edit.set;
}

/** undefined: refused, with faults written. */
function applyOne(setup: Setup, edit: Edit, path: string, faults: FaultList): Setup | undefined {
  const before = faults.count;
  if (isRecord(edit)) checkJson(edit, faults);
  if (faults.count > before) return undefined;
  switch (edit?.kind) {
    case "setup":
      return setWords(setup, edit.set, path, faults);
    case "exposure":
      return setPart(setup, "exposure", item.exposure, edit.set, path, faults);
    case "camera":
      return setPart(setup, "camera", kitItem.camera, edit.set, path, faults);
    case "meter":
      return setPart(setup, "meter", kitItem.meter, edit.set, path, faults);
    case "room":
      return setPart(setup, "room", kitItem.room, edit.set, path, faults);
    case "subject":
      return setPart(setup, "subject", item.subject, edit.set, path, faults);
    case "backdrop":
      if (edit.set === null) return { ...setup, backdrop: null };
      return setPart(setup, "backdrop", kitItem.backdrop, edit.set, path, faults);
    case "light":
      return setEntry(setup, "lights", item.light, edit, path, faults);
    case "panel":
      return setEntry(setup, "panels", item.panel, edit, path, faults);
    case "sitter":
      return setEntry(setup, "sitters", item.sitter, edit, path, faults);
    case "add-light":
      return addEntry(setup, "lights", item.light, edit.light, faults);
    case "add-panel":
      return addEntry(setup, "panels", item.panel, edit.panel, faults);
    case "add-sitter":
      return addEntry(setup, "sitters", item.sitter, edit.sitter, faults);
    case "add-reading":
      return addEntry(setup, "readings", item.reading, edit.reading, faults);
    case "add-as-shot":
      return addEntry(setup, "asShot", item.asShot, edit.asShot, faults);
    case "remove-light":
      return removeEntry(setup, "lights", edit.id, path, faults);
    case "remove-panel":
      return removeEntry(setup, "panels", edit.id, path, faults);
    case "remove-sitter":
      return removeEntry(setup, "sitters", edit.id, path, faults);
    case "undo-reading":
      return setEntry(setup, "readings", item.reading, { id: edit.id, set: { undone: edit.undone } }, path, faults);
    default:
      faults.add("unknown-edit", "There is no such edit", `${path}.kind`, "Use an edit of this version.");
      return undefined;
  }
}

const words: Readonly<Record<string, Read<unknown>>> = {
  title: text(200),
  notes: text(20_000),
  tags: list(text(60, 1), 50),
};

function setWords(setup: Setup, set: unknown, path: string, faults: FaultList): Setup | undefined {
  if (!isSet(set, path, faults)) return undefined;
  const before = faults.count;
  for (const [key, value] of Object.entries(set)) {
    const read = Object.hasOwn(words, key) ? words[key] : undefined;
    if (read === undefined)
      faults.add("fixed-field", `"${key}" is not changed this way`, `${path}.set.${key}`, "Leave it out.");
    else read(value, key, faults);
  }
  return faults.count > before ? undefined : ({ ...setup, ...set } as Setup);
}

type PartName = "exposure" | "camera" | "meter" | "room" | "subject" | "backdrop";

function setPart<K extends PartName>(
  setup: Setup,
  name: K,
  read: Read<NonNullable<Setup[K]>>,
  set: unknown,
  path: string,
  faults: FaultList,
): Setup | undefined {
  if (!isSet(set, path, faults)) return undefined;
  const part = read({ ...setup[name], ...set }, name, faults);
  return part === undefined ? undefined : { ...setup, [name]: part };
}

type ListName = "lights" | "panels" | "sitters" | "readings" | "asShot";

function setEntry<T extends { readonly id: Id }>(
  setup: Setup,
  name: ListName,
  read: Read<T>,
  edit: { readonly id: Id; readonly set: unknown },
  path: string,
  faults: FaultList,
): Setup | undefined {
  const entries = setup[name] as readonly { readonly id: Id }[];
  const at = indexOf(entries, edit.id, name, path, faults);
  if (at < 0 || !isSet(edit.set, path, faults)) return undefined;
  if ("id" in edit.set && edit.set.id !== edit.id) {
    faults.add("fixed-field", "An id never changes", `${path}.set.id`, "Leave it out.");
    return undefined;
  }
  // Files inside an untouched modifier were read when they came in.
  const own = new FaultList(!("modifier" in edit.set));
  const entry = read({ ...entries[at], ...edit.set }, `${name}[${at}]`, own);
  for (const f of own.faults) faults.add(f.code, f.what, f.where, f.mend);
  return entry === undefined ? undefined : { ...setup, [name]: entries.with(at, entry) };
}

function addEntry<T extends { readonly id: Id }>(
  setup: Setup,
  name: ListName,
  read: Read<T>,
  given: unknown,
  faults: FaultList,
): Setup | undefined {
  const entries = setup[name] as readonly { readonly id: Id }[];
  const where = `${name}[${entries.length}]`;
  const entry = read(given, where, faults);
  if (entry === undefined) return undefined;
  if (entries.some((other) => other.id === entry.id)) {
    faults.add("duplicate-id", `The id "${entry.id}" is taken`, `${where}.id`, "Give this one its own id.");
    return undefined;
  }
  if (entries.length >= item.caps[name]) {
    faults.add(
      "too-many",
      `There are ${entries.length} ${name} already`,
      where,
      `A setup keeps at most ${item.caps[name]}.`,
    );
    return undefined;
  }
  return { ...setup, [name]: [...entries, entry] };
}

function removeEntry(setup: Setup, name: ListName, id: Id, path: string, faults: FaultList): Setup | undefined {
  const entries = setup[name] as readonly { readonly id: Id }[];
  const at = indexOf(entries, id, name, path, faults);
  return at < 0 ? undefined : { ...setup, [name]: entries.toSpliced(at, 1) };
}

function indexOf(
  entries: readonly { readonly id: Id }[],
  id: unknown,
  name: string,
  path: string,
  faults: FaultList,
): number {
  const at = entries.findIndex((entry) => entry.id === id);
  if (at < 0)
    faults.add(
      "no-such-id",
      `There is no such entry in ${name}`,
      `${path}.id`,
      "It may have been removed; look again.",
    );
  return at;
}

function isSet(set: unknown, path: string, faults: FaultList): set is Record<string, unknown> {
  if (isRecord(set)) return true;
  faults.add("not-an-object", "An edit sets fields of an object", `${path}.set`, "Write the fields to change.");
  return false;
}
