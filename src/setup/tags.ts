/** Tags of lights: the role's initial, numbered from the second on (E, E2), K for a card; two characters at most. */

import type { Role } from "./types.ts";

/** The first free tag of a role. */
export function roleTag(role: Role, taken: readonly string[]): string {
  const initial = role === "card" ? "K" : role.charAt(0).toUpperCase();
  for (let n = 1; n <= 9; n++) {
    const tag = n === 1 ? initial : `${initial}${n}`;
    if (!taken.includes(tag)) return tag;
  }
  return `${initial}+`;
}
