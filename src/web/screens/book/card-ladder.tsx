/** The ladder as a card shows it: rungs, the working rung bold, a bead per light; hollow while never metered. */

import type { ReactNode } from "react";
import type { BookCard } from "../../../store/types.ts";
import { ev, readingParts } from "../../../units/index.ts";

const RUNG = 26;
const TOP = 26;
const LEFT = 44;

export function CardLadder({ card }: { card: BookCard }): ReactNode {
  const pitch = Math.min(44, 200 / Math.max(card.lights.length, 1));
  const width = LEFT + 10 + pitch * Math.max(card.lights.length, 4) + 10;
  const y = (stopsUnder: number): number => TOP + RUNG * (1 + Math.min(Math.max(stopsUnder, -1), 5));
  const mark = readingParts(ev(card.apertureAv));
  return (
    <svg className="card-ladder" viewBox={`0 0 ${width} 206`} role="img" aria-label={spoken(card)}>
      {[-1, 0, 1, 2, 3, 4, 5].map((under) => (
        <path
          key={under}
          d={`M${LEFT},${y(under)}H${width - 6}`}
          stroke={under === 0 ? "var(--ink)" : "var(--line)"}
          strokeWidth={under === 0 ? 3.2 : 1}
        />
      ))}
      <text x={LEFT - 7} y={y(0) + 5.5} textAnchor="end" fontSize="16" fontWeight="680" fill="var(--ink)">
        {mark.mark}
        {mark.tenth !== 0 && (
          <tspan fontSize="10" dy="-6">
            {mark.tenth}
          </tspan>
        )}
      </text>
      {card.lights.map((light, index) => {
        const x = LEFT + 12 + pitch * (index + 0.5);
        const cy = y(light.readStopsUnder ?? light.stopsUnder);
        const solid = light.readStopsUnder !== null;
        return (
          <g key={`${light.tag} ${light.hue}`}>
            <path
              d={`M${x - 10},${cy}l5.5,-5.5h9l5.5,5.5l-5.5,5.5h-9Z`}
              fill={solid ? `var(--l${light.hue})` : "var(--panel)"}
              stroke={solid ? "var(--key)" : `var(--l${light.hue})`}
              strokeWidth={solid ? "var(--keyw)" : 2}
            />
            <text x={x} y={202} textAnchor="middle" fontSize="13" fontWeight="600" fill="var(--ink)">
              {light.tag}
            </text>
          </g>
        );
      })}
    </svg>
  );
}

function spoken(card: BookCard): string {
  const lights = card.lights.map((l) => {
    const under = l.readStopsUnder ?? l.stopsUnder;
    const words =
      Math.abs(under) < 0.05
        ? "at the working aperture"
        : `${Math.abs(under).toFixed(1)} ${under > 0 ? "under" : "over"}`;
    return `${l.tag} ${words}`;
  });
  return `Ladder: ${lights.join(", ")}`;
}
