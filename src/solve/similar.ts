/**
 * Keeping a look while sizes change. Similarity: all distances and front sizes × k leave configuration
 * factors, solid angles and shadows as they were; the same readings then need k² the output. Substitution:
 * another front of the same shape keeps its solid angle at d·√(A'/A). Geometry; lengths m, areas m².
 */

/** Output that a similar setup k times as large needs for the same readings, stops: 2·log2 k. */
export const similarityStops = (k: number): number => 2 * Math.log2(k);

/** Where a front of another size has the solid angle of the first: d·√(A'/A), same shape and direction. */
export const distanceOfSameSolidAngle = (distanceM: number, areaM2: number, otherAreaM2: number): number =>
  distanceM * Math.sqrt(otherAreaM2 / areaM2);

/** Output that the substitution needs, stops: the same luminance over A'/A the area, log2(A'/A). */
export const substitutionStops = (areaM2: number, otherAreaM2: number): number => Math.log2(otherAreaM2 / areaM2);

/** Change of softness when the solid angle goes from one to another, per cent: + is softer. */
export const softnessChangePercent = (fromSr: number, toSr: number): number => (toSr / fromSr - 1) * 100;
