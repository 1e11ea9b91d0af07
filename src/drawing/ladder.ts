/**
 * The ladder: exposure runs up, one rung a stop, the working aperture is the bold rung with the flag; each light
 * has a rail with its reach, jaws at its target and a bead where it reads. Drawn in CSS pixels. Heights are linear
 * in Av: y = top + (topAv − av)·pxPerStop.
 */

import type { Light, Setup } from "../setup/index.ts";
import type { LightReport, SetupReport } from "../solve/types.ts";
import { fullMarkLabel } from "../units/index.ts";
import { bead, sidewaysArrow, tick } from "./bead.ts";
import { type LadderFrame, type LadderLook, type LadderStyle, ladderLooks } from "./ladder-look.ts";
import { railBehind, railFront } from "./ladder-rail.ts";
import { ladderBracket, ladderRoom } from "./ladder-room.ts";
import { fittedSize, runsWidth } from "./measure.ts";
import { group, line, lines, polygon, rectangle, text } from "./shape.ts";
import type { Drawing, Shape } from "./types.ts";
import { readingRuns, runsOf } from "./words.ts";

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
    ...(look.ruler ? ruler(frame, setup.exposure.apertureAv) : bareRungs(frame, setup.exposure.apertureAv)),
    ...rails.flatMap(({ told, x }) => railBehind(frame, told, x)),
    ...workingRung(frame, setup.exposure.apertureAv),
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
    title: `Ladder of ${setup.title}: stops at the subject, working aperture ${rungName(setup.exposure.apertureAv)}`,
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

function headWords({ look }: LadderFrame, light: Light, x: number): readonly Shape[] {
  const size = look.headSize;
  const fires = light.triggerGroup === "" ? "" : `fires on ${light.triggerGroup}`;
  const row = (y: number, words: string, s: number, weight: 400 | 600): Shape => {
    const runs = runsOf(words);
    const fitted = fittedSize(runs, s, weight, look.strip - 4);
    return text(x, y, fitted, runs, { anchor: "middle", weight, fill: weight === 400 ? "ink2" : "ink" });
  };
  if (look.headWords === "none") return [];
  if (look.headWords === "role") return [row(size + 4, light.role, size, 600)];
  if (look.headWords === "fires")
    return [row(size + 2, light.role, size, 600), row(size * 2 + 3, fires, size * 0.73, 400)];
  const unit = light.unit === null ? "" : `, no. ${light.unit}`;
  return [
    ...headed(light, x, look.strip),
    row(46, light.modifier.name, 13, 600),
    row(62, `${light.head.name}${unit}`, 12.5, 400),
    row(78, fires, 12.5, 400),
  ];
}

/** The bead and the role at its right, centred together on the strip. */
function headed(light: Light, x: number, strip: number): readonly Shape[] {
  const runs = [{ text: light.role }];
  const size = fittedSize(runs, 15, 600, strip - 56);
  const left = x - (44 + 7 + runsWidth(runs, size, 600)) / 2;
  return [
    ...bead({ x: left + 22, y: 16, width: 44, height: 26, hue: light.hue, tag: light.tag, state: "solid" }),
    text(left + 51, 21, size, runs, { weight: 600 }),
  ];
}

/** Under the rail: the reading and what to do; or only the tag on a card. */
function footWords(frame: LadderFrame, light: Light, told: LightReport, x: number): readonly Shape[] {
  const { look, yOf, bottomAv } = frame;
  if (look.footWords === "none") return [];
  const y = yOf(bottomAv);
  if (look.footWords === "tag") {
    const tag = [{ text: light.tag }];
    return [text(x, y + look.foot - 4, look.footSize, tag, { anchor: "middle", weight: 600, fill: "ink2" })];
  }
  const size = look.footSize;
  const metered = told.readingAv !== null;
  const said = metered ? readingRuns(told.readingAv) : [{ text: "not metered" }];
  const weight = metered ? 600 : 400;
  const fitted = fittedSize(said, metered ? size : size * 0.8, weight, look.strip - 3);
  const reading = text(x, y + size + 8, fitted, said, { anchor: "middle", weight, fill: metered ? "ink" : "ink2" });
  return [reading, ...turnWords(told, x, y + size * 2.4 + 8, size * 0.8, look.strip)];
}

/** A tick for met; what is over or short stands out; else how the dial turns, or, where that is too wide, by how much. */
function turnWords(told: LightReport, x: number, y: number, size: number, room: number): readonly Shape[] {
  const turn = told.turn ?? told.plan;
  if (turn.state === "met") {
    return [
      tick(x - size * 1.45, y - size * 0.3, size * 0.95, "ink"),
      text(x - size * 0.25, y, size, [{ text: "met" }], { weight: 600 }),
    ];
  }
  const words = [{ text: turn.words }];
  const fitted = fittedSize(words, size, 600, room - 8);
  if (turn.state === "over" || turn.state === "short") {
    const width = runsWidth(words, fitted, 600) + 6;
    return [
      rectangle(x - width / 2, y - size * 1.1, width, size * 1.5, { fill: "inverse" }),
      text(x, y, fitted, words, { anchor: "middle", weight: 600, fill: "on-inverse" }),
    ];
  }
  if (room < 80) return [text(x, y, fitted, words, { anchor: "middle", weight: 600 })];
  return dialWords(turn.dialFrom, turn.dialTo, x, y, size, room);
}

/** "−4.5 → −4.2", or "dial −3.7" when it stays. */
function dialWords(from: string, to: string, x: number, y: number, size: number, room: number): readonly Shape[] {
  if (from === to) return [text(x, y, size, runsOf(`dial ${from}`), { anchor: "middle", weight: 600 })];
  const [a, b] = [runsOf(from), runsOf(to)];
  const widthOf = (s: number): number => runsWidth(a, s, 600) + runsWidth(b, s, 600) + s * 1.6;
  const fitted = size * Math.min(1, (room - 2) / widthOf(size));
  const left = x - widthOf(fitted) / 2;
  const afterFirst = left + runsWidth(a, fitted, 600);
  return [
    text(left, y, fitted, a, { weight: 600 }),
    ...sidewaysArrow(afterFirst + fitted * 0.35, y - fitted * 0.32, fitted * 0.9, "ink2", fitted * 0.1),
    text(afterFirst + fitted * 1.6, y, fitted, b, { weight: 600 }),
  ];
}

function spoken(told: LightReport): string {
  const value = told.readingAv ?? told.predicted.av;
  const how = told.readingAv === null ? "predicted" : "metered";
  const [, mark, tenth] = value === null ? [] : readingRuns(value);
  const amount = mark === undefined ? "dark" : `f ${mark.text} and ${tenth?.text ?? "0"} tenths`;
  return `${told.role} ${told.tag}: ${how} ${amount}, target ${told.targetWords}; ${(told.turn ?? told.plan).words}`;
}
