/**
 * A head's dial as a strip of its real steps: full power on the right, one width per stop, whole stops taller, the
 * hatched end where it goes no lower. For a percent dial the marks stand where their light is, log2(percent/100) or
 * as measured. CSS pixels.
 */

import { type DialScale, dialSteps, printDial, stops, stopsOfPercent } from "../units/index.ts";
import { runsWidth } from "./measure.ts";
import { line, lines, type Point, text } from "./shape.ts";
import type { Drawing, Shape } from "./types.ts";
import { runsOf } from "./words.ts";

export interface DialStripOptions {
  /** Width of one stop. */
  readonly perStop?: number;
  /** The strip is at least so many stops wide, so that several heads line up at full. */
  readonly stopsWide?: number;
  /** Where the dial stands now, stops below full: a mark over the strip. */
  readonly position?: number;
}

export function dialStrip(name: string, scale: DialScale, options: DialStripOptions = {}): Drawing {
  const perStop = options.perStop ?? 42;
  const steps = dialSteps(scale);
  const lowest = Math.min(...steps);
  const width = Math.max(options.stopsWide ?? 7, -lowest) * perStop + 70;
  const x = (value: number): number => width - 34 + value * perStop;
  const ticks = spaced(steps, perStop).map((value): readonly Point[] => {
    const whole = Math.abs(value - Math.round(value)) < 0.01;
    return [
      [x(value), 26],
      [x(value), whole ? 14 : steps.length > 24 ? 21 : 18],
    ];
  });
  const shapes: Shape[] = [
    line(
      [
        [x(lowest), 26],
        [x(0), 26],
      ],
      { stroke: "ink", strokeWidth: 2 },
    ),
    lines(ticks, { stroke: "ink", strokeWidth: 1 }),
    line(
      [
        [x(lowest), 10],
        [x(lowest), 28],
      ],
      { stroke: "ink", strokeWidth: 2 },
    ),
    lines(
      [12, 17, 22, 27].map((y): readonly Point[] => [
        [x(lowest) - 2, y],
        [x(lowest) - 7, y + 5],
      ]),
      { stroke: "ink2", strokeWidth: 1 },
    ),
    ...labels(scale, steps, x),
  ];
  if (options.position !== undefined) {
    const at = x(Math.max(lowest, Math.min(0, options.position)));
    shapes.push({ kind: "path", steps: [["M", at - 5, 2], ["L", at + 5, 2], ["L", at, 11], ["Z"]], fill: "ink" });
  }
  return {
    width,
    height: 50,
    unit: "px",
    title: `Dial of ${name}: ${steps.length} steps over ${(-lowest).toFixed(1)} stops`,
    shapes,
  };
}

/** Steps at least 3 px apart, from full down: a percent dial crowds near full. */
function spaced(steps: readonly number[], perStop: number): readonly number[] {
  const kept: number[] = [];
  for (const value of [...steps].sort((a, b) => b - a)) {
    const last = kept[kept.length - 1];
    if (last === undefined || (last - value) * perStop >= 3) kept.push(value);
  }
  return kept;
}

/** Positions worth a label: whole stops, or of a percent dial its halvings as their light is. */
function labelled(scale: DialScale, steps: readonly number[]): readonly number[] {
  const lowest = Math.min(...steps);
  const marks =
    scale.kind === "percent"
      ? [100, 50, 25].filter((p) => p > scale.lowestPercent).map((p): number => stopsOfPercent(p, scale.table))
      : steps.filter((value) => Math.abs(value - Math.round(value)) < 0.01);
  return [lowest, ...marks.filter((value) => value - lowest > 0.3).sort((a, b) => a - b)];
}

/** In the head's own notation; a label that would touch the last is left out. */
function labels(scale: DialScale, steps: readonly number[], x: (value: number) => number): readonly Shape[] {
  const lowest = Math.min(...steps);
  const shapes: Shape[] = [];
  let clearOf = Number.NEGATIVE_INFINITY;
  for (const value of labelled(scale, steps)) {
    const end = value === 0 || value === lowest;
    const weight = end ? 600 : 400;
    const runs = runsOf(printDial(stops(value), scale));
    const half = runsWidth(runs, 13, weight) / 2;
    if (x(value) - half < clearOf + 5) continue;
    clearOf = x(value) + half;
    shapes.push(text(x(value), 43, 13, runs, { anchor: "middle", weight, fill: end ? "ink" : "ink2" }));
  }
  return shapes;
}
