/** A layer made small by the mean of boxes of pixels: light adds up, so the small picture mixes like the large one. */

import type { Layer } from "../../../../picture/index.ts";

const made = new WeakMap<Layer, Map<number, Layer>>();

/** About `width` pixels wide, of whole boxes; kept as long as the layer is. */
export function shrunk(layer: Layer, width: number): Layer {
  const sizes = made.get(layer) ?? new Map<number, Layer>();
  made.set(layer, sizes);
  const known = sizes.get(width);
  if (known !== undefined) return known;
  const box = Math.max(1, Math.floor(layer.width / width));
  const [columns, rows] = [Math.floor(layer.width / box), Math.floor(layer.height / box)];
  const rgb = new Float32Array(3 * columns * rows);
  for (let y = 0; y < rows * box; y++) {
    for (let x = 0; x < columns * box; x++) {
      const from = 3 * (y * layer.width + x);
      const to = 3 * (Math.floor(y / box) * columns + Math.floor(x / box));
      for (let c = 0; c < 3; c++) rgb[to + c] = (rgb[to + c] as number) + (layer.rgb[from + c] as number) / (box * box);
    }
  }
  const small = { ...layer, width: columns, height: rows, rgb, sigma: new Float32Array(columns * rows) };
  sizes.set(width, small);
  return small;
}
