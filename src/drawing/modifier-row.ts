/**
 * The kit's modifiers and panels from the front, all to one scale and on one line, with a name and a second line
 * under each, and a metre to compare by. CSS pixels.
 */

import type { FrontShape } from "../setup/index.ts";
import { fittedLine, fittedSize, runsWidth } from "./measure.ts";
import { ellipse, group, line, lines, type Point, polygon, rectangle, text } from "./shape.ts";
import type { Drawing, Shape, TextRun } from "./types.ts";
import { runsOf } from "./words.ts";

/** What is drawn: a modifier, or a card or flag as a plain rectangle. */
export interface RowItem {
  readonly id: string;
  readonly name: string;
  readonly shape: FrontShape;
  readonly widthM: number;
  readonly heightM: number;
  readonly grid: boolean;
  /** A flag's face is black. */
  readonly dark: boolean;
  /** "f/22³ at 1 m", "white": set under the name. */
  readonly reading: readonly TextRun[];
  readonly note: string;
}

export interface ModifierRowOptions {
  readonly perMetre: number;
  readonly width?: number;
}

const textRows = 88;

export function modifierRow(items: readonly RowItem[], options: ModifierRowOptions): Drawing {
  const k = options.perMetre;
  const tallest = Math.max(0.3, ...items.map((item) => item.heightM));
  const base = tallest * k + 14;
  const shapes: Shape[] = [];
  let x = 14;
  for (const item of items) {
    const column = Math.max(item.widthM * k, 97) + 12;
    shapes.push(group(`modifier:${item.id}`, itemShapes(item, x + column / 2, base, k, column - 8), item.name));
    x += column;
  }
  const width = Math.max(options.width ?? 0, x + 6);
  const below = base + textRows + 16;
  const rule: readonly (readonly Point[])[] = [
    [
      [20, below - 6],
      [20, below],
      [20 + k, below],
      [20 + k, below - 6],
    ],
    [
      [20 + k / 2, below],
      [20 + k / 2, below - 6],
    ],
  ];
  return {
    width,
    height: below + 12,
    unit: "px",
    title: `${items.length} modifiers and panels to one scale`,
    shapes: [
      line(
        [
          [14, base + 0.5],
          [x, base + 0.5],
        ],
        { stroke: "line", strokeWidth: 1 },
      ),
      ...shapes,
      lines(rule, { stroke: "ink2", strokeWidth: 1.3 }),
      text(26 + k, below + 1, 13, [{ text: "1 m" }], { fill: "ink2" }),
    ],
  };
}

function itemShapes(item: RowItem, cx: number, base: number, k: number, room: number): readonly Shape[] {
  const name = fittedLine(runsOf(item.name), 14, 600, room);
  const note = runsOf(item.note);
  return [
    ...frontShapes(item, cx, base, k),
    text(cx, base + 27, name.size, name.runs, { anchor: "middle", weight: 600 }),
    text(cx, base + 51, Math.min(17, (17 * room) / Math.max(1, runsWidth(item.reading, 17, 600))), item.reading, {
      anchor: "middle",
      weight: 600,
    }),
    text(cx, base + 71, fittedSize(note, 12.5, 400, room), note, { anchor: "middle", fill: "ink2" }),
  ];
}

function frontShapes(item: RowItem, cx: number, base: number, k: number): readonly Shape[] {
  const [w, h] = [item.widthM * k, item.heightM * k];
  const cy = base - h / 2;
  const face = { fill: item.dark ? "black" : "row", stroke: "ink", strokeWidth: 1.6 } as const;
  const thin = { stroke: "edge", strokeWidth: 0.8 } as const;
  if (item.shape === "octagon") {
    // Across flats to corners.
    const radius = w / 2 / Math.cos(Math.PI / 8);
    const corners = Array.from({ length: 8 }, (_, i): Point => {
      const angle = ((i + 0.5) * Math.PI) / 4;
      return [cx + radius * Math.cos(angle), cy + radius * Math.sin(angle)];
    });
    return [
      polygon(corners, face),
      lines(
        corners.map((c): readonly Point[] => [[cx, cy], c]),
        thin,
      ),
    ];
  }
  if (item.shape === "rectangle") {
    const cells = item.grid ? [lines(gridLines(cx - w / 2, cy - h / 2, w, h), thin)] : [];
    return [rectangle(cx - w / 2, cy - h / 2, w, h, face), ...cells];
  }
  const round = ellipse(cx, cy, Math.max(w, 3) / 2, Math.max(h, 3) / 2, face);
  if (item.shape === "umbrella") {
    const ribs = Array.from({ length: 8 }, (_, i): readonly Point[] => [
      [cx, cy],
      [cx + (w / 2) * Math.cos((i * Math.PI) / 4), cy + (w / 2) * Math.sin((i * Math.PI) / 4)],
    ]);
    return [round, lines(ribs, thin)];
  }
  return [round, ellipse(cx, cy, w / 5, h / 5, thin)];
}

/** Cells of about 10 px: a sign for a grid, not its real cells. */
function gridLines(x: number, y: number, w: number, h: number): readonly (readonly Point[])[] {
  const across = Math.max(2, Math.round(w / 10));
  const down = Math.max(2, Math.round(h / 10));
  return [
    ...Array.from({ length: across - 1 }, (_, i): readonly Point[] => {
      const at = x + ((i + 1) * w) / across;
      return [
        [at, y],
        [at, y + h],
      ];
    }),
    ...Array.from({ length: down - 1 }, (_, i): readonly Point[] => {
      const at = y + ((i + 1) * h) / down;
      return [
        [x, at],
        [x + w, at],
      ];
    }),
  ];
}
