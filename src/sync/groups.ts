/**
 * Fields that mean something only together are one value in the shared document, so that two devices never
 * mix halves: a shutter time and the mark it was chosen as, a room's size and the cross in it, where the
 * lens stands and where it points. The key of such a value is the names of its fields, joined by a space.
 */

import type { Fields } from "./fields.ts";

type Groups = readonly (readonly string[])[];

const camera: Groups = [
  ["position", "aim"],
  ["sensorWidthMm", "sensorHeightMm"],
];
const meter: Groups = [["lowestAv", "highestAv"]];
const room: Groups = [["widthM", "depthM", "crossFromLeftM", "crossFromBackM"]];

/** By the name of the section or of the collection. */
const groups: Readonly<Record<string, Groups>> = {
  exposure: [["shutterS", "shutterMark"]],
  camera,
  cameras: camera,
  meter,
  meters: meter,
  room,
  rooms: room,
  heads: [["kind", "energyWs", "powerW"]],
  modifiers: [["shape", "widthM", "heightM", "photometricFile"]],
  supports: [
    ["kind", "legs"],
    ["minHeightM", "maxHeightM"],
  ],
};

/** The fields as they are written: each group as one value. */
export function grouped(name: string, fields: Fields): Fields {
  const out: Record<string, unknown> = { ...fields };
  for (const group of groups[name] ?? []) {
    const present = group.filter((key) => fields[key] !== undefined);
    if (present.length === 0) continue;
    out[group.join(" ")] = Object.fromEntries(present.map((key) => [key, fields[key]]));
    for (const key of group) delete out[key];
  }
  return out;
}

/** The fields as the setup has them. */
export function ungrouped(name: string, fields: Fields): Fields {
  const out: Record<string, unknown> = { ...fields };
  for (const group of groups[name] ?? []) {
    const key = group.join(" ");
    const value = out[key];
    delete out[key];
    if (typeof value === "object" && value !== null) Object.assign(out, value);
  }
  return out;
}
