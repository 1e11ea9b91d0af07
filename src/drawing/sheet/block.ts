/**
 * Pieces of a printed page: paragraphs, headings, check lists and tables that measure themselves. A block is drawn
 * from its own upper left corner; sizes in CSS pixels (1/96 in), scaled to millimetres once at the end.
 */

import { fittedSize, runsWidth, type Weight, wrapRuns } from "../measure.ts";
import { line, placed, rectangle, text } from "../shape.ts";
import type { Paint, Shape, TextRun } from "../types.ts";
import { runsOf } from "../words.ts";

export interface Block {
  readonly width: number;
  readonly height: number;
  readonly shapes: readonly Shape[];
}

export const emptyBlock: Block = { width: 0, height: 0, shapes: [] };

/** The shapes of a block moved to (x, y). */
export const at = (block: Block, x: number, y: number): readonly Shape[] => placed(block.shapes, 1, x, y);

/** Blocks one under the other. */
export function stack(blocks: readonly Block[], gap: number): Block {
  const shown = blocks.filter((block) => block.height > 0);
  let y = 0;
  const shapes: Shape[] = [];
  shown.forEach((block, i) => {
    if (i > 0) y += gap;
    shapes.push(...at(block, 0, y));
    y += block.height;
  });
  return { width: Math.max(0, ...shown.map((block) => block.width)), height: y, shapes };
}

interface TextLook {
  readonly size: number;
  readonly weight?: Weight;
  readonly fill?: Paint;
  /** Line pitch over size; 1.28 unless said. */
  readonly leading?: number;
}

/** Wrapped text; a word wider than the line is set smaller, never cut. */
export function paragraph(words: string | readonly TextRun[], width: number, look: TextLook): Block {
  const { size, weight = 400, fill = "ink", leading = 1.28 } = look;
  const lines = wrapRuns(typeof words === "string" ? runsOf(words) : words, size, weight, width);
  return {
    width,
    height: lines.length * size * leading,
    shapes: lines.map((runs, i) =>
      text(0, size * (i * leading + 0.98), fittedSize(runs, size, weight, width), runs, { weight, fill }),
    ),
  };
}

export const heading = (words: string, width: number, size: number): Block => ({
  ...paragraph(words, width, { size: size * 1.17, weight: 700 }),
  height: size * 1.17 * 1.55,
});

export interface CheckItem {
  readonly words: readonly TextRun[];
}

/** Boxes to tick, numbered where the order matters. */
export function checkList(
  items: readonly CheckItem[],
  width: number,
  size: number,
  options: { readonly numbered: boolean; readonly ruled: boolean },
): Block {
  const box = size;
  const inset = size * 1.45 + (options.numbered ? size * 1.75 : 0);
  const pad = options.ruled ? size * 0.33 : size * 0.14;
  let y = 0;
  const shapes: Shape[] = [];
  items.forEach((item, i) => {
    const words = paragraph(item.words, width - inset, { size });
    if (options.ruled && i > 0)
      shapes.push(
        line(
          [
            [0, y],
            [width, y],
          ],
          { stroke: "line", strokeWidth: 0.8 },
        ),
      );
    shapes.push(
      rectangle(0.6, y + pad + size * 0.16, box, box, { stroke: "ink", strokeWidth: 1.1 }),
      ...(options.numbered
        ? [text(size * 1.5, y + pad + size * 0.98, size, [{ text: String(i + 1) }], { weight: 700 })]
        : []),
      ...at(words, inset, y + pad),
    );
    y += words.height + 2 * pad;
  });
  return { width, height: y, shapes };
}

/** One line of a cell. */
export interface CellLine {
  readonly runs: readonly TextRun[];
  readonly size: number;
  readonly weight?: Weight;
  readonly fill?: Paint;
}

/** One or two lines of text, or a drawn block. */
export type Cell = readonly CellLine[] | Block;

export interface Column {
  readonly title: string;
  readonly align: "start" | "end";
  /** Share of the width that is left after the fixed columns; or a fixed width. */
  readonly share?: number;
  readonly fixed?: number;
}

const isBlock = (cell: Cell): cell is Block => "shapes" in cell;

export interface TableLook {
  readonly size: number;
  readonly rowHeight: number;
  readonly gap: number;
  /** Rows before which the rule is bold: a new group begins. */
  readonly boldBefore?: readonly number[];
}

/** A ruled table; every text is shrunk to its cell where it must be, so nothing runs over. */
export function table(
  columns: readonly Column[],
  rows: readonly (readonly Cell[])[],
  width: number,
  look: TableLook,
): Block {
  const { size, rowHeight, gap } = look;
  const spans = columnSpans(columns, width, gap);
  const headHeight = columns.some((c) => c.title !== "") ? size * 1.5 : 0;
  const shapes: Shape[] = [];
  columns.forEach((column, i) => {
    const [left, right] = spans[i] as readonly [number, number];
    const runs = runsOf(column.title);
    const fitted = fittedSize(runs, size * 0.93, 400, right - left);
    const x = column.align === "end" ? right : left;
    shapes.push(text(x, size * 1.02, fitted, runs, { anchor: column.align, fill: "ink2" }));
  });
  rows.forEach((row, r) => {
    const top = headHeight + r * rowHeight;
    const bold = look.boldBefore?.includes(r) === true;
    const rule = bold
      ? ({ stroke: "ink", strokeWidth: 1.8 } as const)
      : ({ stroke: "line", strokeWidth: 0.8 } as const);
    shapes.push(
      line(
        [
          [0, top],
          [width, top],
        ],
        rule,
      ),
    );
    row.forEach((cell, i) => {
      const span = spans[i];
      if (span !== undefined) shapes.push(...cellShapes(cell, span, columns[i]?.align ?? "start", top, rowHeight));
    });
  });
  return { width, height: headHeight + rows.length * rowHeight, shapes };
}

function columnSpans(columns: readonly Column[], width: number, gap: number): readonly (readonly [number, number])[] {
  const fixed = columns.reduce((sum, c) => sum + (c.fixed ?? 0), 0);
  const shares = columns.reduce((sum, c) => sum + (c.share ?? 0), 0);
  const free = width - fixed - gap * (columns.length - 1);
  let x = 0;
  return columns.map((column) => {
    const own = column.fixed ?? (free * (column.share ?? 0)) / Math.max(shares, 1e-9);
    const span = [x, x + own] as const;
    x += own + gap;
    return span;
  });
}

function cellShapes(
  cell: Cell,
  [left, right]: readonly [number, number],
  align: "start" | "end",
  top: number,
  rowHeight: number,
): readonly Shape[] {
  if (isBlock(cell)) {
    const x = align === "end" ? right - cell.width : left;
    return at(cell, x, top + (rowHeight - cell.height) / 2);
  }
  const lines = cell.filter((cellLine) => cellLine.runs.length > 0);
  const heights = lines.map((cellLine) => cellLine.size * 1.12);
  let y = top + (rowHeight - heights.reduce((a, b) => a + b, 0)) / 2;
  return lines.map((cellLine, i) => {
    const { runs, size, weight = 400, fill = "ink" } = cellLine;
    const baseline = y + size * 0.9;
    y += heights[i] ?? 0;
    const fitted = fittedSize(runs, size, weight, right - left);
    return text(align === "end" ? right : left, baseline, fitted, runs, { anchor: align, weight, fill });
  });
}

/** Columns of small blocks that share a width, each as wide as its words need. */
export function spread(blocks: readonly Block[], width: number): Block {
  const wanted = blocks.reduce((sum, block) => sum + block.width, 0);
  const gap = blocks.length < 2 ? 0 : (width - wanted) / (blocks.length - 1);
  let x = 0;
  const shapes: Shape[] = [];
  for (const block of blocks) {
    shapes.push(...at(block, x, 0));
    x += block.width + gap;
  }
  return { width, height: Math.max(0, ...blocks.map((block) => block.height)), shapes };
}

/** Lines one under the other, not wrapped, as wide as the widest. */
export function lineBlock(rows: readonly CellLine[], leading: number): Block {
  let y = 0;
  const shapes = rows.map(({ runs, size, weight = 400, fill = "ink" }) => {
    const shape = text(0, y + size * 0.95, size, runs, { weight, fill });
    y += size * leading;
    return shape;
  });
  const width = Math.max(0, ...rows.map(({ runs, size, weight = 400 }) => runsWidth(runs, size, weight)));
  return { width, height: y, shapes };
}
