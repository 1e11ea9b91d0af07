/** What a frame shows in one word, for lists on paper. */

import type { Id, Shows } from "./types.ts";

/** A light's tag, "all", "none" (the room alone); empty where nobody has said, or for what is no part of the set. */
export function showsWord(shows: Shows | undefined, tagOf: (lightId: Id) => string): string {
  if (shows?.kind === "light") return tagOf(shows.lightId);
  return shows?.kind === "together" ? "all" : shows?.kind === "ambient" ? "none" : "";
}
