/** `predict`: what each light should read alone, where its dial should stand, and what the meter says together. */

import type { Setup } from "../setup/index.ts";
import {
  type LightReport,
  predict,
  type RatioReport,
  type RoomReport,
  type SetupReport,
  type TogetherReport,
} from "../solve/index.ts";
import { failure, fault, iso, printIso, type Result, success } from "../units/index.ts";
import { type Answer, type Command, DATA_OPTION, JSON_OPTION } from "./command.ts";
import { errorText, readingText, stopsText } from "./figures.ts";
import { columns, quoted, safe } from "./print.ts";
import { readSetup } from "./setup-input.ts";
import { whyText } from "./why.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

export const predictCommand: Command = {
  name: "predict",
  usage: "FILE.json | SETUP-ID",
  positionals: { least: 1, most: 1, mend: "Name a setup's file, its id in the book, or - for standard input." },
  options: [
    {
      name: "why",
      takes: "maybe",
      value: "TAG",
      help: "open every reading into its ledger, or that of one light or place",
    },
    DATA_OPTION,
    JSON_OPTION,
  ],
  notes: [
    "± is one standard deviation in stops, and each reading says what it rests on: catalogue, learned, metered. Alone",
    "readings are at each light's own meter place; together readings name their place, and which lights are shaded.",
    "--why M opens light M; --why=lit-cheek opens a together reading. --why takes the next word only if that is a tag",
    "of one or two characters. Example: stopwise predict examples/choir-headshots.json --why F",
  ],
  run: (words, world) => predicted(words, world),
};

async function predicted(words: Words, world: World): Promise<Result<Answer>> {
  const read = await readSetup(words, world);
  if (!read.ok) return read;
  const { setup } = read.value;
  const report = predict(setup);
  const opened = words.value("why");
  const text = words.has("why") ? whyOf(report, opened) : success(reportText(setup, report));
  if (!text.ok) return text;
  return success({ text: text.value, json: reportJson(setup, report) });
}

function whyOf(report: SetupReport, opened: string | null): Result<string> {
  const known = [
    ...report.lights.map(({ tag, predicted: p }) => ({ name: tag, title: `${tag} alone`, predicted: p })),
    ...report.together.map(({ id, name, predicted: p }) => ({ name: id, title: name, predicted: p })),
  ];
  const chosen = opened === null ? known : known.filter(({ name }) => name.toLowerCase() === opened.toLowerCase());
  if (chosen.length > 0) return success(chosen.map(({ title, predicted: p }) => whyText(title, p)).join("\n\n"));
  const names = known.map(({ name }) => safe(name)).join(", ");
  const what = opened === null ? "This setup has no light" : `${quoted(opened)} is no light or place of this setup`;
  return failure(fault("no-light", what, "--why", names === "" ? "Add a light." : `Write one of: ${names}.`));
}

/** The documented JSON: docs/schema/predict.json. */
export function reportJson(setup: Setup, report: SetupReport): unknown {
  const { id, title, invented, exposure } = setup;
  return { format: "stopwise-prediction", version: 1, setup: { id, title, invented, exposure }, report };
}

function reportText(setup: Setup, report: SetupReport): string {
  return [
    titleText(setup),
    "",
    lightTable(setup, report.lights),
    ...waysText(report.lights),
    "",
    togetherText(report),
    "",
  ]
    .concat(ratioText(report.ratios), roomText(report.room), driftText(report))
    .join("\n")
    .trimEnd();
}

/** "Choir headshots (invented)" and how the picture is exposed. */
export function titleText({ title, invented, exposure }: Setup): string {
  const { apertureAv, shutterMark, medium, framesPerSecond } = exposure;
  const frames = framesPerSecond === null ? "" : `, ${framesPerSecond} frames per second`;
  return [
    safe(title) + (invented ? " (invented)" : ""),
    `working ${readingText(apertureAv)}, ISO ${printIso(iso(exposure.iso))}, ${safe(shutterMark)} s, ${medium}${frames}`,
  ].join("\n");
}

function lightTable(setup: Setup, lights: readonly LightReport[]): string {
  const metered = lights.some(({ reading }) => reading !== null);
  const head = [
    "light",
    "dial",
    "predicted",
    "",
    "target",
    "",
    "plan",
    "",
    "reach",
    "rests on",
    metered ? "metered" : "",
    metered ? "turn" : "",
  ];
  const rows = lights.map((light) => lightRow(setup, light));
  return columns([head, ...rows]);
}

function lightRow(setup: Setup, report: LightReport): readonly string[] {
  const { tag, role, predicted: p, targetAv, targetWords, plan, reach, readingAv, turn } = report;
  const off = setup.lights.find(({ id }) => id === report.lightId)?.on === false ? ", off" : "";
  return [
    `${safe(tag)} ${role}${off}`,
    plan.dialFrom,
    readingText(p.av),
    errorText(p.sigmaStops),
    readingText(targetAv),
    targetWords,
    plan.words,
    `dial ${plan.dialTo}`,
    `${readingText(reach.lowestAv)} to ${readingText(reach.fullAv)}`,
    p.restsOn,
    readingAv === null ? "" : readingText(readingAv),
    turn === null ? "" : turn.state === "met" ? "met" : `${turn.words}, dial ${turn.dialTo}`,
  ];
}

/** Out of reach: what would bring it there. */
function waysText(lights: readonly LightReport[]): readonly string[] {
  return lights.flatMap(({ tag, plan, waysOut }) => {
    if (waysOut.length === 0) return [];
    const rows = waysOut.map((way) => [
      `  ${safe(way.label)}`,
      `dial ${way.dial}`,
      `remains ${stopsText(way.residualStops)}`,
      softness(way.softnessPercent),
      safe(way.note),
    ]);
    return ["", `${safe(tag)} is ${plan.words}. Ways out:`, columns(rows)];
  });
}

const softness = (percent: number): string =>
  Math.abs(percent) < 0.5 ? "as soft" : `${Math.abs(percent).toFixed(0)} % ${percent > 0 ? "softer" : "harder"}`;

function togetherText({ together, lights }: SetupReport): string {
  if (together.length === 0) return "Together: no place to read.";
  const tagOf = new Map(lights.map(({ lightId, tag }) => [lightId, safe(tag)]));
  const rows = together.map((reading) => togetherRow(reading, tagOf));
  return columns([["together", "predicted", "", "receptor", "shaded", "tone", "rests on", "metered"], ...rows]);
}

function togetherRow(report: TogetherReport, tagOf: ReadonlyMap<string, string>): readonly string[] {
  const { name, place, shaded, predicted: p, tone, reading } = report;
  return [
    safe(name),
    readingText(p.av),
    errorText(p.sigmaStops),
    `${place.receptor}, ${AIM[place.aim]}`,
    shaded.map((id) => tagOf.get(id) ?? "").join(" "),
    tone === null ? "" : `${(100 * tone).toFixed(0)} %`,
    p.restsOn,
    reading === null ? "" : readingText(reading.av),
  ];
}

const AIM = { light: "to the light", camera: "to the camera", normal: "flat on it" } as const;

function ratioText(ratios: readonly RatioReport[]): readonly string[] {
  if (ratios.length === 0) return [];
  const rows = ratios.map((ratio) => [
    `${ratio.convention === "light-to-light" ? "light to light" : "lit to shadow"}`,
    ratio.words,
    ratio.meteredWords ?? "",
    ratio.atTargetWords ?? "",
    safe(ratio.name),
  ]);
  return [columns([["ratio", "predicted", "metered", "at targets", ""], ...rows]), ""];
}

function roomText(room: RoomReport): readonly string[] {
  if (room.av === null) return ["The room gives nothing back."];
  const under = room.underWorkingStops === null ? "" : `, ${room.underWorkingStops.toFixed(1)} under working`;
  const panels =
    room.panelsTakeStops > 0.05 ? `; black panels take ${room.panelsTakeStops.toFixed(1)} stops of it` : "";
  return [
    `Room at the shadow cheek, all on: ${readingText(room.av)} ${errorText(room.sigmaStops)}${under}${panels} (rests on: ${room.restsOn}).`,
    `The most lit to shadow that it gives: ${room.mostLitToShadow.now}, without panels ${room.mostLitToShadow.bare}.`,
  ];
}

function driftText({ drift, lights }: SetupReport): readonly string[] {
  const tagOf = new Map(lights.map(({ lightId, tag }) => [lightId, safe(tag)]));
  return drift.map(
    ({ lightId, stops: moved, words }) => `${tagOf.get(lightId) ?? ""} drifted ${stopsText(moved)}: ${safe(words)}`,
  );
}
