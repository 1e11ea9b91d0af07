/**
 * From an older version of a document to this one, step by step: `steps[n]` turns version n into n + 1.
 * Version 1 is the first, so the table holds no step yet; a breaking change adds one here and a saved
 * document of the old version to fixtures/. Unknown fields pass through untouched.
 */

import { failure, fault, type Result, success } from "../units/index.ts";
import { isRecord } from "./check.ts";

export type MigrationSteps = Readonly<Record<number, (document: Record<string, unknown>) => Record<string, unknown>>>;

export const currentVersion = 1;
const setupSteps: MigrationSteps = {};
const kitSteps: MigrationSteps = {};

/** The document at the current version. Faults: not ours, no version, older than the first, newer than this program. */
export function migrate(json: unknown, format: "stopwise-setup" | "stopwise-kit"): Result<Record<string, unknown>> {
  return migrateWith(json, format, format === "stopwise-setup" ? setupSteps : kitSteps, currentVersion);
}

/** The same with a table and a newest version of the caller's choice. */
export function migrateWith(
  json: unknown,
  format: string,
  steps: MigrationSteps,
  newest: number,
): Result<Record<string, unknown>> {
  const noun = format === "stopwise-kit" ? "kit" : "setup";
  if (!isRecord(json))
    return failure(fault("not-an-object", `This is no ${noun} document`, "", `Give a ${noun} file saved by Stopwise.`));
  if (json.format !== format) {
    return failure(
      fault(
        "wrong-format",
        `This is no ${noun} document: its format is not "${format}"`,
        "format",
        `Give a ${noun} file.`,
      ),
    );
  }
  const { version } = json;
  if (typeof version !== "number" || !Number.isInteger(version) || version < 1) {
    return failure(fault("bad-version", "There is no such version", "version", `Versions run from 1 to ${newest}.`));
  }
  if (version > newest) {
    return failure(
      fault(
        "newer-version",
        `This ${noun} is from a newer version (${version}) of Stopwise`,
        "version",
        "Bring this program up to date; nothing was changed.",
      ),
    );
  }
  let document = json;
  for (let at = version; at < newest; at++) {
    const step = steps[at];
    if (step === undefined) throw new RangeError(`no migration from version ${at} of ${format}`);
    document = { ...step(document), version: at + 1 };
  }
  return success(document);
}
