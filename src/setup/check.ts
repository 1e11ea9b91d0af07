/**
 * Small readers from which the readers of the document are put together. A reader takes a value of unknown
 * origin and its path, and gives the typed value, or undefined after writing every fault into the list.
 * Objects keep fields they do not know: known fields come first, in the order of the type, then the others.
 */

import { type Fault, fault } from "../units/index.ts";

/** Enough to mend a document by; a file with more wrong is not one of ours. */
const mostFaults = 500;

/** Collects faults; the last one says when there were too many to list. */
export class FaultList {
  readonly faults: Fault[] = [];
  /** Set to skip what costs time and cannot have changed: the text of photometric files. */
  readonly trustFiles: boolean;

  constructor(trustFiles = false) {
    this.trustFiles = trustFiles;
  }

  add(code: string, what: string, where: string, mend: string): void {
    if (this.faults.length < mostFaults) this.faults.push(fault(code, what, where, mend));
    else if (this.faults.length === mostFaults) {
      this.faults.push(fault("more-faults", "More faults than can be listed", where, "Mend these first."));
    }
  }

  get count(): number {
    return this.faults.length;
  }
}

/** undefined means: faults were written. */
export type Read<T> = (value: unknown, path: string, list: FaultList) => T | undefined;

type Readers<T> = { readonly [K in keyof T]-?: Read<Exclude<T[K], undefined>> };

/** Fields that may be absent. */
type OptionalKeys<T> = { [K in keyof T]-?: Record<string, never> extends Pick<T, K> ? K : never }[keyof T];

export const joinPath = (path: string, key: string): string => (path === "" ? key : `${path}.${key}`);

/** Short and safe to print. */
function shown(value: unknown): string {
  if (typeof value === "string") return `"${value.length > 40 ? `${value.slice(0, 40)}…` : value}"`;
  if (value === null) return "null";
  if (Array.isArray(value)) return "a list";
  if (typeof value === "object") return "an object";
  return String(value);
}

/** An object with these fields. `also` checks what spans fields, and runs only when each is good by itself. */
export function record<T extends object>(
  readers: Readers<T>,
  options: {
    readonly optional?: readonly OptionalKeys<T>[];
    readonly also?: (value: T, path: string, list: FaultList) => void;
  } = {},
): Read<T> {
  const keys = Object.keys(readers) as (keyof T & string)[];
  const known = new Set<string>(keys);
  const optional = new Set<keyof T>(options.optional ?? []);
  return (value, path, list) => {
    if (!isRecord(value)) return bad(list, "not-an-object", `This should be an object, not ${shown(value)}`, path);
    const before = list.count;
    const out: Record<string, unknown> = {};
    for (const key of keys) {
      const given = Object.hasOwn(value, key) ? value[key] : undefined;
      if (given === undefined && optional.has(key)) continue;
      const read = readers[key](given, joinPath(path, key), list);
      if (read !== undefined) out[key] = read;
    }
    for (const key of Object.keys(value).sort()) {
      if (!known.has(key)) Object.defineProperty(out, key, { value: value[key], ...plainProperty });
    }
    if (list.count === before) options.also?.(out as T, path, list);
    return list.count === before ? (out as T) : undefined;
  };
}

/** So that a field called `__proto__` stays a field. */
const plainProperty = { enumerable: true, writable: true, configurable: true };

export const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

function bad(
  list: FaultList,
  code: string,
  what: string,
  path: string,
  mend = "Write what this field needs.",
): undefined {
  list.add(code, what, path, mend);
  return undefined;
}

/** A finite number within bounds, both included. `unit` is for the words. */
export function number(low: number, high: number, unit = ""): Read<number> {
  const range = `a number from ${low} to ${high}${unit === "" ? "" : ` ${unit}`}`;
  return (value, path, list) => {
    if (value === undefined) return bad(list, "missing", "This is missing", path, `Write ${range}.`);
    if (typeof value !== "number")
      return bad(list, "not-a-number", `${shown(value)} is not a number`, path, `Write ${range}.`);
    if (!Number.isFinite(value))
      return bad(list, "not-finite", `${value} is not a finite number`, path, `Write ${range}.`);
    if (value < low || value > high)
      return bad(list, "out-of-range", `${value} is out of range`, path, `Write ${range}.`);
    return value;
  };
}

export function whole(low: number, high: number): Read<number> {
  const within = number(low, high);
  return (value, path, list) => {
    const read = within(value, path, list);
    if (read === undefined || Number.isInteger(read)) return read;
    return bad(
      list,
      "not-whole",
      `${read} is not a whole number`,
      path,
      `Write a whole number from ${low} to ${high}.`,
    );
  };
}

export const yesNo: Read<boolean> = (value, path, list) =>
  typeof value === "boolean"
    ? value
    : bad(
        list,
        value === undefined ? "missing" : "not-yes-no",
        `${shown(value)} is neither true nor false`,
        path,
        "Write true or false.",
      );

/** Text without control characters (tabs and line ends aside), at least `least` and at most `most` long. */
export function text(most: number, least = 0): Read<string> {
  return (value, path, list) => {
    if (value === undefined)
      return bad(list, "missing", "This is missing", path, `Write text of at most ${most} characters.`);
    if (typeof value !== "string")
      return bad(list, "not-text", `${shown(value)} is not text`, path, "Write text in quotes.");
    if (value.length > most) {
      return bad(
        list,
        "too-long",
        `This is ${value.length} characters long`,
        path,
        `Shorten it to ${most} characters.`,
      );
    }
    if (value.length < least) return bad(list, "empty", "This is empty", path, "Write something here.");
    if (!isPrintable(value)) {
      return bad(list, "bad-character", "This holds a control character or half a character", path, "Take it out.");
    }
    return value;
  };
}

function isPrintable(value: string): boolean {
  for (let i = 0; i < value.length; i++) {
    const code = value.charCodeAt(i);
    if (code < 32 ? code !== 9 && code !== 10 && code !== 13 : code === 127) return false;
  }
  return value.isWellFormed();
}

const idPattern = /^[A-Za-z0-9_.:-]{1,64}$/;
/** Names that a plain object would take for its own. */
const reserved = new Set(["__proto__", "constructor", "prototype"]);

export const id: Read<string> = (value, path, list) => {
  if (typeof value === "string" && idPattern.test(value) && !reserved.has(value)) return value;
  const code = value === undefined ? "missing" : "bad-id";
  return bad(list, code, `${shown(value)} is no id`, path, "Use 1 to 64 letters, digits and any of _ . : -");
};

const instantPattern =
  /^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T([01]\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d{1,9})?)?(Z|[+-]([01]\d|2[0-3]):[0-5]\d)$/;

/** A time stamp of ISO 8601 with an offset or Z. */
export const instant: Read<string> = (value, path, list) => {
  if (typeof value === "string" && instantPattern.test(value) && Number.isFinite(Date.parse(value))) return value;
  const code = value === undefined ? "missing" : "bad-time";
  return bad(list, code, `${shown(value)} is no time stamp`, path, "Write it like 2026-11-03T14:20:00Z.");
};

export function choice<const T extends string>(...choices: readonly T[]): Read<T> {
  const allowed: readonly string[] = choices;
  const mend = `Use one of ${choices.map((c) => `"${c}"`).join(", ")}.`;
  return (value, path, list) => {
    if (typeof value === "string" && allowed.includes(value)) return value as T;
    return bad(
      list,
      value === undefined ? "missing" : "not-a-choice",
      `${shown(value)} is not one of the choices`,
      path,
      mend,
    );
  };
}

export const orNull =
  <T>(read: Read<T>): Read<T | null> =>
  (value, path, list) =>
    value === null ? null : read(value, path, list);

export function list<T>(read: Read<T>, most: number): Read<readonly T[]> {
  return (value, path, faults) => {
    if (value === undefined)
      return bad(faults, "missing", "This list is missing", path, "Write [] when there is nothing in it.");
    if (!Array.isArray(value))
      return bad(faults, "not-a-list", `${shown(value)} is not a list`, path, "Write a list in [ ].");
    if (value.length > most) {
      return bad(faults, "too-many", `There are ${value.length} here`, path, `Keep at most ${most}.`);
    }
    const before = faults.count;
    const out = value.map((item, i) => read(item, `${path}[${i}]`, faults)).filter((item) => item !== undefined);
    return faults.count === before ? out : undefined;
  };
}

/** Objects told apart by a field, such as `kind`. */
export function union<T extends object>(key: string, cases: Readonly<Record<string, Read<T>>>): Read<T> {
  const pick = choice(...Object.keys(cases));
  return (value, path, list) => {
    if (!isRecord(value))
      return bad(
        list,
        value === undefined ? "missing" : "not-an-object",
        `This should be an object, not ${shown(value)}`,
        path,
      );
    const kind = pick(value[key], joinPath(path, key), list);
    return kind === undefined ? undefined : cases[kind]?.(value, path, list);
  };
}

/** A field that holds exactly this. */
export function exactly<const T extends string | number>(wanted: T): Read<T> {
  return (value, path, list) =>
    value === wanted
      ? wanted
      : bad(list, "not-a-choice", `${shown(value)} should be ${shown(wanted)}`, path, `Write ${shown(wanted)}.`);
}

/** Ids that occur twice in a list. */
export function checkUnique(items: readonly { readonly id: string }[], path: string, list: FaultList): void {
  const seen = new Set<string>();
  items.forEach((item, i) => {
    if (seen.has(item.id))
      list.add("duplicate-id", `The id "${item.id}" occurs twice`, `${path}[${i}].id`, "Give this one its own id.");
    seen.add(item.id);
  });
}

/** Depth and number of values that a document may have, unknown fields included. */
const deepest = 64;
const mostValues = 1_000_000;

/** Writes a fault when a value is not plain JSON, too deep or too big; walks without recursion. */
export function checkJson(root: unknown, list: FaultList): void {
  const open: { value: unknown; path: string; depth: number }[] = [{ value: root, path: "", depth: 0 }];
  let count = 0;
  for (let next = open.pop(); next !== undefined; next = open.pop()) {
    const { value, path, depth } = next;
    count += 1;
    if (count > mostValues) {
      list.add("too-big", `More than ${mostValues} values`, path, "Split it up.");
      return;
    }
    if (depth > deepest) {
      list.add("too-deep", `Nested deeper than ${deepest}`, path.slice(0, 200), "Make it flatter.");
      return;
    }
    if (Array.isArray(value)) {
      for (let i = 0; i < value.length; i++) open.push({ value: value[i], path: `${path}[${i}]`, depth: depth + 1 });
    } else if (isRecord(value)) {
      for (const key of Object.keys(value))
        open.push({ value: value[key], path: joinPath(path, key), depth: depth + 1 });
    } else if (!isLeaf(value)) {
      list.add(
        "not-json",
        `${typeof value === "number" ? value : `A ${typeof value}`} is not plain JSON`,
        path,
        "Take it out.",
      );
    }
  }
}

/** Numbers that are not finite are left to the field that knows its range; elsewhere they could not be written. */
const isLeaf = (value: unknown): boolean =>
  value === null ||
  typeof value === "string" ||
  typeof value === "boolean" ||
  typeof value === "number" ||
  value === undefined;
