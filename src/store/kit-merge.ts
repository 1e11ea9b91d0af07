/** Joining kits: items whose ids are new come in, what is there stays as it is. Pure. */

import type { Kit } from "../setup/index.ts";

const lists = ["heads", "modifiers", "supports", "panels", "meters", "cameras", "rooms"] as const;

/** The kit without its items. */
export const emptied = (kit: Kit): Kit => ({
  ...kit,
  heads: [],
  modifiers: [],
  supports: [],
  panels: [],
  meters: [],
  cameras: [],
  rooms: [],
  backdrops: [],
});

export function mergeKits(here: Kit, other: Kit): Kit {
  const backdrops = new Set(here.backdrops.map((backdrop) => backdrop.name));
  return {
    ...here,
    heads: joined(here.heads, other.heads),
    modifiers: joined(here.modifiers, other.modifiers),
    supports: joined(here.supports, other.supports),
    panels: joined(here.panels, other.panels),
    meters: joined(here.meters, other.meters),
    cameras: joined(here.cameras, other.cameras),
    rooms: joined(here.rooms, other.rooms),
    backdrops: [...here.backdrops, ...other.backdrops.filter((backdrop) => !backdrops.has(backdrop.name))],
  };
}

export const countItems = (kit: Kit): number =>
  lists.reduce((sum, name) => sum + kit[name].length, kit.backdrops.length);

function joined<T extends { readonly id: string }>(here: readonly T[], other: readonly T[]): readonly T[] {
  const ids = new Set(here.map((item) => item.id));
  return [...here, ...other.filter((item) => !ids.has(item.id))];
}
