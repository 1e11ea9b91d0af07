/** A modifier made of a measured .ies or .ldt file: its shape of light, its luminous opening, its flux. */

import { decodePhotometricText, parsePhotometricFile } from "../../../photometry/index.ts";
import type { Modifier } from "../../../setup/index.ts";
import { type Result, success } from "../../../units/index.ts";

/** The smallest opening that a plan can draw; a file that states a point gets it. */
const LEAST_M = 0.02;

/** Reads the file; every fault in it comes back. `bytes` as they lie on the disc. */
export function measuredModifier(id: string, fileName: string, bytes: Uint8Array): Result<Modifier> {
  const text = decodePhotometricText(bytes, fileName);
  if (!text.ok) return text;
  const web = parsePhotometricFile(text.value, fileName);
  if (!web.ok) return web;
  const { opening } = web.value;
  return success({
    id,
    name: fileName.replace(/\.(ies|ldt)$/i, ""),
    shape: "measured",
    widthM: Math.max(LEAST_M, opening.widthM),
    heightM: Math.max(LEAST_M, opening.lengthM),
    depthM: 0.1,
    transmission: 1,
    layers: [],
    lipM: 0,
    grid: null,
    beamDeg: null,
    hotCentre: 0,
    photometricFile: { name: fileName, text: text.value, absolute: web.value.absolute },
    massKg: 1,
    maxModellingW: null,
    count: 1,
    learnedStops: 0,
    learnedReadings: 0,
  });
}
