/** Colours of the stops, 8-bit sRGB, dark to bright, made by scripts/make-stops-palette.ts. Do not edit. */

/** Stops from the 18 % card that the first colour stands for. */
export const FIRST_STOP: number = -6;

export const stopColours: readonly (readonly [number, number, number])[] = [
  [26, 8, 90],
  [8, 51, 106],
  [19, 84, 114],
  [30, 117, 130],
  [41, 151, 140],
  [51, 184, 135],
  [127, 209, 116],
  [201, 227, 106],
  [253, 241, 164],
];
