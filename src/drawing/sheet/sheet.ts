/**
 * The printed sheet: page 1 with plan, ladder, elevation, table of lights, how to meter and cautions; page 2 with the
 * order of building and striking, the packing list, tape checks, derived values and the run of sitters. Laid out in
 * CSS pixels, handed out in millimetres. Plan and elevation share the largest standard scale that fits, and a line
 * of 100 mm tells whether the printer kept it.
 */

import type { Caution } from "../../care/types.ts";
import type { Setup } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/types.ts";
import { programMark } from "../bead.ts";
import { elevation, elevationSize } from "../elevation.ts";
import { ladder } from "../ladder.ts";
import { ladderLooks } from "../ladder-look.ts";
import { fittedSize, runsWidth } from "../measure.ts";
import { plan, planSize, type RoomDrawingOptions } from "../plan.ts";
import { group, line, lines, placed, text } from "../shape.ts";
import type { Drawing, Shape } from "../types.ts";
import { type LengthUnits, runsOf } from "../words.ts";
import { at, type Block, checkList, heading, stack } from "./block.ts";
import { derivedBlock, tapeBlock } from "./derived.ts";
import { sheetFacts, sheetHeader } from "./header.ts";
import { lightTable } from "./light-table.ts";
import { cautionBlock, meterBlock, sortedCautions, togetherBlock } from "./notes.ts";
import { buildOrder, strikeOrder } from "./order.ts";
import { packingList } from "./packing.ts";
import { sittersBlock } from "./sitters.ts";

export interface SheetOptions {
  readonly paper: "A4" | "Letter";
  readonly units: LengthUnits;
  /** Date and time as they should be printed; left out, none is printed. */
  readonly printedAt?: string;
}

export interface SheetPage extends Drawing {
  /** 50 for 1:50; of plan and elevation on page 1, null elsewhere. */
  readonly scaleOneTo: number | null;
}

/** ISO 216 and ANSI/ASME Y14.1, mm. */
const papers = { A4: [210, 297], Letter: [215.9, 279.4] } as const;
const pxPerMm = 96 / 25.4;
const margin = { left: 42, right: 38, top: 24, bottom: 14 } as const;
const footHeight = 26;

/** Scales of a room on paper (ISO 5455 has 1:20, 1:50, 1:100; the others are common practice). */
const scales = [20, 25, 50, 75, 100, 150, 200, 500] as const;

/** One or two pages, mm. */
export function sheetPages(
  setup: Setup,
  report: SetupReport,
  cautions: readonly Caution[],
  options: SheetOptions,
): readonly SheetPage[] {
  const first = firstPage(setup, report, sortedCautions(cautions), options);
  const second = secondPage(setup, report, first, options);
  return [page(setup, options, 1, first.shapes, first.scale), page(setup, options, 2, second, null)];
}

interface Area {
  readonly width: number;
  readonly height: number;
}

function areaOf(options: SheetOptions): Area {
  const [width, height] = papers[options.paper];
  return {
    width: width * pxPerMm - margin.left - margin.right,
    height: height * pxPerMm - margin.top - margin.bottom - footHeight,
  };
}

interface FirstPage {
  readonly shapes: readonly Shape[];
  readonly scale: number;
  /** What found no place and goes to page 2. */
  readonly left: readonly Caution[];
  readonly meterLeft: boolean;
}

/** How tightly page 1 is set: loose first, then closer rows and smaller notes, at last with the notes on page 2. */
const densities = [
  { row: 36, text: 11.5, notes: true },
  { row: 31, text: 10.5, notes: true },
  { row: 27, text: 9.5, notes: true },
  { row: 29, text: 10.5, notes: false },
] as const;

function firstPage(setup: Setup, report: SetupReport, cautions: readonly Caution[], options: SheetOptions): FirstPage {
  const area = areaOf(options);
  const tries = densities.map((density) => layFirst(setup, report, cautions, options, area, density));
  const fitting = tries.filter((t): t is FirstPage & { over: number } => t.over <= 0.5);
  // The largest scale wins; among equals the loosest setting, which comes first.
  const best = fitting.reduce<FirstPage | null>((a, b) => (a === null || b.scale < a.scale ? b : a), null);
  return best ?? squeezed(tries[2] as FirstPage & { over: number }, area);
}

/** More lights than a page holds at any density: the page is set smaller, and its drawings say no scale. */
function squeezed(laid: FirstPage & { over: number }, area: Area): FirstPage {
  const k = area.height / (area.height + laid.over);
  return { shapes: placed(laid.shapes, k, 0, 0), scale: 0, left: laid.left, meterLeft: laid.meterLeft };
}

function layFirst(
  setup: Setup,
  report: SetupReport,
  cautions: readonly Caution[],
  options: SheetOptions,
  area: Area,
  density: (typeof densities)[number],
): FirstPage & { readonly over: number } {
  const { width } = area;
  const head = stack([sheetHeader(setup, width, options), sheetFacts(setup, report, width, options)], 0);
  const lights = lightTable(setup, report, width, options, density.row);
  const notesGap = 18;
  const notesWidth = (width - notesGap) / 2;
  const meter = meterBlock(setup, notesWidth, density.text);
  const told = cautionBlock(cautions, notesWidth, density.text, Math.max(meter.height, density.text * 13));
  const notes: Block = density.notes
    ? {
        width,
        height: Math.max(meter.height, told.block.height),
        shapes: [...meter.shapes, ...at(told.block, notesWidth + notesGap, 0)],
      }
    : { width, height: 0, shapes: [] };
  const gaps = 6 + 4 + 6 + 6;
  const free = area.height - head.height - lights.height - notes.height - gaps;
  const scale =
    scales.find((s) => drawingsHeight(setup, s, width, options) <= free) ?? scales[scales.length - 1] ?? 500;
  const drawings = drawingsBlock(setup, report, scale, width, options, density.text);
  const over = drawings.height - free;
  // Spare height goes between the parts.
  const air = Math.min(14, Math.max(0, -over / 4));
  const shapes: Shape[] = [...head.shapes];
  let y = head.height + 6 + air / 2;
  shapes.push(...at(drawings, 0, y));
  y += drawings.height + 4 + air;
  shapes.push(group("table:lights", at(lights, 0, y)));
  y += lights.height + 6 + air;
  shapes.push(...at(notes, 0, y));
  return { shapes, scale, left: density.notes ? told.left : cautions, meterLeft: !density.notes, over };
}

const perMetre = (scale: number): number => (1000 / scale) * pxPerMm;
const planText = (scale: number): number => (scale <= 50 ? 11.5 : scale <= 75 ? 10 : 9);

const drawnAt = (scale: number, options: SheetOptions): RoomDrawingOptions => ({
  perMetre: perMetre(scale),
  units: options.units,
  handles: false,
  textSize: planText(scale),
  tagWidth: scale <= 50 ? 27 : 22,
});

/** Height of both drawings one under the other, or beyond every page where they are too wide for their neighbours. */
function drawingsHeight(setup: Setup, scale: number, width: number, options: SheetOptions): number {
  const top = planSize(setup.room, drawnAt(scale, options));
  const side = elevationSize(setup.room, drawnAt(scale, options));
  if (top.width + ladderWidth(setup) + 8 > width || side.width + 225 > width) return Number.POSITIVE_INFINITY;
  return Math.max(top.height, 330) + 6 + Math.max(side.height, 150);
}

/** The narrowest strip of the ladder on the sheet: a bead and its jaws. */
const tightStrip = 47;

const ladderWidth = (setup: Setup): number => {
  const look = ladderLooks.sheet;
  return look.axis + look.axisPad + look.padRight + look.roomStrip + tightStrip * setup.lights.length;
};

function drawingsBlock(
  setup: Setup,
  report: SetupReport,
  scale: number,
  width: number,
  options: SheetOptions,
  size: number,
): Block {
  const top = plan(setup, drawnAt(scale, options));
  const side = elevation(setup, drawnAt(scale, options));
  const planHeight = Math.max(top.height, 330);
  const rails = ladder(setup, report, {
    style: "sheet",
    width: Math.min(width - top.width - 8, ladderWidth(setup) + 70),
    height: planHeight - 2,
  });
  const beside = side.width + 12;
  const together = fitted((s) => togetherBlock(setup, report, width - beside, s), size, Math.max(side.height, 150));
  const secondRow = planHeight + 6;
  return {
    width,
    height: secondRow + Math.max(side.height, together.height, 150),
    shapes: [
      group("plan", top.shapes),
      group("ladder", placed(rails.shapes, 1, width - rails.width, 0)),
      group("elevation", placed(side.shapes, 1, 0, secondRow)),
      group("table:together", at(together, beside, secondRow)),
    ],
  };
}

/** The block at the largest size, down to two thirds, that keeps to the height. */
function fitted(make: (size: number) => Block, size: number, height: number): Block {
  let block = make(size);
  for (let k = 0.96; k >= 0.66 && block.height > height; k -= 0.04) block = make(size * k);
  return block;
}

function secondPage(setup: Setup, report: SetupReport, first: FirstPage, options: SheetOptions): readonly Shape[] {
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
  const title = runsOf(setup.title);
  return {
    width,
    height: 34,
    shapes: [
      text(0, 24, fittedSize(title, 22, 700, width * 0.7), title, { weight: 700 }),
      text(width, 24, 11.5, runsOf("order, packing, sitters"), { anchor: "end", fill: "ink2" }),
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
  const title = first.meterLeft ? "Cautions" : "More cautions";
  const more = cautionBlock(first.left, leftWidth, size, Number.POSITIVE_INFINITY, title).block;
  const leftColumn = stack(
    [
      stack(
        [
          heading("Build", leftWidth, size),
          checkList(buildOrder(setup, report, options), leftWidth, size, { numbered: true, ruled: true }),
        ],
        0,
      ),
      derivedBlock(setup, report, leftWidth, size * 0.95),
      more,
    ],
    size,
  );
  const rightColumn = stack(
    [
      stack(
        [
          heading("Strike, in reverse", rightWidth, size),
          checkList(strikeOrder(setup), rightWidth, size, { numbered: true, ruled: true }),
        ],
        0,
      ),
      packBlock(setup, rightWidth, size),
      tapeBlock(setup, rightWidth, size, options),
      ...(first.meterLeft ? [meterBlock(setup, rightWidth, size)] : []),
    ],
    size,
  );
  const columns: Block = {
    width,
    height: Math.max(leftColumn.height, rightColumn.height),
    shapes: [...leftColumn.shapes, ...at(rightColumn, leftWidth + gap, 0)],
  };
  const sitters = sittersBlock(setup, report, width, size, options, most);
  return stack([columns, { ...sitters, shapes: [group("table:sitters", sitters.shapes)] }], size * 1.1);
}

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

/** Margins, foot, millimetres. */
function page(
  setup: Setup,
  options: SheetOptions,
  number: 1 | 2,
  content: readonly Shape[],
  scale: number | null,
): SheetPage {
  const [width, height] = papers[options.paper];
  const area = areaOf(options);
  const foot = number === 1 ? firstFoot(area.width, scale) : secondFoot(setup, area.width, options);
  const inPx: readonly Shape[] = [
    ...placed(content, 1, margin.left, margin.top),
    ...placed(foot, 1, margin.left, margin.top + area.height + 6),
  ];
  return {
    width,
    height,
    unit: "mm",
    title: `${setup.title}, page ${number} of 2`,
    shapes: placed(inPx, 1 / pxPerMm, 0, 0),
    scaleOneTo: scale === 0 ? null : scale,
  };
}

function firstFoot(width: number, scale: number | null): readonly Shape[] {
  const length = 100 * pxPerMm;
  const words =
    scale === 0 || scale === null
      ? "Plan and elevation not to a standard scale"
      : `Plan and elevation 1:${scale} if this line is 100 mm`;
  const rule = lines(
    [
      [
        [0, 5],
        [0, 15],
      ],
      [
        [0, 10],
        [length, 10],
      ],
      [
        [length, 5],
        [length, 15],
      ],
      [
        [length / 2, 7],
        [length / 2, 13],
      ],
    ],
    { stroke: "ink", strokeWidth: 1.2 },
  );
  return [{ ...rule, part: "rule:100mm" }, ...footWords(width, length + 14, words, 1)];
}

function secondFoot(setup: Setup, width: number, options: SheetOptions): readonly Shape[] {
  const stamps = setup.readings.filter((r) => !r.undone).map((r) => r.at);
  const last = stamps.sort().pop() ?? "";
  const metered = last === "" ? "Not metered yet." : `Last reading ${last.slice(0, 16).replace("T", " ")}.`;
  const printed = options.printedAt === undefined ? "" : ` Printed ${options.printedAt}.`;
  return footWords(width, 0, `${metered}${printed} Ring a change and date it.`, 2);
}

/** Words on the left, the program's name and the page on the right. */
function footWords(width: number, left: number, words: string, number: 1 | 2): readonly Shape[] {
  const name = runsOf(`Stopwise, ${number} of 2`);
  const nameLeft = width - runsWidth(name, 10.5, 400);
  const runs = runsOf(words);
  const size = fittedSize(runs, 10.5, 400, nameLeft - 24 - left);
  return [
    text(left, 14, size, runs, { fill: "ink3" }),
    ...programMark(nameLeft - 19, 3, 13),
    text(nameLeft, 14, 10.5, name, { fill: "ink3" }),
  ];
}
