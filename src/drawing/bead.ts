/**
 * The bead, a long hexagon whose tips point at the scale, and the jaws, two brackets that it closes in. Bead: where
 * a light reads. Jaws: where it should. Sizes in the unit of the drawing; (x, y) is the middle.
 */

import { ellipse, hatch, line, lines, type Point, polygon, rectangle, text } from "./shape.ts";
import type { Paint, PathShape, Shape } from "./types.ts";

/** solid: metered. learned: predicted from earlier readings. hollow: predicted from the catalogue. ghost: what was predicted, once metered. */
export type BeadState = "solid" | "learned" | "hollow" | "ghost";

export interface BeadOptions {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  readonly hue: number;
  readonly tag: string;
  readonly state: BeadState;
  /** The ground it stands on: hollow beads are filled with it. */
  readonly ground?: Paint;
  /** Small beads carry no letter. */
  readonly lettered?: boolean;
}

const flank = 0.56;

/** The six corners, from the left tip. */
export function beadOutline(x: number, y: number, width: number, height: number): readonly Point[] {
  const [a, b, t] = [width / 2, height / 2, Math.min(height * flank, width / 2)];
  return [
    [x - a, y],
    [x - a + t, y - b],
    [x + a - t, y - b],
    [x + a, y],
    [x + a - t, y + b],
    [x - a + t, y + b],
  ];
}

export function bead(options: BeadOptions): readonly Shape[] {
  const { x, y, width, height, hue, state } = options;
  const scale = height / 20;
  const colour: Paint = `hue-${hue}`;
  const ground = options.ground ?? "panel";
  if (state === "ghost") {
    const outline = beadOutline(x, y, width - 3 * scale, height - 3 * scale);
    return [polygon(outline, { stroke: colour, strokeWidth: 1.5 * scale, dash: [3 * scale, 2.5 * scale] })];
  }
  if (hue === 0) return roomBead(options, ground, scale);
  const outline = beadOutline(x, y, width, height);
  if (state === "solid") {
    const body = polygon(outline, { fill: colour, stroke: "key", strokeWidth: 1.25 * scale, join: "round" });
    return [body, ...letter(options, `on-${hue}`)];
  }
  const inner = beadOutline(x, y, width - 2 * scale, height - 2 * scale);
  const tint: readonly Shape[] = state === "learned" ? [polygon(inner, { fill: colour, fillOpacity: 0.3 })] : [];
  return [
    polygon(inner, { fill: ground, stroke: "key", strokeWidth: 3.6 * scale, join: "round" }),
    ...tint,
    polygon(inner, { stroke: colour, strokeWidth: 2 * scale, join: "round" }),
    ...letter(options, "ink"),
  ];
}

/** The room has no lamp and no colour: its bead is hatched grey. */
function roomBead(options: BeadOptions, ground: Paint, scale: number): readonly Shape[] {
  const { x, y, width, height } = options;
  const outline = beadOutline(x, y, width - 2 * scale, height - 2 * scale);
  return [
    polygon(outline, { fill: ground }),
    hatch(outline, 5 * scale, { stroke: "hue-0", strokeWidth: 2 * scale }),
    polygon(outline, { stroke: "hue-0", strokeWidth: 2 * scale, join: "round" }),
    ...letter(options, "ink", ground),
  ];
}

function letter(options: BeadOptions, fill: Paint, halo?: Paint): readonly Shape[] {
  if (options.lettered === false) return [];
  const size = options.height * (options.tag.length > 1 ? 0.64 : 0.78);
  const style = { anchor: "middle", weight: 700, fill, ...(halo === undefined ? {} : { halo }) } as const;
  return [text(options.x, options.y + size * 0.355, size, [{ text: options.tag }], style)];
}

export interface JawsOptions {
  readonly x: number;
  readonly y: number;
  /** Of the bead that they close on. */
  readonly width: number;
  /** Twice the tolerance, never less than the bead. */
  readonly height: number;
  readonly gap: number;
  readonly stroke: number;
  readonly paint: Paint;
}

/** Two brackets; on a light ground a dark line stands under the hue, so that pale hues keep their contrast. */
export function jaws(options: JawsOptions): readonly Shape[] {
  const { x, y, width, height, gap, stroke } = options;
  const t = Math.min(height * flank, width * 0.36);
  const [a, b] = [width / 2 + gap, height / 2];
  const sides: readonly (readonly Point[])[] = [
    [
      [x - a + t, y - b],
      [x - a, y],
      [x - a + t, y + b],
    ],
    [
      [x + a - t, y - b],
      [x + a, y],
      [x + a - t, y + b],
    ],
  ];
  const style = { join: "round", cap: "round" } as const;
  return [
    lines(sides, { stroke: "key", strokeWidth: stroke + 1.9 * (stroke / 2.6), ...style }),
    lines(sides, { stroke: options.paint, strokeWidth: stroke, ...style }),
  ];
}

/** An upright arrow from y1 to y2 with an open head at y2. */
export function upright(x: number, y1: number, y2: number, paint: Paint, stroke: number): readonly Shape[] {
  const up = y2 < y1 ? 1 : -1;
  const [w, h] = [stroke * 2.3, stroke * 3.1 * up];
  return [
    line(
      [
        [x, y1],
        [x, y2 + up * stroke * 0.7],
      ],
      { stroke: paint, strokeWidth: stroke },
    ),
    line(
      [
        [x - w, y2 + h],
        [x, y2],
        [x + w, y2 + h],
      ],
      { stroke: paint, strokeWidth: stroke },
    ),
  ];
}

/** "→" between two texts, as a shape: the web font has no arrow. */
export function sidewaysArrow(x: number, y: number, length: number, paint: Paint, stroke: number): readonly Shape[] {
  const h = stroke * 2.2;
  return [
    line(
      [
        [x, y],
        [x + length, y],
      ],
      { stroke: paint, strokeWidth: stroke },
    ),
    line(
      [
        [x + length - h, y - h],
        [x + length, y],
        [x + length - h, y + h],
      ],
      { stroke: paint, strokeWidth: stroke },
    ),
  ];
}

/** The tick of a thing done. */
export function tick(x: number, y: number, size: number, paint: Paint): PathShape {
  const points: readonly Point[] = [
    [x, y],
    [x + size * 0.34, y + size * 0.37],
    [x + size, y - size * 0.42],
  ];
  return line(points, { stroke: paint, strokeWidth: size * 0.17 });
}

/** The program's own mark: a working rung, three rungs, one bead. `size` square. */
export function programMark(x: number, y: number, size: number): readonly Shape[] {
  const k = size / 24;
  const rung = (level: number): readonly Point[] => [
    [x + k, y + level * k],
    [x + 23 * k, y + level * k],
  ];
  return [
    line(rung(6.5), { stroke: "ink", strokeWidth: 3 * k }),
    lines([rung(12.2), rung(17.2), rung(22.2)], { stroke: "edge", strokeWidth: k }),
    polygon(beadOutline(x + 12 * k, y + 14.7 * k, 13 * k, 8 * k), {
      fill: "ink",
      stroke: "panel",
      strokeWidth: 1.5 * k,
    }),
  ];
}

/** The four weights of a caution, each its own shape, `size` square at (x, y). */
export function cautionMark(
  level: "stop" | "care" | "note" | "done",
  x: number,
  y: number,
  size: number,
): readonly Shape[] {
  const k = size / 18;
  const at = (px: number, py: number): Point => [x + px * k, y + py * k];
  switch (level) {
    case "stop":
      return [
        rectangle(x + k, y + k, 16 * k, 16 * k, { fill: "inverse" }),
        line([at(4.5, 9), at(13.5, 9)], { stroke: "on-inverse", strokeWidth: 2.6 * k }),
      ];
    case "care":
      return [
        polygon([at(9, 1.6), at(17.2, 16.4), at(0.8, 16.4)], { stroke: "ink", strokeWidth: 1.7 * k, join: "round" }),
        lines(
          [
            [at(9, 6.6), at(9, 11.4)],
            [at(9, 13), at(9, 14.8)],
          ],
          { stroke: "ink", strokeWidth: 1.9 * k },
        ),
      ];
    case "note":
      return [
        ellipse(x + 9 * k, y + 9 * k, 7.4 * k, 7.4 * k, { stroke: "ink2", strokeWidth: 1.5 * k }),
        lines(
          [
            [at(9, 8), at(9, 13)],
            [at(9, 4.7), at(9, 6.5)],
          ],
          { stroke: "ink2", strokeWidth: 1.9 * k },
        ),
      ];
    case "done":
      return [tick(x + 2.5 * k, y + 9.6 * k, 13 * k, "ink")];
  }
}
