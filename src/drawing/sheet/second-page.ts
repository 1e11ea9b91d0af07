/** Page 2 of the sheet: building and striking, packing, tape checks, derived values, cautions that are left, sitters. */

import type { Setup } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/index.ts";
import { fittedLine } from "../measure.ts";
import { group, line, placed, text } from "../shape.ts";
import type { Shape } from "../types.ts";
import { runsOf } from "../words.ts";
import { at, type Block, type CheckItem, checkList, emptyBlock, heading, stack } from "./block.ts";
import { derivedBlock, tapeBlock } from "./derived.ts";
import type { FirstPage } from "./first-page.ts";
import { cautionBlock, deferBlock, meterBlock } from "./notes.ts";
import { buildOrder, strikeOrder } from "./order.ts";
import { packingList } from "./packing.ts";
import { areaOf, type SheetOptions } from "./paper.ts";
import { sittersBlock } from "./sitters.ts";

export function secondPage(
  setup: Setup,
  report: SetupReport,
  first: FirstPage,
  options: SheetOptions,
): readonly Shape[] {
  const area = areaOf(options);
  const head = secondHead(setup, area.width);
  const free = area.height - head.height - 8;
  let most = setup.sitters.length;
  let body = layBody(setup, report, first, options, area.width, 11.6, most);
  for (let size = 11.6; body.height > free && size > 7.4; size -= 0.3) {
    body = layBody(setup, report, first, options, area.width, size, most);
  }
  while (body.height > free && most > 0) {
    most = Math.max(0, most - 4);
    body = layBody(setup, report, first, options, area.width, 7.4, most);
  }
  const k = Math.min(1, free / body.height);
  return [...head.shapes, ...placed(body.shapes, k, 0, head.height + 8)];
}

function secondHead(setup: Setup, width: number): Block {
  const title = fittedLine(runsOf(setup.title), 22, 700, width * 0.7);
  return {
    width,
    height: 34,
    shapes: [
      text(0, 24, title.size, title.runs, { weight: 700 }),
      text(width, 24, 11.5, runsOf(setup.sitters.length > 0 ? "order, packing, sitters" : "order, packing"), {
        anchor: "end",
        fill: "ink2",
      }),
      line(
        [
          [0, 32],
          [width, 32],
        ],
        { stroke: "ink", strokeWidth: 3.2 },
      ),
    ],
  };
}

function layBody(
  setup: Setup,
  report: SetupReport,
  first: FirstPage,
  options: SheetOptions,
  width: number,
  size: number,
  most: number,
): Block {
  const gap = 26;
  const leftWidth = (width - gap) * 0.525;
  const rightWidth = width - gap - leftWidth;
  const leftColumn = stack(
    [
      listBlock("Build", buildOrder(setup, report, options), leftWidth, size),
      derivedBlock(setup, report, leftWidth, size * 0.95, options),
    ],
    size,
  );
  const rightColumn = stack(
    [
      listBlock("Strike, in reverse", strikeOrder(setup), rightWidth, size),
      packBlock(setup, rightWidth, size),
      tapeBlock(setup, rightWidth, size, options),
      ...(first.meterLeft ? [meterBlock(setup, rightWidth, size)] : []),
    ],
    size,
  );
  // The cautions that are left stand under the shorter column.
  const title = first.meterLeft ? "Cautions" : "More cautions";
  const warn = (columnWidth: number): Block =>
    stack(
      [
        cautionBlock(first.left, columnWidth, size, Number.POSITIVE_INFINITY, title).block,
        first.meterLeft ? deferBlock(first.left, columnWidth, size) : emptyBlock,
      ],
      3,
    );
  const under = leftColumn.height <= rightColumn.height;
  const [a, b] = under
    ? [stack([leftColumn, warn(leftWidth)], size), rightColumn]
    : [leftColumn, stack([rightColumn, warn(rightWidth)], size)];
  const columns: Block = {
    width,
    height: Math.max(a.height, b.height),
    shapes: [...a.shapes, ...at(b, leftWidth + gap, 0)],
  };
  const sitters = sittersBlock(setup, report, width, size, options, most);
  return stack([columns, { ...sitters, shapes: [group("table:sitters", sitters.shapes)] }], size * 1.1);
}

const listBlock = (title: string, items: readonly CheckItem[], width: number, size: number): Block =>
  stack([heading(title, width, size), checkList(items, width, size, { numbered: true, ruled: true })], 0);

function packBlock(setup: Setup, width: number, size: number): Block {
  const items = packingList(setup);
  const half = (width - 14) / 2;
  const split = Math.ceil(items.length / 2);
  const [a, b] = [items.slice(0, split), items.slice(split)].map((part) =>
    checkList(part, half, size, { numbered: false, ruled: false }),
  ) as [Block, Block];
  const both: Block = { width, height: Math.max(a.height, b.height), shapes: [...a.shapes, ...at(b, half + 14, 0)] };
  return stack([heading("Pack", width, size), both], 0);
}
