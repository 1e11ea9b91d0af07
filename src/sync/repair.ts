/**
 * What a merge can bring about though each device wrote only what was valid: more items than a setup may
 * have, a light left standing in a nose that another device raised, half a backdrop after crossed steps of
 * Undo. Mended before parsing, the same way on every device; dangling references and impossible polar
 * places are mended by the setup room's own repair.
 */

import type { Fields } from "./fields.ts";

/** Most items of each list that the setup room reads (`parse-items.ts`); readings past it stay in the document. */
const most: Readonly<Record<string, number>> = { lights: 64, panels: 64, sitters: 500, readings: 20_000, asShot: 2000 };

const backdropFields = ["name", "reflectance", "widthM", "heightM", "xM", "zM", "sweepM", "targetTone"];

/** The setup's raw value, fit for parsing. */
export function mendMerge(setup: Fields): Fields {
  const out: Record<string, unknown> = { ...setup };
  for (const [name, count] of Object.entries(most)) {
    const list = setup[name];
    if (!Array.isArray(list) || list.length <= count) continue;
    // The oldest readings make way; of the others, the last in order.
    out[name] = name === "readings" || name === "asShot" ? list.slice(-count) : list.slice(0, count);
  }
  const { backdrop } = setup;
  if (isFields(backdrop) && backdropFields.some((key) => backdrop[key] === undefined)) out.backdrop = null;
  const subject = setup.subject;
  const noseM = isFields(subject) ? subject.noseHeightM : undefined;
  if (typeof noseM === "number") {
    for (const name of ["lights", "panels"])
      out[name] = (out[name] as readonly Fields[]).map((item) => offNose(item, noseM));
  }
  return out;
}

const isFields = (value: unknown): value is Fields =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** Nearer than this to the nose tip, the setup room refuses a place; a front that ends there is moved forward. */
const nearestM = 0.01;
const movedToM = 0.05;

function offNose(item: Fields, noseM: number): Fields {
  const place = item.place;
  if (!isFields(place) || place.kind !== "cartesian") return item;
  const { xM, yM, zM } = place;
  if (typeof xM !== "number" || typeof yM !== "number" || typeof zM !== "number") return item;
  return Math.hypot(xM, yM - noseM, zM) < nearestM ? { ...item, place: { ...place, zM: movedToM } } : item;
}
