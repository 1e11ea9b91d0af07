/**
 * Optical density of neutral filters and gels: transmittance 10^(−D), loss in stops D·log2(10).
 */

import type { Stops } from "../units/index.ts";
import { stops } from "../units/index.ts";

/** Stops taken by a filter of density D (ND 0.3 is 0.997, not 1). */
export const stopsOfDensity = (density: number): Stops => stops(density * Math.log2(10));
/** Density that takes so many stops. */
export const densityOfStops = (loss: Stops): number => loss / Math.log2(10);
/** Transmittance 0…1 of a density. */
export const transmittanceOfDensity = (density: number): number => 10 ** -density;
