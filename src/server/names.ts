/**
 * Names of shared documents: `BOOK.GENERATION.kit` and `BOOK.GENERATION.setup.ID`. Book and generation are
 * part of the name so that a page of another data directory, or from before a restored backup, never writes
 * into the wrong document.
 */

import { kitName, setupName } from "../store/index.ts";

export interface DocumentAddress {
  readonly book: string;
  readonly generation: number;
  /** The document within the book: "kit" or "setup.ID". */
  readonly name: string;
}

const shape = /^([A-Za-z0-9_-]{1,64})\.(\d{1,15})\.(?:(kit)|setup\.([A-Za-z0-9_.:-]{1,64}))$/;

/** Null when it is no document's name. */
export function parseDocumentName(text: string): DocumentAddress | null {
  const match = shape.exec(text);
  if (match === null) return null;
  const [, book = "", generation = "", kit, id = ""] = match;
  return { book, generation: Number(generation), name: kit === undefined ? setupName(id) : kitName };
}

export const documentName = (book: { readonly id: string; readonly generation: number }, name: string): string =>
  `${book.id}.${book.generation}.${name}`;
