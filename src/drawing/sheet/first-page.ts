/** Page 1 of the sheet: drawings to the largest standard scale that fits, the table of lights, metering, cautions. */

import type { Caution } from "../../care/index.ts";
import type { Setup } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/index.ts";
import { elevation, elevationSize } from "../elevation.ts";
import { ladder } from "../ladder.ts";
import { ladderLooks } from "../ladder-look.ts";
import { plan, planSize } from "../plan.ts";
import { group, placed } from "../shape.ts";
import type { Shape } from "../types.ts";
import type { RoomDrawingOptions } from "../view.ts";
import { at, type Block, stack } from "./block.ts";
import { sheetFacts, sheetHeader } from "./header.ts";
import { lightTable } from "./light-table.ts";
import { cautionBlock, deferBlock, meterBlock, togetherBlock } from "./notes.ts";
import { type Area, areaOf, pxPerMm, type SheetOptions } from "./paper.ts";

/** Scales of a room on paper (ISO 5455 has 1:20, 1:50, 1:100; the others are common practice). */
const scales = [20, 25, 50, 75, 100, 150, 200, 500] as const;

export interface FirstPage {
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

export function firstPage(
  setup: Setup,
  report: SetupReport,
  cautions: readonly Caution[],
  options: SheetOptions,
): FirstPage {
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
  const defer = deferBlock(cautions, notesWidth, density.text);
  // The cautions get at least the height of the words on metering; what does not fit goes to page 2.
  const least = density.notes ? Math.max(meter.height, density.text * 9) : 0;
  const gaps = 6 + 4 + 6 + 6;
  const free = area.height - head.height - lights.height - least - gaps;
  const scale =
    scales.find((s) => drawingsHeight(setup, s, width, options) <= free) ?? scales[scales.length - 1] ?? 500;
  const drawings = drawingsBlock(setup, report, scale, width, options, density.text);
  const over = drawings.height - free;
  const told = cautionBlock(cautions, notesWidth, density.text, least + Math.max(0, -over) - defer.height - 3);
  const warned = stack([told.block, defer], 3);
  const notes: Block = {
    width,
    height: density.notes ? Math.max(meter.height, warned.height) : 0,
    shapes: density.notes ? [...meter.shapes, ...at(warned, notesWidth + notesGap, 0)] : [],
  };
  // Spare height goes between the parts.
  const air = Math.min(14, Math.max(0, (-over - Math.max(0, notes.height - least)) / 4));
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
