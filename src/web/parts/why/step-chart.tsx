/** The rows of a ledger as steps along the exposure scale: each bar begins where the one above it ended. */

import type { ReactNode } from "react";
import type { Ledger } from "../../../solve/index.ts";
import { ev, readingParts } from "../../../units/index.ts";

interface Props {
  readonly chain: Extract<Ledger, { kind: "chain" }>;
  readonly workingAv: number;
  readonly chosen: number;
  readonly readingAv: number | null;
}

const WIDTH = 400;
const ROW = 72;
const HEAD = 40;

export function StepChart({ chain, workingAv, chosen, readingAv }: Props): ReactNode {
  const reached = [workingAv, ...chain.rows.map((row) => row.soFarAv), ...(readingAv === null ? [] : [readingAv])];
  const low = Math.floor(Math.min(...reached) - 0.6);
  const high = Math.ceil(Math.max(...reached) + 0.6);
  const x = (av: number): number => 20 + ((av - low) / (high - low)) * (WIDTH - 40);
  const y = (index: number): number => HEAD + index * ROW;
  const height = y(chain.rows.length) + ROW;
  const marks: number[] = [];
  for (let av = low; av <= high; av += 1) marks.push(av);
  return (
    <svg className="why-chart" width={WIDTH} height={height} viewBox={`0 0 ${WIDTH} ${height}`} aria-hidden="true">
      {marks.map((av) => (
        <g key={av}>
          <path
            d={`M${x(av)},${HEAD - 6}V${height}`}
            stroke={av === workingAv ? "var(--ink)" : "var(--line)"}
            strokeWidth={av === workingAv ? 2 : 1}
          />
          {(high - low < 9 || av % 2 === workingAv % 2) && (
            <text
              x={x(av)}
              y={20}
              textAnchor="middle"
              fontSize="13"
              fontWeight={av === workingAv ? 740 : 500}
              fill="var(--ink)"
            >
              {readingParts(ev(av)).mark}
            </text>
          )}
        </g>
      ))}
      {chain.rows.map((row, index) => {
        const from = index === 0 ? row.soFarAv : row.soFarAv - row.stops;
        const left = Math.min(x(from), x(row.soFarAv));
        const wide = Math.max(3, Math.abs(x(row.soFarAv) - x(from)));
        const top = y(index) + ROW / 2 - 12;
        return (
          <g key={row.row + row.name}>
            {index > 0 && <path d={`M${x(from)},${top - ROW + 24}V${top}`} stroke="var(--ink2)" strokeWidth="1" />}
            <rect
              x={left}
              y={top}
              width={wide}
              height={24}
              fill={index === chosen ? "var(--inv)" : row.stops > 0 && index > 0 ? "var(--panel)" : "var(--edge)"}
              stroke={row.stops > 0 && index > 0 ? "var(--ink)" : "none"}
              strokeWidth="2"
            />
          </g>
        );
      })}
      {chain.av !== null && (
        <g stroke="var(--ink)" strokeWidth="2" fill="none">
          <path
            d={`M${x(chain.av - chain.sigmaStops)},${y(chain.rows.length) + 22}H${x(chain.av + chain.sigmaStops)}m0,-6v12M${x(chain.av - chain.sigmaStops)},${y(chain.rows.length) + 16}v12`}
          />
          <circle cx={x(chain.av)} cy={y(chain.rows.length) + 22} r="5" fill="var(--panel)" />
        </g>
      )}
      {readingAv !== null && <circle cx={x(readingAv)} cy={y(chain.rows.length) + 46} r="5.5" fill="var(--ink)" />}
    </svg>
  );
}
