/** The targets of a pattern on the exposure scale: the working rung bold, a pair of jaws for each light. */

import type { ReactNode } from "react";
import { type Setup, targetAv } from "../../../setup/index.ts";
import { ev, readingParts } from "../../../units/index.ts";

const RUNG = 84;
const LEFT = 110;

export function TargetLadder({ apertureAv, setup }: { apertureAv: number; setup: Setup | null }): ReactNode {
  const top = apertureAv + 2.6;
  const y = (av: number): number => (top - av) * RUNG;
  const rungs: number[] = [];
  for (let av = Math.ceil(top - 9.4); av <= top; av += 1) rungs.push(av);
  const lights = setup?.lights ?? [];
  const pitch = Math.min(96, 310 / Math.max(1, lights.length));
  return (
    <svg viewBox="0 0 460 780" className="target-ladder" aria-hidden="true">
      <path d={`M${LEFT},0V780`} stroke="var(--edge)" />
      {rungs.map((av) => (
        <g key={av}>
          <path d={`M${LEFT},${y(av)}H460`} stroke="var(--line)" />
          <path d={`M${LEFT},${y(av)}h16M${LEFT},${y(av - 0.5)}h9`} stroke="var(--ink2)" />
          {av !== apertureAv && (
            <text x={LEFT - 14} y={y(av) + 7} textAnchor="end" fontSize="20" fontWeight="560" fill="var(--ink)">
              {readingParts(ev(av)).mark}
            </text>
          )}
        </g>
      ))}
      <path d={`M${LEFT},${y(apertureAv)}H460`} stroke="var(--ink)" strokeWidth="4.5" />
      <path
        d={`M26,${y(apertureAv) - 20}H${LEFT - 8}L${LEFT + 4},${y(apertureAv)}L${LEFT - 8},${y(apertureAv) + 20}H26Z`}
        fill="var(--inv)"
      />
      <text x={LEFT - 14} y={y(apertureAv) + 8} textAnchor="end" fontSize="23" fontWeight="760" fill="var(--oninv)">
        {readingParts(ev(apertureAv)).mark}
      </text>
      {lights.map((light, index) => {
        const x = LEFT + 34 + pitch * (index + 0.5);
        const cy = y(setup === null ? apertureAv : targetAv(setup, light));
        const w = Math.min(30, pitch / 2 - 4);
        return (
          <g key={light.id}>
            <path d={`M${x},0V780`} stroke="var(--line)" strokeDasharray="2 5" />
            <path
              d={`M${x - w + 10},${cy - 15}L${x - w},${cy}L${x - w + 10},${cy + 15}M${x + w - 10},${cy - 15}L${x + w},${cy}L${x + w - 10},${cy + 15}`}
              fill="none"
              stroke={`var(--l${light.hue})`}
              strokeWidth="3"
              strokeLinecap="round"
              strokeLinejoin="round"
            />
            <text x={x} y={cy - 24} textAnchor="middle" fontSize="15" fontWeight="600" fill="var(--ink)">
              {light.role}
            </text>
          </g>
        );
      })}
    </svg>
  );
}
