/**
 * The fixed colours of paper and PDF: neutral greys, and for the lights the colour-blind-safe set of Okabe and
 * Ito (M. Okabe, K. Ito, "Color Universal Design", 2008). As #rrggbb, sRGB.
 */

import type { Paint } from "./types.ts";

const greys: Readonly<Record<string, string>> = {
  ink: "#141414",
  ink2: "#3e3e3e",
  ink3: "#565656",
  line: "#d2d2d2",
  edge: "#6f6f6f",
  panel: "#ffffff",
  row: "#f4f4f4",
  well: "#e4e4e4",
  floor: "#ffffff",
  wall: "#6d6d6d",
  paper: "#6d6d6d",
  inverse: "#141414",
  "on-inverse": "#ffffff",
  key: "#141414",
  black: "#000000",
  white: "#ffffff",
  "hue-0": "#6d6d6d",
};

/** Orange, sky blue, bluish green, reddish purple, yellow, vermilion, blue; the eighth is a neutral grey. */
const hues = ["#e69f00", "#56b4e9", "#009e73", "#cc79a7", "#f0e442", "#d55e00", "#0072b2", "#b4b4b4"];

/** The printed colour; "none" stays "none". */
export function printPalette(paint: Paint): string {
  if (paint === "none") return "none";
  const grey = greys[paint];
  if (grey !== undefined) return grey;
  const [, kind, index] = /^(hue|on)-(\d+)$/.exec(paint) ?? [];
  if (kind === "on") return index === "7" ? "#ffffff" : "#111111";
  return hues[Number(index) - 1] ?? "#b4b4b4";
}
