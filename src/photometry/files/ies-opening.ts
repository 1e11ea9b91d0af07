/**
 * The luminous opening of LM-63: width, length, height, where a negative number is the diameter of
 * something round and zero a missing dimension. Width lies along the 90–270 plane, length along 0–180.
 * The 1986 to 1995 editions write a disc as (−d, 0, 0) and a sphere as (−d, 0, −d); 2002 and 2019 write
 * (−d, −d, 0) and (−d, −d, −d), and give (−d, 0, −d) to a disc that stands upright. The disc is accepted
 * either way, as files mix the two. Codes from memory of the standard's table of luminous openings.
 */

import type { Opening, OpeningShape } from "./web.ts";

/** The opening for three dimensions in metres, signs as in the file; `from2002` chooses the later codes. */
export function openingFromCodes(width: number, length: number, height: number, from2002: boolean): Opening {
  const [w, l, h] = [Math.abs(width), Math.abs(length), Math.abs(height)];
  if (width >= 0 && length >= 0 && height >= 0) return straightOpening(w, l, h);
  // One diameter may stand for both.
  const diameterW = w > 0 ? w : l;
  const diameterL = l > 0 ? l : w;
  if (height === 0) return shaped(diameterW === diameterL ? "disc" : "ellipse", diameterW, diameterL, 0);
  if (height > 0) return shaped("cylinder-upright", diameterW, diameterL, h);
  return standingOpening(width, length, h, from2002);
}

/** The 2002 and 2019 codes of an opening: the inverse of `openingFromCodes`. */
export function openingCodes(opening: Opening): readonly [width: number, length: number, height: number] {
  const { widthM: w, lengthM: l, heightM: h } = opening;
  switch (opening.shape) {
    case "disc":
    case "ellipse":
      return [minus(w), minus(l), 0];
    case "cylinder-upright":
      return [minus(w), minus(l), h];
    case "sphere":
    case "ellipsoid":
    case "disc-upright":
      return [minus(w), minus(l), minus(h)];
    case "cylinder-lengthwise":
      return [minus(w), l, minus(h)];
    case "cylinder-crosswise":
      return [w, minus(l), minus(h)];
    default:
      return [w, l, h];
  }
}

function straightOpening(w: number, l: number, h: number): Opening {
  const extents = [w, l, h].filter((x) => x > 0).length;
  if (extents === 0) return shaped("point", 0, 0, 0);
  if (extents === 1) return shaped("line", w, l, h);
  return shaped(h > 0 ? "box" : "rectangle", w, l, h);
}

/** Height is round too: something that stands or lies, seen from the side as a circle. */
function standingOpening(width: number, length: number, h: number, from2002: boolean): Opening {
  const [w, l] = [Math.abs(width), Math.abs(length)];
  if (width > 0 && length > 0) return shaped("ellipsoid", w, l, h);
  if (length > 0) return shaped("cylinder-lengthwise", w > 0 ? w : h, l, h);
  if (width > 0) return shaped("cylinder-crosswise", w, l > 0 ? l : h, h);
  if (w > 0 && l > 0) return shaped(w === l && l === h ? "sphere" : "ellipsoid", w, l, h);
  if (w === 0 && l === 0) return shaped("sphere", h, h, h);
  if (l === 0 && !from2002) return w === h ? shaped("sphere", w, w, h) : shaped("ellipsoid", w, w, h);
  return shaped("disc-upright", w, l, h);
}

const shaped = (shape: OpeningShape, widthM: number, lengthM: number, heightM: number): Opening => ({
  shape,
  widthM,
  lengthM,
  heightM,
});

const minus = (x: number): number => (x === 0 ? 0 : -x);
