/**
 * Where labels go: each comes with several places that would do, in order of liking; the one that covers least of
 * what is drawn and of the labels before it is taken. Greedy, most important label first: simple, and the same
 * every time.
 */

import { type Box, textBox } from "./measure.ts";
import { boxCorners, type Point, text } from "./shape.ts";
import type { Paint, TextRun, TextShape } from "./types.ts";

export interface LabelSpot {
  readonly x: number;
  readonly y: number;
  readonly anchor: TextShape["anchor"];
}

export interface Label {
  readonly runs: readonly TextRun[];
  readonly size: number;
  readonly weight: TextShape["weight"];
  readonly fill: Paint;
  readonly halo: Paint;
  readonly spots: readonly LabelSpot[];
  readonly part?: string;
}

/** Something that a label should not cover: a convex outline, and how bad covering it is (another label is 40). */
export interface Obstacle {
  readonly outline: readonly Point[];
  readonly weight: number;
}

/** The labels as text, each at its best spot; inside `page` where any spot allows. */
export function placeLabels(labels: readonly Label[], obstacles: readonly Obstacle[], page: Box): readonly TextShape[] {
  const taken: Obstacle[] = [...obstacles];
  return labels.map((label) => {
    let best: TextShape | null = null;
    let bestCost = Number.POSITIVE_INFINITY;
    label.spots.forEach((spot, rank) => {
      const { runs, size, weight, fill, halo } = label;
      const part = label.part === undefined ? {} : { part: label.part };
      const shape = text(spot.x, spot.y, size, runs, { anchor: spot.anchor, weight, fill, halo, ...part });
      // Rank breaks ties only: a hundredth of the label's area for each place further down the list.
      const box = grown(textBox(shape), size * 0.12);
      const cost = costOf(box, taken, page) + 0.01 * rank * box.width * box.height;
      if (cost < bestCost) [best, bestCost] = [shape, cost];
    });
    if (best === null) throw new RangeError("a label needs at least one spot");
    taken.push({ outline: boxCorners(textBox(best)), weight: 40 });
    return best;
  });
}

function costOf(box: Box, obstacles: readonly Obstacle[], page: Box): number {
  const area = box.width * box.height;
  const outside = area - overlapArea(boxCorners(page), box);
  return obstacles.reduce((sum, o) => sum + o.weight * overlapArea(o.outline, box), 20 * outside);
}

const grown = (box: Box, by: number): Box => ({
  x: box.x - by,
  y: box.y - by,
  width: box.width + 2 * by,
  height: box.height + 2 * by,
});

/** Area that a convex outline shares with a box (Sutherland and Hodgman's clipping, one side after the other). */
export function overlapArea(outline: readonly Point[], box: Box): number {
  const sides: readonly ((p: Point) => number)[] = [
    (p) => p[0] - box.x,
    (p) => box.x + box.width - p[0],
    (p) => p[1] - box.y,
    (p) => box.y + box.height - p[1],
  ];
  let left = outline;
  for (const inside of sides) left = clip(left, inside);
  return Math.abs(
    left.reduce((sum, a, i) => {
      const b = left[(i + 1) % left.length] as Point;
      return sum + a[0] * b[1] - b[0] * a[1];
    }, 0) / 2,
  );
}

function clip(outline: readonly Point[], inside: (p: Point) => number): readonly Point[] {
  const kept: Point[] = [];
  outline.forEach((a, i) => {
    const b = outline[(i + 1) % outline.length] as Point;
    const [da, db] = [inside(a), inside(b)];
    if (da >= 0) kept.push(a);
    if (da >= 0 !== db >= 0) {
      const t = da / (da - db);
      kept.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
    }
  });
  return kept;
}

/** A line as an obstacle: a thin box along it. */
export function lineObstacle(a: Point, b: Point, width: number, weight: number): Obstacle {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (length === 0) return { outline: [a, a, a], weight: 0 };
  const [nx, ny] = [((b[1] - a[1]) / length) * (width / 2), ((a[0] - b[0]) / length) * (width / 2)];
  return {
    outline: [
      [a[0] + nx, a[1] + ny],
      [b[0] + nx, b[1] + ny],
      [b[0] - nx, b[1] - ny],
      [a[0] - nx, a[1] - ny],
    ],
    weight,
  };
}
