/**
 * The room on the ladder: a hatched bead at what the walls return to the shadow cheek, and the bracket from lit to
 * shadow cheek (dome to the camera, as the report names them).
 */

import type { Setup } from "../setup/index.ts";
import type { SetupReport } from "../solve/index.ts";
import { bead, upright } from "./bead.ts";
import type { LadderFrame } from "./ladder-look.ts";
import { group, line, lines, type Point, text } from "./shape.ts";
import type { Shape } from "./types.ts";
import { readingRuns, runsOf } from "./words.ts";

export function ladderRoom(frame: LadderFrame, report: SetupReport, setup: Setup, left: number): readonly Shape[] {
  const { look, yOf, topAv, bottomAv } = frame;
  const { av, bareAv } = report.room;
  const x = left + look.roomX;
  const rail = line(
    [
      [x, yOf(topAv)],
      [x, yOf(bottomAv)],
    ],
    { stroke: "line", strokeWidth: 1, dash: [2, 4] },
  );
  const words = roomWords(frame, report, setup, x);
  if (av === null || av < bottomAv - 0.2) return [rail, ...words];
  const { width, height } = look.bead;
  const common = { x, width: width * 0.95, height: height * 0.95, hue: 0, tag: "R" } as const;
  const [y, bareY] = [yOf(av), bareAv === null ? yOf(av) : yOf(bareAv)];
  const lowered = bareAv !== null && bareAv - av > 0.05 && y - bareY > height + 4;
  const small = look.turnSize * 0.85;
  const fall: readonly Shape[] =
    bareAv === null || !lowered
      ? []
      : [
          ...bead({ ...common, y: bareY, state: "ghost" }),
          text(x, bareY - height / 2 - 6, small, [{ text: "bare" }], { anchor: "middle", fill: "ink2" }),
          ...upright(x, bareY + height / 2 + 1, y - height / 2 - 3, "ink2", 1.8),
          text(x + 9, (bareY + y) / 2 + 4, small, [{ text: (bareAv - av).toFixed(1) }], { fill: "ink2" }),
        ];
  const state = report.room.reading === null ? "hollow" : "solid";
  return [rail, ...fall, group("room:bead", bead({ ...common, y, state }), "Room light at the shadow cheek"), ...words];
}

function roomWords(
  { look, yOf, bottomAv }: LadderFrame,
  report: SetupReport,
  setup: Setup,
  x: number,
): readonly Shape[] {
  const shapes: Shape[] = [];
  const flags = setup.panels.filter((panel) => panel.role === "flag").length;
  const panels = flags === 0 ? "" : `${flags} ${flags === 1 ? "panel" : "panels"}`;
  const size = look.headSize;
  const name = (y: number): Shape => text(x, y, size, [{ text: "room" }], { anchor: "middle", weight: 600 });
  const quiet = (y: number, words: string, s: number): Shape =>
    text(x, y, s, runsOf(words), { anchor: "middle", fill: "ink2" });
  if (look.headWords === "role") shapes.push(name(size + 4));
  if (look.headWords === "fires") shapes.push(name(size + 2), quiet(size * 2 + 3, panels, size * 0.73));
  if (look.headWords === "full") {
    shapes.push(
      ...bead({ x: x - 20, y: 16, width: 42, height: 25, hue: 0, tag: "R", state: "solid" }),
      text(x + 8, 21, size, [{ text: "room" }], { weight: 600 }),
      quiet(46, panels, 12.5),
      quiet(62, "no lamp", 12.5),
    );
  }
  if (look.footWords !== "turn") return shapes;
  const y = yOf(bottomAv) + look.footSize + 8;
  const { av, underWorkingStops } = report.room;
  shapes.push(text(x, y, look.footSize, readingRuns(av), { anchor: "middle", weight: 600 }));
  if (underWorkingStops !== null) {
    const below = y + look.footSize * 1.4;
    shapes.push(quiet(below, `${underWorkingStops.toFixed(1)} under`, look.footSize * 0.8));
  }
  return shapes;
}

/** From the lit to the shadow cheek, with their ratio; nothing where either is dark. */
export function ladderBracket(frame: LadderFrame, report: SetupReport, x: number): readonly Shape[] {
  const { look, yOf } = frame;
  const ratio = report.ratios.find((r) => r.convention === "lit-to-shadow");
  const cheeks = report.together.filter((t) => t.place.point.startsWith("cheek") && t.place.aim === "camera");
  const lit = cheeks.find((t) => t.shaded.length === 0)?.predicted.av ?? null;
  const shadow = cheeks.find((t) => t.shaded.length > 0)?.predicted.av ?? null;
  if (ratio === undefined || lit === null || shadow === null) return [];
  const stops = ratio.meteredStops ?? ratio.stops;
  const words = ratio.meteredWords ?? ratio.words;
  const [top, bottom] = [yOf(lit), yOf(shadow)];
  const middle = (top + bottom) / 2;
  const size = look.bracketSize;
  const small = size * 0.76;
  const quiet = (y: number, plain: string): Shape =>
    text(x, y, small, runsOf(plain), { anchor: "middle", fill: "ink2", halo: "panel" });
  const cap = (y: number): readonly Point[] => [
    [x - 6, y],
    [x + 6, y],
  ];
  const room = bottom - top;
  const [above, below] = [middle - small * 1.9, middle + small * 3.6];
  const stems: (readonly Point[])[] = [];
  if (above > top + 4)
    stems.push([
      [x, top],
      [x, above],
    ]);
  if (below < bottom - 4)
    stems.push([
      [x, below],
      [x, bottom],
    ]);
  const ends: readonly Shape[] = [
    lines([cap(top), cap(bottom)], { stroke: "ink", strokeWidth: 2 }),
    quiet(top - 8, "lit cheek"),
    quiet(bottom + small + 5, "shadow"),
  ];
  const told = text(x, middle + 1, size, runsOf(words.replace("about ", "≈ ")), {
    anchor: "middle",
    weight: 700,
    halo: "panel",
  });
  const inStops = stops === null ? "" : `${stops.toFixed(1)} stops`;
  if (room < size * 5) {
    // A short bracket holds no words: they stand under it.
    const y = bottom + small + size * 1.45 + 5;
    const stem = line(
      [
        [x, top],
        [x, bottom],
      ],
      { stroke: "ink", strokeWidth: 1.2 },
    );
    return [...ends, stem, { ...told, y }, quiet(y + small * 1.25, inStops)];
  }
  return [
    ...ends,
    lines(stems, { stroke: "ink", strokeWidth: 1.2 }),
    told,
    quiet(middle + 1 + small * 1.2, inStops),
    quiet(middle + 1 + small * 2.25, "dome to"),
    quiet(middle + 1 + small * 3.25, "camera"),
  ];
}
