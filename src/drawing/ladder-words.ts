/** The words over and under a rail of the ladder, and how a screen reader says it. */

import type { Light } from "../setup/index.ts";
import type { LightReport } from "../solve/index.ts";
import { bead, sidewaysArrow, tick } from "./bead.ts";
import type { LadderFrame } from "./ladder-look.ts";
import { fittedLine, fittedSize, runsWidth } from "./measure.ts";
import { rectangle, text } from "./shape.ts";
import type { Shape } from "./types.ts";
import { readingRuns, runsOf } from "./words.ts";

export function headWords({ look }: LadderFrame, light: Light, x: number): readonly Shape[] {
  const size = look.headSize;
  const fires = light.triggerGroup === "" ? "" : `fires on ${light.triggerGroup}`;
  const row = (y: number, words: string, s: number, weight: 400 | 600): Shape => {
    const fitted = fittedLine(runsOf(words), s, weight, look.strip - 4);
    return text(x, y, fitted.size, fitted.runs, { anchor: "middle", weight, fill: weight === 400 ? "ink2" : "ink" });
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
  const [width, height] = strip < 120 ? [34, 20] : [44, 26];
  const { size, runs } = fittedLine([{ text: light.role }], 15, 600, strip - width - 22);
  const left = x - (width + 7 + runsWidth(runs, size, 600)) / 2;
  return [
    ...bead({ x: left + width / 2, y: 16, width, height, hue: light.hue, tag: light.tag, state: "solid" }),
    text(left + width + 7, 21, size, runs, { weight: 600 }),
  ];
}

/** Under the rail: the reading and what to do; or only the tag on a card. */
export function footWords(frame: LadderFrame, light: Light, told: LightReport, x: number): readonly Shape[] {
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

export function spoken(told: LightReport): string {
  const value = told.readingAv ?? told.predicted.av;
  const how = told.readingAv === null ? "predicted" : "metered";
  const [, mark, tenth] = value === null ? [] : readingRuns(value);
  const amount = mark === undefined ? "dark" : `f ${mark.text} and ${tenth?.text ?? "0"} tenths`;
  return `${told.role} ${told.tag}: ${how} ${amount}, target ${told.targetWords}; ${(told.turn ?? told.plan).words}`;
}
