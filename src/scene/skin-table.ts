/**
 * Colour of skin over its luminous reflectance Y: ln(channel / Y) = a + b·ln Y for linear Rec. 709 red, green and
 * blue under D65. Made by scripts/make-skin-table.ts from the NIST Reference Data Set of Human Skin Reflectance
 * (50 subjects, doi 10.18434/M38597; J. Res. NIST 122.026).
 */

export const skinLines: readonly (readonly [a: number, b: number])[] = [
  [0.1129, -0.2189],
  [-0.0042, 0.0847],
  [-0.0475, 0.3427],
];

/** Root mean square of what the lines leave, ln per channel: people of equal Y differ by that. */
export const skinSpread: readonly [r: number, g: number, b: number] = [0.0207, 0.0089, 0.0628];

/** Least and greatest Y among the subjects: beyond, the lines are continued. */
export const skinMeasuredRange: readonly [least: number, greatest: number] = [0.1327, 0.4614];
