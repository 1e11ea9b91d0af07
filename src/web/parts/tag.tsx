/** A light's tag: the bead, a long hexagon with the tag on it; hollow while never metered; jaws when it is the one. */

import type { ReactNode } from "react";

const SIZES = { small: [32, 19], middle: [34, 20], large: [44, 24], huge: [240, 130] } as const;

interface Props {
  readonly tag: string;
  readonly hue: number;
  readonly solid?: boolean;
  readonly jaws?: boolean;
  readonly size?: keyof typeof SIZES;
}

export function Tag({ tag, hue, solid = true, jaws = false, size = "small" }: Props): ReactNode {
  const [w, h] = SIZES[size];
  const [boxW, boxH] = jaws || size === "middle" ? [62, 40] : [w, h + 2];
  const [cx, cy] = [boxW / 2, boxH / 2];
  const tip = h * 0.56;
  const bead = `M${cx - w / 2 + 1},${cy}L${cx - w / 2 + tip},${cy - h / 2 + 1}H${cx + w / 2 - tip}L${cx + w / 2 - 1},${cy}L${cx + w / 2 - tip},${cy + h / 2 - 1}H${cx - w / 2 + tip}Z`;
  const font = h * 0.72 * (tag.length > 1 ? 0.86 : 1);
  const label = tag === "R" ? "Room" : `Light ${tag}`;
  return (
    <svg className="tag" width={boxW} height={boxH} viewBox={`0 0 ${boxW} ${boxH}`} role="img" aria-label={label}>
      <path
        d={bead}
        fill={solid ? `var(--l${hue})` : "var(--panel)"}
        stroke={solid ? "var(--key)" : `var(--l${hue})`}
        strokeWidth={solid ? "var(--keyw)" : 2}
      />
      <text
        x={cx}
        y={cy + font * 0.355}
        textAnchor="middle"
        fontSize={font}
        fontWeight="740"
        fill={solid ? `var(--on${hue})` : "var(--ink)"}
      >
        {tag}
      </text>
      {jaws && (
        <path
          d={`M${cx - w / 2 + 6},${cy - h / 2 - 3}L${cx - w / 2 - 6},${cy}L${cx - w / 2 + 6},${cy + h / 2 + 3}M${cx + w / 2 - 6},${cy - h / 2 - 3}L${cx + w / 2 + 6},${cy}L${cx + w / 2 - 6},${cy + h / 2 + 3}`}
          fill="none"
          stroke="var(--ink)"
          strokeWidth="2.4"
          strokeLinecap="round"
          strokeLinejoin="round"
        />
      )}
    </svg>
  );
}
