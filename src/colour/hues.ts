/**
 * Colours that tell lights apart, to people with any colour vision: the set of Okabe and Ito, "Color
 * Universal Design" (2008), in our order. Never the only sign: each light has its name and tag beside it.
 */

export interface Hue {
  readonly name: string;
  /** sRGB, "#RRGGBB". */
  readonly hex: string;
}

export const lightHues: readonly Hue[] = [
  { name: "orange", hex: "#E69F00" },
  { name: "sky blue", hex: "#56B4E9" },
  { name: "bluish green", hex: "#009E73" },
  { name: "reddish purple", hex: "#CC79A7" },
  { name: "yellow", hex: "#F0E442" },
  { name: "vermilion", hex: "#D55E00" },
  { name: "blue", hex: "#0072B2" },
];

/** The hue with number `n`, counting on from the first after the last. */
export function lightHue(n: number): Hue {
  const count = lightHues.length;
  return lightHues[((Math.trunc(n) % count) + count) % count] as Hue;
}
