/** A modifier's front, drawn to the scale that all in the table share. */

import type { ReactNode } from "react";
import type { Modifier } from "../../../setup/index.ts";

const PX_PER_M = 34;

export function FrontIcon({ modifier: m }: { modifier: Modifier }): ReactNode {
  const w = Math.max(3, m.widthM * PX_PER_M);
  const h = Math.max(3, m.heightM * PX_PER_M);
  const style = { fill: "var(--row)", stroke: "var(--ink)", strokeWidth: 1.4 } as const;
  return (
    <svg width="60" height="56" viewBox="-30 -28 60 56" aria-hidden="true">
      {m.shape === "octagon" ? (
        <path d={octagon(w, h)} {...style} />
      ) : m.shape === "rectangle" ? (
        <rect x={-w / 2} y={-h / 2} width={w} height={h} {...style} />
      ) : (
        <ellipse rx={w / 2} ry={h / 2} {...style} />
      )}
      {m.grid !== null && <path d={gridLines(w, h)} stroke="var(--edge)" strokeWidth="0.8" />}
    </svg>
  );
}

/** Across flats w and h; a regular octagon's corners are cut at 0.293 = 1/(2 + √2) of the width. */
function octagon(w: number, h: number): string {
  const [x, y, cx, cy] = [w / 2, h / 2, w * 0.293, h * 0.293];
  return `M${-x},${-y + cy}L${-x + cx},${-y}H${x - cx}L${x},${-y + cy}V${y - cy}L${x - cx},${y}H${-x + cx}L${-x},${y - cy}Z`;
}

function gridLines(w: number, h: number): string {
  let d = "";
  for (let x = -w / 2 + 4; x < w / 2; x += 4) d += `M${x},${-h / 2}V${h / 2}`;
  for (let y = -h / 2 + 4; y < h / 2; y += 4) d += `M${-w / 2},${y}H${w / 2}`;
  return d;
}
