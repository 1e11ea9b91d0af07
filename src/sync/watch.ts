/** Telling a caller that a document says something new. */

import type * as Y from "yjs";
import type { Kit, Setup } from "../setup/index.ts";
import type { Result } from "../units/index.ts";
import { docToKit } from "./kit-doc.ts";
import { docToSetup } from "./setup-doc.ts";

/** Calls `onChange` after every transaction that changed the document, here or elsewhere; gives the way to stop. */
export function watchSetup(doc: Y.Doc, onChange: (setup: Result<Setup>, origin: unknown) => void): () => void {
  return watch(doc, (origin) => onChange(docToSetup(doc), origin));
}

/** The same for a kit. */
export function watchKit(doc: Y.Doc, onChange: (kit: Result<Kit>, origin: unknown) => void): () => void {
  return watch(doc, (origin) => onChange(docToKit(doc), origin));
}

function watch(doc: Y.Doc, onChange: (origin: unknown) => void): () => void {
  const changed = (transaction: Y.Transaction): void => {
    if (transaction.changed.size > 0) onChange(transaction.origin);
  };
  doc.on("afterTransaction", changed);
  return () => doc.off("afterTransaction", changed);
}
