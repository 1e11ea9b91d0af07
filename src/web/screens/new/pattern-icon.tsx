/** A pattern from above, drawn from the setup it would make here: the head, and each light where it would stand. */

import type { ReactNode } from "react";
import { axisOf, positionOf, type Setup } from "../../../setup/index.ts";

export function PatternIcon({ setup }: { setup: Setup }): ReactNode {
  const places = setup.lights.map((light) => ({
    light,
    at: positionOf(light.place, setup),
    axis: axisOf(setup, light),
  }));
  const cards = setup.panels.map((panel) => ({ panel, at: positionOf(panel.place, setup) }));
  const reach = Math.max(
    1.2,
    ...places.map((p) => Math.hypot(p.at[0], p.at[2])),
    ...cards.map((c) => Math.hypot(c.at[0], c.at[2])),
  );
  const k = 30 / reach;
  return (
    <svg width="86" height="86" viewBox="-43 -43 86 86" className="pattern-icon" aria-hidden="true">
      <ellipse rx="6" ry="7.5" fill="var(--ink2)" />
      <path d="M-2,7L0,10.5L2,7Z" fill="var(--ink2)" />
      {cards.map(({ panel, at }) => (
        <rect
          key={panel.id}
          x={at[0] * k - 5}
          y={at[2] * k - 1.5}
          width="10"
          height="3"
          fill={panel.reflectance > 0.4 ? "var(--ink)" : "var(--edge)"}
          transform={`rotate(${90 - panel.facingDeg} ${at[0] * k} ${at[2] * k})`}
        />
      ))}
      {places.map(({ light, at, axis }) => {
        const turn = (Math.atan2(axis[0], axis[2]) * 180) / Math.PI;
        const half = Math.max(4, Math.min(11, (light.modifier.widthM * k) / 2 + 2));
        return (
          <g key={light.id} transform={`translate(${at[0] * k},${at[2] * k}) rotate(${-turn})`}>
            <path
              d={`M${-half},0H${half}L2.5,-8H-2.5Z`}
              fill={`var(--l${light.hue})`}
              stroke="var(--key)"
              strokeWidth="var(--keyw)"
            />
          </g>
        );
      })}
    </svg>
  );
}
