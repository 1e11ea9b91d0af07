/** Turning a picture upright by Exif's orientation (CIPA DC-008, tag 0x0112). */

import type { Picture } from "./demosaic.ts";

/** 1 as it is; 2 mirrored; 3 half a turn; 4 upside down; 5 transposed; 6 a quarter to the right; 7 the other transposition; 8 a quarter to the left. */
export function oriented(picture: Picture, orientation: number): Picture {
  if (orientation <= 1 || orientation > 8) return picture;
  const { width, height, rgb } = picture;
  const turned = orientation >= 5;
  const w = turned ? height : width;
  const h = turned ? width : height;
  const out = new Float32Array(rgb.length);
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const [sx, sy] = sourceOf(orientation, x, y, width, height);
      const from = 3 * (sy * width + sx);
      const to = 3 * (y * w + x);
      out[to] = rgb[from] as number;
      out[to + 1] = rgb[from + 1] as number;
      out[to + 2] = rgb[from + 2] as number;
    }
  }
  return { width: w, height: h, rgb: out };
}

/** Where the upright pixel (x, y) lies in the stored picture. */
function sourceOf(orientation: number, x: number, y: number, width: number, height: number): readonly [number, number] {
  const right = width - 1;
  const bottom = height - 1;
  switch (orientation) {
    case 2:
      return [right - x, y];
    case 3:
      return [right - x, bottom - y];
    case 4:
      return [x, bottom - y];
    case 5:
      return [y, x];
    case 6:
      return [y, bottom - x];
    case 7:
      return [right - y, bottom - x];
    default:
      return [right - y, x];
  }
}
