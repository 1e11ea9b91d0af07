/** `ratio`: stops under, and the two conventions in which the trade writes them. */

import {
  addedToMain,
  lightToLight,
  litToShadow,
  stopsOfLightToLight,
  stopsOfLitToShadow,
} from "../photometry/index.ts";
import { ratioWords } from "../solve/index.ts";
import { failure, fault, MOST_STOPS, parseStops, type Result, type Stops, stops, success } from "../units/index.ts";
import { type Answer, type Command, JSON_OPTION } from "./command.ts";
import { readNumber } from "./figures.ts";
import { columns, quoted } from "./print.ts";
import type { Words } from "./words.ts";

const ASKED = ["stops", "light-to-light", "lit-to-shadow"] as const;
const MOST_RATIO = 2 ** MOST_STOPS;

export const ratioCommand: Command = {
  name: "ratio",
  usage: "--stops N | --light-to-light R | --lit-to-shadow R",
  positionals: { least: 0, most: 0, mend: "Give the number after its option." },
  options: [
    { name: "stops", takes: "value", value: "N", help: "the fill, so many stops under the main" },
    { name: "light-to-light", takes: "value", value: "R", help: "main to fill, each read alone: 8 or 8:1" },
    { name: "lit-to-shadow", takes: "value", value: "R", help: "lit side to shadow side: 9 or 9:1" },
    JSON_OPTION,
  ],
  notes: [
    "Light to light is 2ⁿ : 1 for n stops. Lit to shadow is (2ⁿ + 1) : 1, which holds where the main is fully blocked",
    "from the shadow, the fill reaches both sides alike and nothing else lights the shadow; room light counts as fill.",
    "Example: stopwise ratio --stops 3",
  ],
  run: (words) => ratio(words),
};

function ratio(words: Words): Result<Answer> {
  const given = ASKED.filter((name) => words.has(name));
  const [name] = given;
  if (name === undefined || given.length > 1) {
    const what = given.length > 1 ? "Two questions at once" : "No question";
    const mend = "Give exactly one of --stops, --light-to-light, --lit-to-shadow.";
    return failure(fault("ratio-question", what, "command line", mend));
  }
  const under = underOf(name, words.value(name) ?? "");
  return under.ok ? success(answer(under.value)) : under;
}

function underOf(name: (typeof ASKED)[number], text: string): Result<Stops> {
  const where = `--${name}`;
  if (name === "stops") {
    const read = parseStops(text, { where });
    return read.ok ? success(read.value) : read;
  }
  const value = readRatio(text, where, name === "lit-to-shadow" ? 1 : 1 / MOST_RATIO);
  if (!value.ok) return value;
  if (name === "light-to-light") return success(stopsOfLightToLight(value.value));
  if (value.value > 1) return success(stopsOfLitToShadow(value.value));
  const what = `Lit to shadow ${quoted(text)} would need no main at all`;
  return failure(fault("ratio-range", what, where, "Write more than 1, such as 3 for a fill one stop under."));
}

/** "8", "8:1", "1:2". */
function readRatio(text: string, where: string, low: number): Result<number> {
  const parts = text.split(":");
  if (parts.length > 2) return failure(fault("ratio-form", `${quoted(text)} is not a ratio`, where, "Write 8 or 8:1."));
  const first = readNumber(parts[0] ?? "", where, 0, MOST_RATIO);
  if (!first.ok) return first;
  const second = parts[1] === undefined ? success(1) : readNumber(parts[1], where, 0, MOST_RATIO);
  if (!second.ok) return second;
  const value = first.value / second.value;
  if (value >= low && value <= MOST_RATIO) return success(value);
  return failure(
    fault("ratio-range", `${quoted(text)} is out of range`, where, `Write a ratio from ${low < 1 ? "above 0" : 1}.`),
  );
}

function answer(under: Stops): Answer {
  const size = Math.abs(under);
  const words = size < 0.05 ? "level" : `${size.toFixed(1)} ${under > 0 ? "under" : "over"}`;
  const rows = [
    ["stops", words, "the fill against the main, each read alone"],
    ["light to light", ratioWords(under, 0), "main to fill, each light read alone"],
    [
      "lit to shadow",
      ratioWords(Math.log2(litToShadow(under)), 0),
      "main and fill to fill alone; main fully blocked from the shadow",
    ],
    ["together", `+${addedToMain(under).toFixed(2)}`, "stops that this fill adds to the main where both fall"],
  ];
  return {
    text: columns(rows),
    json: {
      format: "stopwise-ratio",
      version: 1,
      stopsUnder: under,
      lightToLight: lightToLight(under),
      litToShadow: litToShadow(under),
      addedToMainStops: addedToMain(stops(under)),
    },
  };
}
