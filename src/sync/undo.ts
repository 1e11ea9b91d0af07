/**
 * Undo of one device: it takes back this device's own steps and never what another wrote. A reading or
 * an as-shot entry is never taken out of the document: undoing the step that added it makes it not count.
 */

import * as Y from "yjs";
import { kitCollections } from "./kit-doc.ts";
import { setupCollections, setupSections } from "./setup-doc.ts";

/** Undo over a setup's document for the edits made under `origin`. Each transaction is a step of its own. */
export function setupUndo(doc: Y.Doc, origin: unknown): Y.UndoManager {
  return undoOver(
    doc,
    ["setup", ...setupSections, "backdrop", ...setupCollections, "readingsCounted", "asShotShown"],
    origin,
  );
}

/** Undo over the kit's document for the edits made under `origin`. */
export function kitUndo(doc: Y.Doc, origin: unknown): Y.UndoManager {
  return undoOver(doc, ["kit", ...kitCollections, "kitOrder"], origin);
}

function undoOver(doc: Y.Doc, names: readonly string[], origin: unknown): Y.UndoManager {
  const scope = names.map((name) => doc.getMap(name));
  return new Y.UndoManager(scope, { trackedOrigins: new Set([origin]), captureTimeout: 0 });
}
