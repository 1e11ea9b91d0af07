/**
 * `frames`: a folder of photographs shot one light at a time: read, made linear, told apart, added up. Nothing is changed
 * or kept. The mathematics is frames', the reading files'.
 */

import { join } from "node:path";
import { createDecoder, type Decoder, type LookAnswer } from "../files/node.ts";
import type { NamedLight } from "../frames/index.ts";
import type { Setup } from "../setup/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { type Answer, type Command, DATA_OPTION, JSON_OPTION } from "./command.ts";
import { readNumber } from "./figures.ts";
import { type FoundBracket, findBracket } from "./frames-bracket.ts";
import { type GreyPlace, readGrey } from "./frames-grey.ts";
import { frameNames, type ReadFolder, readFrames } from "./frames-read.ts";
import { reportOf } from "./frames-report.ts";
import { framesJson, framesText } from "./frames-text.ts";
import { faultText } from "./print.ts";
import { readSetupNamed } from "./setup-input.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

export const framesCommand: Command = {
  name: "frames",
  usage: "FOLDER",
  positionals: { least: 1, most: 1, mend: "Name the folder that holds the frames." },
  options: [
    { name: "setup", takes: "value", value: "FILE|ID", help: "the setup whose lights they show" },
    {
      name: "mask",
      takes: "value",
      value: "FILE",
      help: "a picture of the folder: only where it is light is looked at",
    },
    {
      name: "steps",
      takes: "value",
      value: "STOPS",
      help: "they are a bracket: each so many stops over the one before",
    },
    {
      name: "grey",
      takes: "value",
      value: "X,Y,WxH",
      help: "a grey patch, full-size pixels: stops and white of each light",
    },
    {
      name: "white",
      takes: "value",
      value: "K",
      help: "the camera's white balance for --grey; the setup's, else 5500",
    },
    { name: "linear", takes: "nothing", help: "their codes are light itself, whatever the files say" },
    { name: "coded", takes: "nothing", help: "16-bit files without a profile carry sRGB's curve" },
    DATA_OPTION,
    JSON_OPTION,
  ],
  notes: [
    "Frames of one light each, of all, of none, at one exposure: which is which is told by looking and by name, and the",
    "frame of all is held against the sum of the others. Raw and linear files are light itself; processed ones go through",
    "a response recovered from a bracket (three or more exposures of one subject in the same light), else through their",
    "own curve, which is a sketch. Measured is only what differs by 0.05 stop or less. Files are never altered.",
  ],
  run: (words, world) => frames(words, world),
};

interface Asked {
  readonly stepStops: number | null;
  readonly meaning: "linear" | "coded" | null;
  readonly lights: readonly NamedLight[];
  readonly grey: GreyPlace | null;
  readonly whiteBalanceK: number;
}

/** Daylight, where neither the setup nor a word says another. */
const USUAL_WHITE_K = 5500;

async function frames(words: Words, world: World): Promise<Result<Answer>> {
  const folder = words.positionals[0] ?? "";
  const asked = await readAsked(words, world);
  if (!asked.ok) return asked;
  const names = frameNames(folder);
  if (!names.ok) return names;
  const decoder = createDecoder();
  try {
    return await work(folder, names.value, asked.value, words.value("mask"), decoder, world);
  } finally {
    await decoder.close();
  }
}

async function readAsked(words: Words, world: World): Promise<Result<Asked>> {
  const faults: Fault[] = [];
  const step = words.value("steps");
  const stepStops = step === null ? success(null) : readNumber(step, "--steps", 0.1, 5);
  if (!stepStops.ok) faults.push(...stepStops.faults);
  const [linear, coded] = [words.has("linear"), words.has("coded")];
  if (linear && coded)
    faults.push(fault("options-clash", "Codes are light or they are not", "--coded", "Leave one out."));
  const [greyWord, whiteWord] = [words.value("grey"), words.value("white")];
  const grey = greyWord === null ? success(null) : readGrey(greyWord);
  if (!grey.ok) faults.push(...grey.faults);
  const white = whiteWord === null ? success(null) : readNumber(whiteWord, "--white", 1500, 20_000);
  if (!white.ok) faults.push(...white.faults);
  const setup = await setupOf(words, world);
  if (!setup.ok) faults.push(...setup.faults);
  if (faults.length > 0 || !stepStops.ok || !setup.ok || !grey.ok || !white.ok) return failure(...faults);
  const lights = (setup.value?.lights ?? []).map(({ id, tag, role }) => ({ id, tag, role }));
  const whiteBalanceK = white.value ?? setup.value?.exposure.whiteBalanceK ?? USUAL_WHITE_K;
  const meaning = linear ? "linear" : coded ? "coded" : null;
  return success({ stepStops: stepStops.value, meaning, lights, grey: grey.value, whiteBalanceK });
}

async function setupOf(words: Words, world: World): Promise<Result<Setup | null>> {
  const word = words.value("setup");
  if (word === null) return success(null);
  const read = await readSetupNamed(word, words, world);
  return read.ok ? success(read.value.setup) : read;
}

async function work(
  folder: string,
  names: readonly string[],
  asked: Asked,
  maskName: string | null,
  decoder: Decoder,
  world: World,
): Promise<Result<Answer>> {
  const { stepStops, meaning, lights, grey, whiteBalanceK } = asked;
  const read = await readFrames(folder, names, decoder, world, { meaning, response: null });
  if (read.looks.length === 0) return failure(...read.faults);
  const found = findBracket(read.looks, stepStops);
  const bracket = found.ok ? found.value : null;
  const faults = [...read.faults, ...(found.ok ? [] : found.faults)];
  const linear = bracket === null ? read : await throughResponse(folder, read, bracket, decoder, world, meaning);
  const mask = maskOf(linear.looks, maskName);
  if (!mask.ok) return mask;
  const report = reportOf({
    ...{ looks: linear.looks, bracket, lights, mask: mask.value, stepStops, grey, whiteBalanceK, faults },
  });
  if (!report.ok) return report;
  const tags = new Map(lights.map(({ id, tag }) => [id, tag]));
  return success({
    text: framesText(report.value, (id) => tags.get(id) ?? id),
    json: framesJson(folder, report.value),
    ...(read.faults.length > 0 ? { aside: faultText("frames", read.faults) } : {}),
  });
}

/** The processed frames once more, through the recovered response. */
async function throughResponse(
  folder: string,
  read: ReadFolder,
  bracket: FoundBracket,
  decoder: Decoder,
  world: World,
  meaning: Asked["meaning"],
): Promise<ReadFolder> {
  const coded = read.looks.filter(({ sample }) => sample.image.encoding === "coded").map(({ sample }) => sample.name);
  const again = await readFrames(folder, coded, decoder, world, { meaning, response: bracket.recovered.curve });
  const anew = new Map(again.looks.map((look) => [look.sample.name, look]));
  return { looks: read.looks.map((look) => anew.get(look.sample.name) ?? look), faults: again.faults };
}

/** The mask by its name in the folder; without one, none. */
function maskOf(looks: readonly LookAnswer[], name: string | null): Result<LookAnswer | null> {
  if (name === null) return success(null);
  const mask = looks.find(({ sample }) => sample.name === name || join(".", name) === sample.name);
  if (mask !== undefined) return success(mask);
  const mend = "Name a picture of the folder, without its path.";
  return failure(fault("mask-unknown", "The mask is none of the pictures that were read", name, mend));
}
