/**
 * The printed sheet: page 1 with plan, ladder, elevation, table of lights, how to meter and cautions; page 2 with the
 * order of building and striking, the packing list, tape checks, derived values and the run of sitters. Laid out in
 * CSS pixels, handed out in millimetres. Plan and elevation share the largest standard scale that fits, and a line
 * of 100 mm tells whether the printer kept it.
 */

import type { Caution } from "../../care/index.ts";
import type { Setup } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/index.ts";
import { programMark } from "../bead.ts";
import { fittedSize, runsWidth } from "../measure.ts";
import { lines, placed, text } from "../shape.ts";
import type { Drawing, Shape } from "../types.ts";
import { runsOf } from "../words.ts";
import { firstPage } from "./first-page.ts";
import { sheetCautions } from "./notes.ts";
import { areaOf, margin, papers, pxPerMm, type SheetOptions } from "./paper.ts";
import { picturesPage } from "./pictures-page.ts";
import { secondPage } from "./second-page.ts";

export interface SheetPage extends Drawing {
  /** 50 for 1:50; of plan and elevation on page 1, null elsewhere. */
  readonly scaleOneTo: number | null;
}

/** Two pages, a third where there are pictures, mm. */
export function sheetPages(
  setup: Setup,
  report: SetupReport,
  cautions: readonly Caution[],
  options: SheetOptions,
): readonly SheetPage[] {
  const first = firstPage(setup, report, sheetCautions(cautions), options);
  const second = secondPage(setup, report, first, options);
  const pages = [first.shapes, second, ...picturesPage(setup, report, options)];
  return pages.map((content, i) => page(setup, options, [i + 1, pages.length], content, i === 0 ? first.scale : null));
}

/** Margins, foot, millimetres. */
function page(
  setup: Setup,
  options: SheetOptions,
  count: PageCount,
  content: readonly Shape[],
  scale: number | null,
): SheetPage {
  const [width, height] = papers[options.paper];
  const area = areaOf(options);
  const foot = count[0] === 1 ? firstFoot(area.width, scale, count) : laterFoot(setup, area.width, options, count);
  const inPx: readonly Shape[] = [
    ...placed(content, 1, margin.left, margin.top),
    ...placed(foot, 1, margin.left, margin.top + area.height + 6),
  ];
  return {
    width,
    height,
    unit: "mm",
    title: `${setup.title}, page ${count[0]} of ${count[1]}`,
    shapes: placed(inPx, 1 / pxPerMm, 0, 0),
    scaleOneTo: scale === 0 ? null : scale,
  };
}

type PageCount = readonly [page: number, of: number];

function firstFoot(width: number, scale: number | null, count: PageCount): readonly Shape[] {
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
  return [{ ...rule, part: "rule:100mm" }, ...footWords(width, length + 14, words, count)];
}

function laterFoot(setup: Setup, width: number, options: SheetOptions, count: PageCount): readonly Shape[] {
  const stamps = setup.readings.filter((r) => !r.undone).map((r) => r.at);
  const last = stamps.sort().pop() ?? "";
  const metered = last === "" ? "Not metered yet." : `Last reading ${last.slice(0, 16).replace("T", " ")}.`;
  const printed = options.printedAt === undefined ? "" : ` Printed ${options.printedAt}.`;
  return footWords(width, 0, `${metered}${printed} Ring a change and date it.`, count);
}

/** Words on the left, the program's name and the page on the right. */
function footWords(width: number, left: number, words: string, [page, of]: PageCount): readonly Shape[] {
  const name = runsOf(`Stopwise, ${page} of ${of}`);
  const nameLeft = width - runsWidth(name, 10.5, 400);
  const runs = runsOf(words);
  const size = fittedSize(runs, 10.5, 400, nameLeft - 24 - left);
  return [
    text(left, 14, size, runs, { fill: "ink3" }),
    ...programMark(nameLeft - 19, 3, 13),
    text(nameLeft, 14, 10.5, name, { fill: "ink3" }),
  ];
}
