/**
 * Fractional keys: text that sorts between two others, so that an item gets its place without moving the
 * rest. Two devices may give the same key; ids then decide.
 */

import { generateKeyBetween } from "fractional-indexing";

/** A key after `before` and before `after`; null stands for the end of the list. Keys that are equal, swapped or not ours give a key after `before`, or after everything. */
export function orderBetween(before: string | null, after: string | null): string {
  if (before !== null && after !== null && before >= after) return orderBetween(before, null);
  try {
    return generateKeyBetween(before, after);
  } catch {
    // Any text may stand as an order in a file: a key of ours that follows it.
    return `${before ?? ""}V`;
  }
}

/** A key after every item of a list. */
export function orderAfter(items: readonly { readonly order: string }[]): string {
  const last = items.reduce<string | null>(
    (most, item) => (most === null || item.order > most ? item.order : most),
    null,
  );
  return orderBetween(last, null);
}
