/**
 * Small pictures of setups, kept in this browser beside their look, so that the Book and the Sheet show them without
 * tracing. They are no part of the document: whoever shows one asks whether its look is still the setup's.
 */

import type { PictureLook, SmallPicture } from "../../work/index.ts";

export interface KeptPictures {
  readonly look: PictureLook;
  /** Each light alone and all together. */
  readonly pictures: readonly SmallPicture[];
}

/** What a card needs: the picture of all together. */
export interface KeptCardPicture {
  readonly look: PictureLook;
  readonly picture: SmallPicture;
  /** The card's last change for which the look was found to be the setup's; null: not asked yet. */
  readonly sameFor: string | null;
}

const CACHE = "stopwise-pictures";
const listeners = new Set<(setupId: string) => void>();

export const keptPictures = (setupId: string): Promise<KeptPictures | null> => read(setupId, "all");

export const keptCardPicture = (setupId: string): Promise<KeptCardPicture | null> => read(setupId, "card");

/** Keeps the pictures of a setup; a browser that keeps nothing goes on without. */
export async function keepPictures(setupId: string, kept: KeptPictures): Promise<void> {
  const together = kept.pictures.find(({ lightId }) => lightId === null);
  if (together === undefined) return;
  await write(setupId, "all", kept);
  await keepCardPicture(setupId, { look: kept.look, picture: together, sameFor: null });
}

export async function keepCardPicture(setupId: string, kept: KeptCardPicture): Promise<void> {
  await write(setupId, "card", kept);
  for (const listener of listeners) listener(setupId);
}

/** Hears of every setup whose pictures are new. */
export function watchPictures(listener: (setupId: string) => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

const address = (setupId: string, part: "all" | "card"): string =>
  `/kept-pictures/${encodeURIComponent(setupId)}/${part}`;

async function read<T>(setupId: string, part: "all" | "card"): Promise<T | null> {
  try {
    const cache = await caches.open(CACHE);
    const found = await cache.match(address(setupId, part));
    return found === undefined ? null : ((await found.json()) as T);
  } catch {
    // A private window may refuse; the picture is then made again.
    return null;
  }
}

async function write(setupId: string, part: "all" | "card", value: unknown): Promise<void> {
  try {
    const cache = await caches.open(CACHE);
    await cache.put(address(setupId, part), new Response(JSON.stringify(value)));
  } catch {
    // Full or refused: nothing is lost but time.
  }
}
