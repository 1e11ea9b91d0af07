/**
 * The last page of the sheet, where it was asked for: what each light does, as small predicted pictures; a weak light
 * a second time, lifted by its stops under the main, and saying so.
 */

import type { Setup } from "../../setup/index.ts";
import type { SetupReport } from "../../solve/index.ts";
import { fittedLine } from "../measure.ts";
import { line, placed, text } from "../shape.ts";
import type { Shape, TextRun } from "../types.ts";
import { readingRuns, runsOf } from "../words.ts";
import { areaOf, type SheetOptions, type SheetPicture } from "./paper.ts";

const headHeight = 62;
const gap = 16;
const captionHeight = 40;

/** No page without pictures. */
export function picturesPage(setup: Setup, report: SetupReport, options: SheetOptions): readonly (readonly Shape[])[] {
  const pictures = options.pictures ?? [];
  const first = pictures[0];
  if (first === undefined) return [];
  const area = areaOf(options);
  const columns = columnsFor(pictures.length, first, area.width, area.height - headHeight);
  const width = (area.width - gap * (columns - 1)) / columns;
  const height = (width * first.height) / first.width;
  const cells = pictures.flatMap((picture, i) => {
    const x = (i % columns) * (width + gap);
    const y = headHeight + Math.floor(i / columns) * (height + captionHeight + gap);
    return placed(cell(setup, report, picture, width, height), 1, x, y);
  });
  return [[...head(setup, area.width), ...cells]];
}

/** As few columns as let all rows fit. */
function columnsFor(count: number, { width, height }: SheetPicture, areaWidth: number, areaHeight: number): number {
  for (let columns = 2; columns < 8; columns++) {
    const cellWidth = (areaWidth - gap * (columns - 1)) / columns;
    const rows = Math.ceil(count / columns);
    if (rows * ((cellWidth * height) / width + captionHeight + gap) <= areaHeight) return columns;
  }
  return 8;
}

function head(setup: Setup, width: number): readonly Shape[] {
  const title = fittedLine(runsOf(setup.title), 22, 700, width * 0.7);
  const rule = line(
    [
      [0, 32],
      [width, 32],
    ],
    { stroke: "ink", strokeWidth: 3.2 },
  );
  const words = "Predicted, not photographed. Each light alone as the working aperture shows it; lifted ones say so.";
  return [
    text(0, 24, title.size, title.runs, { weight: 700 }),
    text(width, 24, 11.5, runsOf("what each light does"), { anchor: "end", fill: "ink2" }),
    rule,
    text(0, 50, 11.5, runsOf(words), { fill: "ink2" }),
  ];
}

function cell(
  setup: Setup,
  report: SetupReport,
  picture: SheetPicture,
  width: number,
  height: number,
): readonly Shape[] {
  const { lightId, liftedStops, source } = picture;
  const light = setup.lights.find(({ id }) => id === lightId);
  const lifted = liftedStops > 0 ? `lifted ${liftedStops.toFixed(1)} stops` : "";
  const label = light === undefined ? "All lights together" : `${light.tag} alone${lifted === "" ? "" : `, ${lifted}`}`;
  const image: Shape = { kind: "image", x: 0, y: 0, width, height, source, label };
  if (light === undefined) return [image, text(0, height + 16, 12.5, runsOf("all together"), { weight: 700 })];
  const reading = report.lights.find((one) => one.lightId === light.id)?.predicted.av ?? null;
  const figures: readonly TextRun[] = reading === null ? [] : [...runsOf(" "), ...readingRuns(reading)];
  const name = fittedLine([...runsOf(`${light.tag} ${light.role}`), ...figures], 12.5, 700, width);
  return [
    image,
    text(0, height + 16, name.size, name.runs, { weight: 700 }),
    text(0, height + 31, 11, runsOf(lifted === "" ? "alone" : `alone, ${lifted}`), { fill: "ink2" }),
  ];
}
