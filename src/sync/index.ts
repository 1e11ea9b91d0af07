/** The door of the sync room: a setup or a kit in a shared document, and back. */

import type * as Y from "yjs";
import type { Kit, Setup } from "../setup/index.ts";
import { revertKit } from "./kit-doc.ts";
import { revertSetup } from "./setup-doc.ts";
import { Undo } from "./undo.ts";

export { docToKit, kitToDoc, writeKit } from "./kit-doc.ts";
export { orderAfter, orderBetween } from "./order.ts";
export { docToSetup, keptReadings, readingsLost, setupToDoc, writeSetup } from "./setup-doc.ts";
export type { Undo } from "./undo.ts";
export { watchKit, watchSetup } from "./watch.ts";

/** Undo over a setup's document for the edits made under `origin`. */
export const setupUndo = (doc: Y.Doc, origin: unknown): Undo<Setup> => new Undo(doc, origin, revertSetup);

/** Undo over a kit's document for the edits made under `origin`. */
export const kitUndo = (doc: Y.Doc, origin: unknown): Undo<Kit> => new Undo(doc, origin, revertKit);
