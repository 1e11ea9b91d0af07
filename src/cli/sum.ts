/** `sum`: readings of lights metered one at a time, added in light. Legal only at one point, receptor and aim. */

import { addAv } from "../photometry/index.ts";
import { type Ev, type Fault, failure, fNumberOfAv, parseReading, type Result, success } from "../units/index.ts";
import { type Answer, type Command, JSON_OPTION } from "./command.ts";
import { digits, readingText } from "./figures.ts";
import { columns } from "./print.ts";

/** More lights than one meters one by one. */
const MOST_READINGS = 100;

export const sumCommand: Command = {
  name: "sum",
  usage: "READING READING ...",
  positionals: { least: 1, most: MOST_READINGS, mend: "Give the readings of the lights, each alone." },
  options: [JSON_OPTION],
  notes: [
    "Light adds, f-numbers do not: N² = N1² + N2² + ... The sum is right only where every light was read at the same",
    "point, with the same receptor, aimed the same way. Readings taken with the meter turned to each light are not",
    "such a set: read them again with one aim, such as the dome to the camera, or ask predict for the reading.",
    "Example: stopwise sum 5.6 2.8 2",
  ],
  run: ({ positionals }) => sum(positionals),
};

function sum(texts: readonly string[]): Result<Answer> {
  const faults: Fault[] = [];
  const readings: Ev[] = [];
  texts.forEach((text, i) => {
    const read = parseReading(text, { where: `reading ${i + 1}` });
    if (read.ok) readings.push(read.value.av);
    else faults.push(...read.faults);
  });
  if (faults.length > 0) return failure(...faults);
  const total = addAv(readings);
  const parts = readings.map((av) => ({ av, sharePercent: 100 * 2 ** (av - total), underTotalStops: total - av }));
  const rows = parts.map(({ av, sharePercent, underTotalStops }) => [
    readingText(av),
    `${sharePercent.toFixed(0)} %`,
    `${underTotalStops.toFixed(1)} under the sum`,
  ]);
  return success({
    text: [
      `${readingText(total)} together (N ${digits(fNumberOfAv(total), 3)})`,
      columns(rows, [1]),
      "Right only where all were read at one point, with one receptor and one aim.",
    ].join("\n"),
    json: { format: "stopwise-sum", version: 1, av: total, fNumber: fNumberOfAv(total), readings: parts },
  });
}
