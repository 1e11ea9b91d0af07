/** A head's dial drawn from its lowest step, hatched, to full. */

import type { ReactNode } from "react";
import { type DialScale, dialRange, dialSteps, printDial, stops } from "../../../units/index.ts";

const WIDTH = 300;
const LONGEST = 9;

export function DialStrip({ scale }: { scale: DialScale }): ReactNode {
  const steps = dialSteps(scale);
  const { lowest } = dialRange(scale);
  const x = (s: number): number => WIDTH - 18 + (s / LONGEST) * (WIDTH - 46);
  const fulls: number[] = [];
  for (let s = 0; s >= lowest - 1e-6; s -= 1) fulls.push(s);
  const few = scale.kind === "percent" ? [0, -1, -2, -3].filter((s) => s >= lowest - 0.01) : fulls;
  return (
    <svg className="dial-strip" viewBox={`0 0 ${WIDTH} 40`} aria-hidden="true">
      <path d={`M${x(lowest)},18H${x(0)}`} stroke="var(--ink)" strokeWidth="1.6" />
      <path d={steps.map((s) => `M${x(s)},18v-4`).join("")} stroke="var(--edge)" />
      <path d={`M${x(lowest)},5V23M${x(lowest)},6l-5,4m5,0l-5,4m5,0l-5,4`} stroke="var(--ink)" fill="none" />
      {few.map((s) => (
        <g key={s}>
          <path d={`M${x(s)},18v-9`} stroke="var(--ink)" strokeWidth="1.4" />
          <text x={x(s)} y={36} textAnchor="middle" fontSize="11" fill="var(--ink)">
            {printDial(stops(s), scale)}
          </text>
        </g>
      ))}
    </svg>
  );
}
