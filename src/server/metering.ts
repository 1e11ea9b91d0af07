/**
 * What a device that may meter, and no more, may change in a setup: it adds readings, says whether a reading counts
 * (Undo), sets a light's dial, the mark that its reading was accepted, and what its head was learned to give. Everything else, the kit included, needs
 * the permission to edit. Judged by what an update touched in the shared document (`sync/setup-doc.ts` says what
 * stands where), so that also what this version does not know needs it.
 */

import * as Y from "yjs";

const readingMaps: readonly string[] = ["readings", "readingsCounted"];
const lightFields: ReadonlySet<string> = new Set([
  "dialStops",
  "accepted",
  // What a reading teaches of the head (`solve/calibrate.ts`).
  "calibrationStops",
  "calibratedFrom",
]);

/** Applies the update and says whether it touched nothing but what metering changes. */
export function applyAndJudge(doc: Y.Doc, update: Uint8Array): boolean {
  let onlyMetering = true;
  const judge = (transaction: Y.Transaction): void => {
    for (const [type, keys] of transaction.changed) {
      if (![...keys].every((key) => isMetering(doc, type, key))) onlyMetering = false;
    }
  };
  doc.on("afterTransaction", judge);
  try {
    Y.applyUpdate(doc, update);
  } finally {
    doc.off("afterTransaction", judge);
  }
  return onlyMetering;
}

/** A null key is a change of a list or a text, which metering never makes. */
function isMetering(doc: Y.Doc, type: unknown, key: string | null): boolean {
  if (key === null) return false;
  if (readingMaps.some((name) => doc.share.get(name) === type)) return true;
  const lights = doc.share.get("lights");
  return type instanceof Y.Map && lights !== undefined && type.parent === lights && lightFields.has(key);
}
