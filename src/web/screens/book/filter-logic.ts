/** The Book's filters as a value and as the query of `/api/cards`. */

import type { Role } from "../../../setup/index.ts";

export interface BookFilter {
  readonly text: string;
  readonly lights: number | null;
  readonly kitHere: boolean;
  readonly fitsHere: boolean;
  readonly met: boolean;
  readonly roles: readonly Role[];
  readonly mainToFill: number | null;
  readonly tag: string | null;
}

export const noFilter: BookFilter = {
  text: "",
  lights: null,
  kitHere: false,
  fitsHere: false,
  met: false,
  roles: [],
  mainToFill: null,
  tag: null,
};

export function filterQuery(filter: BookFilter): string {
  const query = new URLSearchParams();
  if (filter.text.trim() !== "") query.set("text", filter.text.trim());
  if (filter.lights !== null) query.set("lights", String(filter.lights));
  if (filter.kitHere) query.set("kitHere", "1");
  if (filter.fitsHere) query.set("fitsHere", "1");
  if (filter.met) query.set("met", "1");
  for (const role of filter.roles) query.append("role", role);
  if (filter.mainToFill !== null) query.set("mainToFill", String(filter.mainToFill));
  if (filter.tag !== null) query.set("tag", filter.tag);
  const text = query.toString();
  return text === "" ? "" : `?${text}`;
}

/** Light to light, each alone: 2ⁿ to 1, with no more digits than it knows. */
export function ratioWords(stops: number | null): string | null {
  if (stops === null) return null;
  const ratio = 2 ** stops;
  return `${ratio < 9.95 ? Number(ratio.toFixed(1)) : Math.round(ratio)}:1`;
}
