/**
 * One rail of the ladder: the head's reach, the hatched floor at its lowest step, jaws, beads and the turn between
 * them. Two layers: what lies behind the working rung, and what stands before it.
 */

import type { Light } from "../setup/index.ts";
import type { LightReport, Turn } from "../solve/index.ts";
import { type BeadState, bead, jaws, upright } from "./bead.ts";
import type { LadderFrame } from "./ladder-look.ts";
import { group, line, lines, type Point, polygon, text } from "./shape.ts";
import type { Paint, Shape } from "./types.ts";

export function railBehind(frame: LadderFrame, told: LightReport, x: number): readonly Shape[] {
  const { look, yOf, topAv, bottomAv } = frame;
  if (!look.rails) return [];
  const whole = line(
    [
      [x, yOf(topAv)],
      [x, yOf(bottomAv)],
    ],
    { stroke: "line", strokeWidth: 1, dash: [2, 4] },
  );
  const { lowestAv, fullAv } = told.reach;
  if (lowestAv === null || fullAv === null || fullAv < bottomAv || lowestAv > topAv) return [whole];
  const [high, low] = [Math.min(fullAv, topAv), Math.max(lowestAv, bottomAv)];
  const band: readonly Point[] = [
    [x, yOf(high)],
    [x, yOf(low)],
  ];
  const shapes: Shape[] = [
    whole,
    line(band, { stroke: "well", strokeWidth: 7 }),
    line(band, { stroke: "edge", strokeWidth: 1 }),
  ];
  const { state } = told.turn ?? told.plan;
  const wide = look.bead.width / 2 + 9;
  const clear = look.bead.height / 2 + 1;
  // A bead that rests on the floor, or hangs under the ceiling, must not hide it.
  if (lowestAv > bottomAv)
    shapes.push(...stop(x, yOf(low) + (state === "over" ? clear : 0), state === "over" ? wide : 15, 1));
  if (state === "short" && fullAv < topAv) shapes.push(...stop(x, yOf(high) - clear, wide, -1));
  return shapes;
}

/** A bar with slanting strokes on its far side: nothing goes beyond. `side` 1 hatches below. */
function stop(x: number, y: number, half: number, side: 1 | -1): readonly Shape[] {
  const strokes: (readonly Point[])[] = [];
  for (let q = -half + 3; q < half; q += 6) {
    strokes.push([
      [x + q, y + side],
      [x + q - 4 * side, y + 6 * side],
    ]);
  }
  return [
    line(
      [
        [x - half, y],
        [x + half, y],
      ],
      { stroke: "ink2", strokeWidth: 2 },
    ),
    lines(strokes, { stroke: "ink2", strokeWidth: 1 }),
  ];
}

export function railFront(
  frame: LadderFrame,
  light: Light,
  told: LightReport,
  x: number,
  selected: boolean,
): readonly Shape[] {
  const { look, yOf } = frame;
  const ground: Paint = selected ? "row" : "panel";
  const value = told.readingAv ?? told.predicted.av;
  const shapes: Shape[] = [];
  if (!look.rails) return value === null ? [] : theBead(frame, light, told, x, value, ground);
  if (selected && value !== null) shapes.push(...guide(frame, x, value));
  const jawsHeight = Math.max(look.bead.height, look.perStop * told.toleranceStops * 2);
  shapes.push(
    group(
      `light:${light.id}:jaws`,
      jaws({
        x,
        y: yOf(told.targetAv),
        width: look.bead.width,
        height: jawsHeight,
        gap: look.bead.width * 0.114,
        stroke: (2.6 * look.bead.height) / 22,
        paint: `hue-${light.hue}`,
      }),
    ),
  );
  if (value === null) return shapes;
  return [
    ...shapes,
    ...theBead(frame, light, told, x, value, ground),
    ...turnShapes(frame, told, x, value, jawsHeight, ground),
  ];
}

function theBead(
  frame: LadderFrame,
  light: Light,
  told: LightReport,
  x: number,
  value: number,
  ground: Paint,
): readonly Shape[] {
  const { look, yOf } = frame;
  const { width, height } = look.bead;
  const common = { x, width, height, hue: light.hue, tag: light.tag, ground, lettered: look.lettered };
  const state: BeadState =
    told.readingAv !== null ? "solid" : told.predicted.restsOn === "learned" ? "learned" : "hollow";
  const now = bead({ ...common, y: yOf(value), state });
  const ghostAv = told.readingAv === null || !look.rails ? null : told.predicted.av;
  const apart = ghostAv !== null && Math.abs(yOf(ghostAv) - yOf(value)) > 2;
  const met = (told.turn ?? told.plan).state === "met";
  const ghost = ghostAv !== null && apart && !met ? bead({ ...common, y: yOf(ghostAv), state: "ghost" }) : [];
  return [...ghost, group(`light:${light.id}:bead`, now)];
}

/** From the axis to the selected bead: which value it stands at. */
function guide({ look, yOf, axis }: LadderFrame, x: number, value: number): readonly Shape[] {
  const y = yOf(value);
  return [
    line(
      [
        [axis, y],
        [x - look.bead.width / 2, y],
      ],
      { stroke: "ink2", strokeWidth: 1, dash: [1.5, 3] },
    ),
    polygon(
      [
        [axis - 6, y - 4.5],
        [axis, y],
        [axis - 6, y + 4.5],
      ],
      { fill: "ink" },
    ),
  ];
}

/** The way from bead to jaws: an arrow, or, where the dial ends first, a broken line from the stop. */
function turnShapes(
  frame: LadderFrame,
  told: LightReport,
  x: number,
  value: number,
  jawsHeight: number,
  ground: Paint,
): readonly Shape[] {
  const { look, yOf } = frame;
  const turn: Turn = told.turn ?? told.plan;
  const wanted = told.targetAv - value;
  if (Math.abs(wanted) <= told.toleranceStops + 0.001 || turn.state === "met") return [];
  const [from, to] = [yOf(value), yOf(told.targetAv)];
  const half = look.bead.height / 2;
  const words = (y: number): readonly Shape[] =>
    look.turnSize === 0
      ? []
      : [text(x, y, look.turnSize, [{ text: turn.words }], { anchor: "middle", weight: 700, halo: ground })];
  const broken = { stroke: "ink", strokeWidth: 2, dash: [3, 3] } as const;
  if (turn.state === "over") {
    const below = to + jawsHeight / 2 + look.turnSize + 2;
    return [
      line(
        [
          [x, from + half + 2],
          [x, to - 2],
        ],
        broken,
      ),
      ...words(below),
    ];
  }
  if (turn.state === "short") {
    const below = from + half + look.turnSize + 3;
    return [
      line(
        [
          [x, from - half - 10],
          [x, to + 2],
        ],
        broken,
      ),
      ...words(below),
    ];
  }
  const beside = x + look.bead.width * 0.72 + (jawsHeight > look.bead.height + 8 ? 4 : 0);
  const top = wanted > 0 ? to - Math.max(jawsHeight, look.bead.height) / 2 : from - half;
  const planned =
    turn.state === "planned" ? `${wanted > 0 ? "up" : "down"} ${Math.abs(wanted).toFixed(1)}` : turn.words;
  const label =
    look.turnSize === 0
      ? []
      : [text(x, top - 8, look.turnSize, [{ text: planned }], { anchor: "middle", weight: 700, halo: ground })];
  // Too short to show a direction: the word alone says it.
  if (Math.abs(to - from) < look.bead.height * 0.5) return label;
  return [...upright(beside, from, to, "ink", (2.4 * look.bead.height) / 22), ...label];
}
