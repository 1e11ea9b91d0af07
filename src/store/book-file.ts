/**
 * A whole book as one JSON text, to carry to another book: `{ format: "stopwise-book", version: 1, setups,
 * kits }`. Reading gives every fault of every setup and kit, each path led by where it stands in the file.
 */

import { type Kit, parseKit, parseSetup, type Setup } from "../setup/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";

export interface BookFile {
  readonly format: "stopwise-book";
  readonly version: 1;
  readonly setups: readonly Setup[];
  readonly kits: readonly Kit[];
}

/** As many faults as help to mend a file. */
const mostFaults = 500;

/** A book from JSON, already parsed or as text. */
export function parseBook(json: unknown): Result<BookFile> {
  if (typeof json === "string") {
    try {
      return parseBook(JSON.parse(json) as unknown);
    } catch (error) {
      return failure(
        fault("bad-json", `This is not JSON: ${(error as Error).message}`, "book", "Export the book again."),
      );
    }
  }
  if (typeof json !== "object" || json === null || Array.isArray(json)) {
    return failure(fault("not-an-object", "This is no exported book", "book", "Give a file written by an export."));
  }
  const { format, version, setups, kits } = json as Record<string, unknown>;
  if (format !== "stopwise-book") {
    return failure(
      fault("wrong-format", 'The format is not "stopwise-book"', "format", "Give a file written by an export."),
    );
  }
  if (version !== 1) {
    return failure(
      fault(
        "bad-version",
        "This program reads version 1 of an exported book",
        "version",
        "Bring this program up to date.",
      ),
    );
  }
  return parseLists(setups, kits);
}

function parseLists(setups: unknown, kits: unknown): Result<BookFile> {
  const faults: Fault[] = [];
  const readSetups = readList("setups", setups, parseSetup, faults);
  const readKits = readList("kits", kits, parseKit, faults);
  const seen = new Set<string>();
  readSetups.forEach(({ id }, i) => {
    if (seen.has(id))
      faults.push(fault("duplicate-id", `The id "${id}" occurs twice`, `setups[${i}].id`, "Give this one its own id."));
    seen.add(id);
  });
  if (faults.length > 0) return failure(...faults.slice(0, mostFaults));
  return success({ format: "stopwise-book", version: 1, setups: readSetups, kits: readKits });
}

function readList<T>(name: string, value: unknown, parse: (json: unknown) => Result<T>, faults: Fault[]): readonly T[] {
  if (!Array.isArray(value)) {
    faults.push(fault("not-a-list", `${name} should be a list`, name, "Write [] when there are none."));
    return [];
  }
  return value.flatMap((item: unknown, i) => {
    const read = parse(item);
    if (read.ok) return [read.value];
    faults.push(
      ...read.faults.map((f) => ({ ...f, where: f.where === "" ? `${name}[${i}]` : `${name}[${i}].${f.where}` })),
    );
    return [];
  });
}
