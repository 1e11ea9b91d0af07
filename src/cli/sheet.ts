/** `sheet`: the printed sheet of a setup, as a PDF or as drawings, into new files. */

import { extname } from "node:path";
import {
  type SheetFrame,
  type SheetOptions,
  type SheetPage,
  type SheetPicture,
  sheetPages,
  toSvg,
} from "../drawing/index.ts";
import { showsWord } from "../frames/index.ts";
import { fontsFromPackage } from "../pdf/fonts-node.ts";
import { writePdf } from "../pdf/index.ts";
import type { Setup } from "../setup/index.ts";
import { predict, type SetupReport } from "../solve/index.ts";
import type { FrameCard } from "../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { renderSetup, smallPictures } from "../work/index.ts";
import { cautionsOf } from "./check.ts";
import { type Answer, type Command, DATA_OPTION } from "./command.ts";
import { checkNewFile, writeNewFile } from "./output.ts";
import { quoted, safe } from "./print.ts";
import { readSetup } from "./setup-input.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

export const sheetCommand: Command = {
  name: "sheet",
  usage: "FILE.json | SETUP-ID --out FILE.pdf|FILE.svg",
  positionals: { least: 1, most: 1, mend: "Name a setup's file, its id in the book, or - for standard input." },
  options: [
    { name: "out", takes: "value", value: "FILE", help: "the new file; its ending says what is written" },
    { name: "paper", takes: "value", value: "PAPER", help: "a4 (unless said) or letter" },
    { name: "pictures", takes: "nothing", help: "a page of predicted pictures: each light alone, all together" },
    { name: "feet", takes: "nothing", help: "lengths in feet and inches" },
    DATA_OPTION,
  ],
  notes: [
    "A PDF holds all pages; SVG writes one file a page, FILE-1.svg, FILE-2.svg. Print at 100 %: a line of 100 mm on",
    "the sheet tells whether the printer kept the scale. A file that is there is never written over.",
  ],
  run: (words, world) => sheet(words, world),
};

interface Wanted {
  readonly out: string;
  readonly kind: "pdf" | "svg";
  readonly options: Pick<SheetOptions, "paper" | "units">;
}

async function sheet(words: Words, world: World): Promise<Result<Answer>> {
  const wanted = readWanted(words);
  if (!wanted.ok) return wanted;
  const { out, kind, options } = wanted.value;
  const read = await readSetup(words, world);
  if (!read.ok) return read;
  const { setup, kit, frames } = read.value;
  const now = world.now();
  const report = predict(setup);
  const pictures = words.has("pictures") ? await picturesOf(setup, report, world) : success([]);
  if (!pictures.ok) return pictures;
  const named = frames === null ? {} : { frames: frames.map((card) => sheetFrame(card, setup)) };
  const printed = { ...options, printedAt: dateText(now), pictures: pictures.value, ...named };
  const pages = sheetPages(setup, report, cautionsOf(setup, kit), printed);
  return kind === "pdf" ? writeAsPdf(pages, setup, out, now) : writeAsSvg(pages, out);
}

/** A frame as the sheet names it. */
const sheetFrame = ({ name, sha256, assignment }: FrameCard, { lights }: Setup): SheetFrame => ({
  name,
  sha256,
  shows: showsWord(assignment?.shows, (lightId) => lights.find(({ id }) => id === lightId)?.tag ?? ""),
});

/** Pixels of the longer side of each picture, and how calm they are to be. */
const PICTURE_PX = 300;
const PICTURE_NOISE_STOPS = 0.1;
const PICTURE_SAMPLES = 16;

/** The layers of the setup traced small, and what becomes of them. */
async function picturesOf(setup: Setup, report: SetupReport, world: World): Promise<Result<readonly SheetPicture[]>> {
  if (setup.lights.every(({ on }) => !on)) {
    return failure(fault("picture-dark", "Every light is off", "lights", "Switch one on, or leave --pictures out."));
  }
  const { sensorWidthMm, sensorHeightMm, upright } = setup.camera;
  const [long, short] = [Math.max(sensorWidthMm, sensorHeightMm), Math.min(sensorWidthMm, sensorHeightMm)];
  const side = Math.round((PICTURE_PX * short) / long);
  const [width, height] = upright ? [side, PICTURE_PX] : [PICTURE_PX, side];
  const stop = new AbortController();
  void world.stopAsked().then(() => stop.abort());
  world.progress("tracing a small picture of each light");
  const traced = await renderSetup(setup, {
    ...{ width, height, noiseStops: PICTURE_NOISE_STOPS, mostSamples: PICTURE_SAMPLES, denoise: true },
    ...{
      signal: stop.signal,
      onPass: ({ samples }) => world.progress(`tracing, ${Math.round(samples)} paths a pixel`),
    },
  });
  world.progress(null);
  if (traced === null) return failure(fault("stopped", "Stopped before the sheet was made", "Ctrl-C", "Ask again."));
  const lifts = new Map(
    report.lights.map(({ lightId, underMainStops }) => [lightId, Math.max(0, underMainStops ?? 0)]),
  );
  return success(await smallPictures(setup, traced.layers, lifts));
}

function readWanted(words: Words): Result<Wanted> {
  const faults: Fault[] = [];
  const out = words.value("out");
  const ending = extname(out ?? "").toLowerCase();
  const kind = ending === ".pdf" ? "pdf" : ending === ".svg" ? "svg" : null;
  if (out === null)
    faults.push(fault("option-missing", "--out is missing", "--out", "Add --out FILE.pdf or FILE.svg."));
  else if (kind === null) {
    faults.push(fault("sheet-ending", `${quoted(out)} ends neither in .pdf nor in .svg`, "--out", "Name such a file."));
  } else if (kind === "pdf") {
    const free = checkNewFile(out);
    if (!free.ok) faults.push(...free.faults);
  }
  const named = (words.value("paper") ?? "a4").toLowerCase();
  const paper = Object.hasOwn(PAPERS, named) ? PAPERS[named] : undefined;
  if (paper === undefined) {
    const what = `${quoted(words.value("paper") ?? "")} is no paper that the sheet is made for`;
    faults.push(fault("not-a-choice", what, "--paper", "Write a4 or letter."));
  }
  if (faults.length > 0 || out === null || kind === null || paper === undefined) return failure(...faults);
  return success({ out, kind, options: { paper, units: words.has("feet") ? "feet" : "metres" } });
}

const PAPERS: Readonly<Record<string, SheetOptions["paper"]>> = { a4: "A4", letter: "Letter" };

/** "2026-11-03 14:05", by this machine's clock. */
function dateText(now: Date): string {
  const two = (n: number): string => String(n).padStart(2, "0");
  const day = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  return `${day} ${two(now.getHours())}:${two(now.getMinutes())}`;
}

async function writeAsPdf(pages: readonly SheetPage[], setup: Setup, out: string, date: Date): Promise<Result<Answer>> {
  const bytes = await writePdf(pages, { title: setup.title, date, fonts: await fontsFromPackage() });
  const written = writeNewFile(out, bytes);
  return written.ok ? success({ text: wroteText(pages, [out]) }) : written;
}

/** One file a page; all names must be free before the first is written. */
function writeAsSvg(pages: readonly SheetPage[], out: string): Result<Answer> {
  const names = pages.map((_, i) => (pages.length === 1 ? out : `${out.slice(0, -".svg".length)}-${i + 1}.svg`));
  const taken = names.map(checkNewFile).flatMap((free) => (free.ok ? [] : free.faults));
  if (taken.length > 0) return failure(...taken);
  for (const [i, page] of pages.entries()) {
    const written = writeNewFile(names[i] as string, `${toSvg(page, { palette: "print" })}\n`);
    if (!written.ok) return written;
  }
  return success({ text: wroteText(pages, names) });
}

function wroteText(pages: readonly SheetPage[], names: readonly string[]): string {
  const scale = pages.find(({ scaleOneTo }) => scaleOneTo !== null)?.scaleOneTo ?? null;
  const drawn = scale === null ? "" : `, drawn 1:${scale}`;
  return `${pages.length} ${pages.length === 1 ? "page" : "pages"}${drawn}: ${names.map(safe).join(", ")}`;
}
