/**
 * `turn`: one reading, the target, the dial as it stands: what to turn, and where to. The answer is the solver's
 * own; only the head is made up from what the words say of it.
 */

import type { Head } from "../setup/index.ts";
import { turnFor } from "../solve/index.ts";
import {
  type DialScale,
  type Ev,
  type Fault,
  failure,
  fault,
  parseReading,
  type Result,
  success,
} from "../units/index.ts";
import { type Answer, type Command, JSON_OPTION } from "./command.ts";
import { readDial } from "./dial-words.ts";
import { readingText, readNumber, stopsText } from "./figures.ts";
import { columns } from "./print.ts";
import type { Words } from "./words.ts";

/** The main's tolerance, when none is said. */
const USUAL_TOLERANCE_STOPS = 0.1;

export const turnCommand: Command = {
  name: "turn",
  usage: "READING --target READING --dial DIAL",
  positionals: { least: 1, most: 1, mend: "Give the reading of this light alone." },
  options: [
    { name: "target", takes: "value", value: "READING", help: "what this light alone should read" },
    {
      name: "dial",
      takes: "value",
      value: "DIAL",
      help: 'the dial as it stands: "1/16+0.3", -3.7, 6.3, "12.5 Ws", 35%',
    },
    {
      name: "scale",
      takes: "value",
      value: "KIND",
      help: "how the head counts: fraction, below-full, number, watt-seconds, percent; else told from the dial",
    },
    { name: "full", takes: "value", value: "DIAL", help: "what a head in numbers or watt-seconds shows at full power" },
    { name: "lowest", takes: "value", value: "DIAL", help: "the lowest position of the dial" },
    {
      name: "step",
      takes: "value",
      value: "STEP",
      help: "one click: 0.1 or 1/3 stop; per cent for a head in per cent",
    },
    { name: "tolerance", takes: "value", value: "STOPS", help: "how near is met; 0.1 unless said" },
    { name: "continuous", takes: "nothing", help: "a lamp: no dump pop" },
    JSON_OPTION,
  ],
  notes: [
    "Readings: a full mark and tenths (5.6^7 or 5.6⁷), a mark (7.1), or a literal f-number (N=6.05). 5.67 may mean",
    "either and is refused. The light is metered alone, at the place and with the aim that its target is meant for.",
    "Example: stopwise turn 4^6 --target 2.8 --dial 1/16+0.3",
  ],
  run: (words) => turn(words),
};

function turn(words: Words): Result<Answer> {
  const faults: Fault[] = [];
  const take = <T>(result: Result<T>): T | null => {
    if (result.ok) return result.value;
    faults.push(...result.faults);
    return null;
  };
  const reading = take(parseReading(words.positionals[0] ?? "", { where: "reading" }));
  const target = take(required(words, "target", (text) => parseReading(text, { where: "--target" })));
  const dial = take(required(words, "dial", () => readDial(words)));
  const tolerance = take(readNumber(words.value("tolerance") ?? String(USUAL_TOLERANCE_STOPS), "--tolerance", 0, 3));
  if (reading === null || target === null || dial === null || tolerance === null) return failure(...faults);
  const { scale, dialStops, lowestKnown } = dial;
  return success(
    answer({
      reading: reading.av,
      target: target.av,
      scale,
      dialStops,
      tolerance,
      lowestKnown,
      kind: words.has("continuous") ? "continuous" : "flash",
    }),
  );
}

function required<T>(words: Words, name: string, read: (text: string) => Result<T>): Result<T> {
  const text = words.value(name);
  if (text !== null) return read(text);
  return failure(fault("option-missing", `--${name} is missing`, `--${name}`, `Add --${name} and its value.`));
}

interface Question {
  readonly reading: Ev;
  readonly target: Ev;
  readonly scale: DialScale;
  readonly dialStops: number;
  readonly tolerance: number;
  readonly lowestKnown: boolean;
  readonly kind: Head["kind"];
}

function answer({ reading, target, scale, dialStops, tolerance, lowestKnown, kind }: Question): Answer {
  const turned = turnFor({
    light: { head: { ...HEAD, kind, dial: scale }, dialStops },
    wantedStops: target - reading,
    toleranceStops: tolerance,
    from: "reading",
  });
  const stays = Math.abs(turned.dialToStops - dialStops) < 1e-9;
  const rows = [
    ["reading", readingText(reading)],
    ["target", readingText(target)],
    ["dial", stays ? turned.dialFrom : `${turned.dialFrom} → ${turned.dialTo}`],
    ["remains", stopsText(turned.residualStops)],
  ];
  const notes = [
    ...(turned.dumpPop ? ["Turned down: fire one dump pop before the next reading."] : []),
    ...(lowestKnown || turned.dialToStops > LIKELY_LOWEST_STOPS
      ? []
      : ["Few heads go so low; say the lowest position of this one with --lowest."]),
  ];
  return {
    text: [`${turned.words}, dial ${turned.dialTo}`, columns(rows), ...notes].join("\n"),
    json: {
      format: "stopwise-turn",
      version: 1,
      readingAv: reading,
      targetAv: target,
      toleranceStops: tolerance,
      scale: scale.kind,
      ...turned,
    },
  };
}

/** Below 1/256 few heads go. */
const LIKELY_LOWEST_STOPS = -8;

/** A head of which nothing is known but its dial. */
const HEAD: Omit<Head, "dial"> = {
  id: "head",
  name: "head",
  kind: "flash",
  energyWs: null,
  powerW: null,
  efficacy: 0,
  mains: false,
  modellingW: 0,
  recycleS: null,
  dialTable: [],
  massKg: 0,
  t05S: null,
  t01S: null,
  durationBy: "unknown",
  durationAtLowPower: "unknown",
  temperatureK: 5500,
  count: 1,
  learnedStops: 0,
  learnedReadings: 0,
};
