/**
 * The ladder: exposure runs up, one rung a stop, the working aperture is the bold rung with the flag; each light
 * has a rail with its reach, jaws at its target and a bead where it reads. Drawn in CSS pixels. Heights are linear
 * in Av: y = top + (topAv − av)·pxPerStop.
 */

import type { Light, Setup } from "../setup/index.ts";
import type { LightReport, SetupReport } from "../solve/index.ts";
import { fullMarkLabel } from "../units/index.ts";
import { type LadderFrame, type LadderLook, type LadderStyle, ladderLooks } from "./ladder-look.ts";
import { railBehind, railFront } from "./ladder-rail.ts";
import { ladderBracket, ladderRoom } from "./ladder-room.ts";
import { footWords, headWords, spoken } from "./ladder-words.ts";
import { runsWidth } from "./measure.ts";
import { group, line, lines, polygon, rectangle, text } from "./shape.ts";
import type { Drawing, Shape } from "./types.ts";
import { readingRuns } from "./words.ts";

export interface LadderOptions {
  readonly style: LadderStyle;
  /** Whole width and height; without them the look's own stop and strip sizes decide. */
  readonly width?: number;
  readonly height?: number;
  readonly selected?: string | null;
  /** Only this light's rail ("rail" style). */
  readonly only?: string;
  /** Left out, the scale takes in the working rung and every bead and target. */
  readonly topAv?: number;
  readonly bottomAv?: number;
  /** The strip of the room; on unless said. */
  readonly room?: boolean;
  /** Name the lit-to-shadow bracket; on unless said, where there is room. */
  readonly bracket?: boolean;
}

/** Where one light's strip runs, for placing rows of figures under it and for dragging. */
export interface Strip {
  readonly lightId: string;
  readonly left: number;
  readonly right: number;
}

export interface LadderDrawing extends Drawing {
  readonly strips: readonly Strip[];
  /** The Av at a height of the drawing: what a drag of jaws or bead means. */
  readonly avAt: (y: number) => number;
  readonly yOf: (av: number) => number;
}

export function ladder(setup: Setup, report: SetupReport, options: LadderOptions): LadderDrawing {
  const base = ladderLooks[options.style];
  const shown = setup.lights
    .map((light) => ({ light, told: report.lights.find((r) => r.lightId === light.id) }))
    .filter((pair): pair is { light: Light; told: LightReport } => pair.told !== undefined)
    .filter(({ light }) => options.only === undefined || light.id === options.only);
  const hasRoom = (options.room ?? base.roomStrip > 0) && options.only === undefined;
  const { topAv, bottomAv } = avRange(setup, report, shown, hasRoom, options);
  const work = setup.exposure.apertureAv;
  const look = fitLook(base, options, shown.length, hasRoom, topAv - bottomAv);
  const yOf = (av: number): number => look.head + (topAv - av) * look.perStop;
  const left = look.axis + look.axisPad;
  const right = left + look.strip * shown.length + (hasRoom ? look.roomStrip : 0);
  const height = look.head + (topAv - bottomAv) * look.perStop + look.foot;
  const frame: LadderFrame = { look, yOf, topAv, bottomAv, axis: look.axis, right, height };
  const strips = shown.map(({ light }, i) => ({
    lightId: light.id,
    left: left + look.strip * i,
    right: left + look.strip * (i + 1),
  }));
  const rails = shown.map(({ light, told }, i) => {
    const strip = strips[i] as Strip;
    const selected = light.id === options.selected;
    return { light, told, x: (strip.left + strip.right) / 2, strip, selected };
  });
  const shapes: readonly Shape[] = [
    ...rails.flatMap(({ strip, selected }) => (selected ? [selectedStrip(strip, height)] : [])),
    ...(look.ruler ? ruler(frame, work) : bareRungs(frame, work)),
    ...rails.flatMap(({ told, x }) => railBehind(frame, told, x)),
    // A rail that shows the stops about its own target may not reach up to the working rung.
    ...(work <= topAv && work >= bottomAv ? workingRung(frame, work) : []),
    ...rails.map(({ light, told, x, selected }) =>
      group(`light:${light.id}`, railFront(frame, light, told, x, selected), spoken(told)),
    ),
    ...rails.flatMap(({ light, told, x }) => [...headWords(frame, light, x), ...footWords(frame, light, told, x)]),
    ...(hasRoom ? ladderRoom(frame, report, setup, left + look.strip * shown.length) : []),
    ...(hasRoom && look.bracket && options.bracket !== false
      ? ladderBracket(frame, report, left + look.strip * shown.length + look.bracketX)
      : []),
  ];
  return {
    width: Math.max(options.width ?? 0, right + look.padRight),
    height: Math.max(options.height ?? 0, height),
    unit: "px",
    title: `Ladder of ${setup.title}: stops at the subject, working aperture ${rungName(work)}`,
    shapes,
    strips,
    yOf,
    avAt: (y) => topAv - (y - look.head) / look.perStop,
  };
}

const rungName = (av: number): string => `f/${fullMarkLabel(Math.round(av))}`;

/** The scale takes in the working rung, targets, beads and the room, at least a stop above and four below. */
function avRange(
  setup: Setup,
  report: SetupReport,
  shown: readonly { readonly told: LightReport }[],
  hasRoom: boolean,
  options: LadderOptions,
): { readonly topAv: number; readonly bottomAv: number } {
  const work = setup.exposure.apertureAv;
  const { least } = ladderLooks[options.style];
  const beads = shown.flatMap(({ told }) => [told.targetAv, told.predicted.av, told.readingAv]);
  const room = hasRoom ? [report.room.av, report.room.bareAv] : [];
  const seen = [...beads, ...room].filter((av): av is number => av !== null && Math.abs(av - work) < 9);
  return {
    topAv: options.topAv ?? Math.max(work + least.above, ...seen.map((av) => av + 0.5)),
    bottomAv: options.bottomAv ?? Math.min(work - least.below, ...seen.map((av) => av - 0.5)),
  };
}

/** The look with its stop and strips stretched to the size that is asked for. */
function fitLook(
  base: LadderLook,
  options: LadderOptions,
  lights: number,
  hasRoom: boolean,
  stops: number,
): LadderLook {
  const perStop =
    options.height === undefined ? base.perStop : Math.max(8, (options.height - base.head - base.foot) / stops);
  if (options.width === undefined || lights === 0) return { ...base, perStop };
  const rest = base.axis + base.axisPad + base.padRight + (hasRoom ? base.roomStrip : 0);
  const strip = Math.max(base.bead.width + 6, (options.width - rest) / lights);
  return { ...base, perStop, strip };
}

const selectedStrip = (strip: Strip, height: number): Shape =>
  rectangle(strip.left + 1, 0, strip.right - strip.left - 2, height, { fill: "row" });

/** Full stops with their marks and how far they lie from the working rung; tenths as ticks. */
function ruler({ look, yOf, topAv, bottomAv, axis, right }: LadderFrame, work: number): readonly Shape[] {
  const tenths: (readonly [number, number])[][] = [];
  const halves: (readonly [number, number])[][] = [];
  for (let t = Math.ceil(bottomAv * 10 - 1e-9); t <= topAv * 10 + 1e-9; t++) {
    const y = yOf(t / 10);
    if (t % 10 !== 0)
      (t % 5 === 0 ? halves : tenths).push([
        [axis, y],
        [axis + (t % 5 === 0 ? 9 : 5), y],
      ]);
  }
  const shapes: Shape[] = [
    line(
      [
        [axis, yOf(topAv)],
        [axis, yOf(bottomAv)],
      ],
      { stroke: "edge", strokeWidth: 1 },
    ),
    ...(look.perStop >= 40 ? [lines(tenths, { stroke: "edge", strokeWidth: 1 })] : []),
    lines(halves, { stroke: "ink2", strokeWidth: 1 }),
  ];
  for (let full = Math.ceil(bottomAv); full <= topAv; full++) {
    if (Math.abs(full - work) < 0.01) continue;
    const y = yOf(full);
    shapes.push(
      line(
        [
          [axis, y],
          [right, y],
        ],
        { stroke: "line", strokeWidth: 1 },
      ),
      line(
        [
          [axis, y],
          [axis + 14, y],
        ],
        { stroke: "ink2", strokeWidth: 1 },
      ),
    );
    // A mark that would sit under the flag of the working rung is left out.
    if (Math.abs(yOf(work) - y) < look.axisSize + 8) continue;
    const label = fullMarkLabel(full);
    shapes.push(
      text(axis - 9, y + look.axisSize * 0.34, look.axisSize, [{ text: label }], { anchor: "end", weight: 600 }),
    );
    const offset = Math.round(full - work);
    if (look.relative && Number.isInteger(full - work)) {
      const relative = `${offset > 0 ? "+" : "−"}${Math.abs(offset)}`;
      const below = y + look.axisSize * 0.34 + look.axisSize * 0.88;
      shapes.push(text(axis - 9, below, look.axisSize * 0.78, [{ text: relative }], { anchor: "end", fill: "ink2" }));
    }
  }
  return shapes;
}

/** The card's rungs: no numbers but the working aperture's. */
function bareRungs({ yOf, topAv, bottomAv, axis, right }: LadderFrame, work: number): readonly Shape[] {
  const rungs: (readonly [number, number])[][] = [];
  for (let n = Math.ceil(bottomAv - work); n <= topAv - work + 1e-9; n++) {
    if (n !== 0)
      rungs.push([
        [axis, yOf(work + n)],
        [right, yOf(work + n)],
      ]);
  }
  return [lines(rungs, { stroke: "edge", strokeWidth: 0.6 })];
}

function workingRung({ look, yOf, axis, right }: LadderFrame, work: number): readonly Shape[] {
  const y = yOf(work);
  const weight = look.ruler ? 3.5 : 3;
  const bar = rectangle(axis, y - weight / 2, right - axis, weight, { fill: "ink" });
  const runs = workRuns(work);
  const size = look.axisSize * 1.09;
  if (!look.ruler) {
    return [bar, text(axis - 5, y + size * 0.36, size, runs, { anchor: "end", weight: 700 })];
  }
  const half = size * 0.78;
  const start = Math.min(2, axis - 9 - runsWidth(runs, size, 700) - 8);
  const flag = polygon(
    [
      [start, y - half],
      [axis - 6, y - half],
      [axis + 2, y],
      [axis - 6, y + half],
      [start, y + half],
    ],
    { fill: "inverse" },
  );
  return [bar, flag, text(axis - 9, y + size * 0.35, size, runs, { anchor: "end", weight: 700, fill: "on-inverse" })];
}

/** 5.6, or 5.6³ when the aperture stands between full stops. */
const workRuns = (work: number): readonly { readonly text: string; readonly raised?: boolean }[] => {
  const [, mark, tenth] = readingRuns(work);
  return tenth?.text === "0"
    ? [{ text: mark?.text ?? "" }]
    : [{ text: mark?.text ?? "" }, { text: tenth?.text ?? "", raised: true }];
};
