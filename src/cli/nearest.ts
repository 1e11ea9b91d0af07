/** The known word that a mistyped one most likely meant, by the number of letters to change (Levenshtein 1966). */

/** Null where even the nearest is too far to be worth naming. */
export function nearest(word: string, known: readonly string[]): string | null {
  if (word.length > 40) return null;
  let best: { readonly name: string; readonly far: number } | null = null;
  for (const name of known) {
    const far = name.startsWith(word) && word.length >= 2 ? 1 : editDistance(word.toLowerCase(), name);
    if (best === null || far < best.far) best = { name, far };
  }
  if (best === null) return null;
  return best.far <= Math.max(1, Math.floor(best.name.length / 3)) ? best.name : null;
}

/** Insertions, deletions and replacements between two words, one row of the table at a time. */
export function editDistance(from: string, to: string): number {
  let row = Array.from({ length: to.length + 1 }, (_, j) => j);
  for (let i = 1; i <= from.length; i++) {
    const next = [i];
    for (let j = 1; j <= to.length; j++) {
      const replaced = (row[j - 1] as number) + (from[i - 1] === to[j - 1] ? 0 : 1);
      next.push(Math.min(replaced, (row[j] as number) + 1, (next[j - 1] as number) + 1));
    }
    row = next;
  }
  return row[to.length] as number;
}
