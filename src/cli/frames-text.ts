/** The frames' report as text for people and as the documented JSON (docs/schema/frames.json). */

import { isSketch, type Shows, type SumCheck } from "../frames/index.ts";
import { formatFault } from "../units/index.ts";
import type { GreyRow } from "./frames-grey.ts";
import type { FrameGain, FrameRow, FramesReport } from "./frames-report.ts";
import { columns, safe, wrapped } from "./print.ts";

/** A light's word: its tag with a setup, else the id it was given. */
export type NameOfLight = (lightId: string) => string;

export function framesText(report: FramesReport, nameOf: NameOfLight): string {
  const nameOfFrame = new Map(report.rows.map(({ look }) => [look.sample.id, look.sample.name]));
  const parts = [
    frameTable(report.rows, nameOf, nameOfFrame),
    basisText(report),
    setsText(report.rows),
    ...(report.sums.length === 0 ? [noSumText(report.rows)] : []),
    ...report.sums.map((sum) => sumText(sum, nameOf, nameOfFrame)),
    greyText(report, nameOf),
    gainsText(report.gains),
    oddText(report),
  ];
  return parts.filter((part) => part !== "").join("\n\n");
}

function frameTable(rows: readonly FrameRow[], nameOf: NameOfLight, nameOfFrame: ReadonlyMap<string, string>): string {
  const head = ["frame", "shows", "sure", "under the brightest", "clipped", "pixels", "bits", "basis"];
  const lines = rows.map(({ look, assignment, stopsUnderBrightest, clippedPart, exposureStops }) => [
    safe(look.sample.name),
    showsText(assignment.shows, nameOf, nameOfFrame) + exposureText(assignment.shows, exposureStops),
    `${Math.round(100 * assignment.confidence)} %`,
    stopsUnderBrightest === null ? "black" : stopsUnderBrightest.toFixed(2),
    clippedPart === 0 ? "" : `${(100 * clippedPart).toFixed(1)} %`,
    `${look.width} × ${look.height}`,
    String(look.sample.image.bits),
    basisWords(look.proxy.basis),
  ]);
  return columns([head, ...lines], [2, 3, 4]);
}

export const basisWords = (basis: FrameRow["look"]["proxy"]["basis"]): string =>
  ({ raw: "raw", "linear-file": "linear file", recovered: "recovered response", profile: "profile, a sketch" })[basis];

function showsText(shows: Shows, nameOf: NameOfLight, nameOfFrame: ReadonlyMap<string, string>): string {
  switch (shows.kind) {
    case "light":
      return safe(nameOf(shows.lightId));
    case "together":
      return `together: ${shows.lightIds.map((id) => safe(nameOf(id))).join(" + ")}`;
    case "ambient":
      return "the room, every light off";
    case "repeat":
      return `${safe(nameOfFrame.get(shows.ofFrameId) ?? "another")} again, ${signed(shows.stops)} stop`;
    case "session":
      return "later in the session";
    default:
      return "set aside";
  }
}

/** That a frame was shot at another exposure than most; sums are made as if at theirs. */
const exposureText = ({ kind }: Shows, stops: number | null): string =>
  stops === null || Math.abs(stops) < 0.08 || kind === "repeat" ? "" : ` (exposed ${signed(stops)} stop)`;

/** Two decimals with a true sign: what a camera's numbers carry. */
const signed = (stops: number): string => `${stops < 0 ? "−" : "+"}${Math.abs(stops).toFixed(2)}`;

function basisText({ bracket, rows, mask }: FramesReport): string {
  const lines: string[] = [];
  if (mask !== null) lines.push(`Only what the mask ${safe(mask)} shows is looked at.`);
  if (bracket !== null) {
    const { frames, recovered, steps } = bracket;
    lines.push(`Response recovered from a bracket of ${frames.length}, ${recovered.rmsStops.toFixed(3)} stop RMS:`);
    for (const { from, to, askedStops, foundStops, pixels } of steps) {
      const found = foundStops === null ? "too few pixels" : `${signed(foundStops)} found`;
      lines.push(`  ${safe(from)} to ${safe(to)}: ${signed(askedStops)} set, ${found} (${pixels} pixels)`);
    }
  } else if (rows.some(({ look }) => isSketch(look.proxy.basis))) {
    lines.push(
      "Processed files by their own curve: stops between them are a sketch. Raw, or a bracket, would measure.",
    );
  }
  return lines.join("\n");
}

/** Several subjects or sizes, each with frames of its own. */
function setsText(rows: readonly FrameRow[]): string {
  const sets = new Map<number, string[]>();
  for (const { assignment, look } of rows) {
    const { set } = assignment;
    if (set !== undefined) sets.set(set, [...(sets.get(set) ?? []), safe(look.sample.name)]);
  }
  if (sets.size < 2) return "";
  const lines = [...sets].map(([set, names]) => `  set ${set}: ${names[0]} … ${names.at(-1)}, ${names.length} frames`);
  return [`${sets.size} sets, of different subjects or sizes; each is checked by itself:`, ...lines].join("\n");
}

/** Why nothing is added up, where there are lights that could be. */
function noSumText(rows: readonly FrameRow[]): string {
  const lights = rows.filter(({ assignment }) => assignment.shows.kind === "light").length;
  if (lights < 2) return "";
  return "No frame shows several of these lights together, so nothing tells whether they add up. Shoot one with all of them.";
}

function sumText(sum: SumCheck, nameOf: NameOfLight, nameOfFrame: ReadonlyMap<string, string>): string {
  const { counts } = sum;
  const all = counts.usable + counts.clipped + counts.dark + counts.outside;
  const part = (count: number): string => `${((100 * count) / Math.max(1, all)).toFixed(0)} %`;
  const ambient = sum.ambientId === null ? "no frame of the room" : "the room taken off once";
  const gains = sum.gains.map(
    ({ lightId, stops, sigmaStops }) =>
      `${safe(nameOf(lightId))} ${stops === null ? "nothing" : `${signed(stops)} ± ${sigmaStops.toFixed(2)}`}`,
  );
  const lines = [
    `${safe(nameOfFrame.get(sum.togetherId) ?? "together")} against the sum of ${sum.lightIds.map((id) => safe(nameOf(id))).join(" + ")} (${ambient}): ${sum.verdict}`,
    `  differs by ${sum.rmsStops.toFixed(3)} stop RMS, median ${signed(sum.medianStops)}, 95 % within ${sum.p95Stops.toFixed(3)}; noise alone ${sum.noiseStops.toFixed(3)}`,
    `  of ${all} patches ${part(counts.usable)} usable, ${part(counts.clipped)} clipped, ${part(counts.dark)} too dark, ${part(counts.outside)} outside`,
    `  best gains ${gains.join(", ")}; then ${sum.rmsAfterGains.toFixed(3)} stop RMS`,
    ...sum.causes.map(({ words }) => `  ${safe(words)}`),
  ];
  return lines.join("\n");
}

function greyText({ grey }: FramesReport, nameOf: NameOfLight): string {
  if (grey === null) return "";
  const rows = grey.map(({ lightId, under, white }) => [
    `  ${safe(nameOf(lightId))}`,
    under === null ? "not told" : `${under.stops.toFixed(2)} ± ${under.sigmaStops.toFixed(2)}`,
    white === null ? "not told" : `${white.kelvin.toFixed(0)} K`,
    white === null
      ? ""
      : `${white.mired.toFixed(0)} mired (${white.miredOver < 0 ? "−" : "+"}${Math.abs(white.miredOver).toFixed(0)})`,
    white === null ? "" : `Duv ${white.duv < 0 ? "−" : "+"}${Math.abs(white.duv).toFixed(4)}`,
  ]);
  return ["On the grey patch: stops under the brightest light there, white of each light:", columns(rows, [1])].join(
    "\n",
  );
}

/** One number says a gain when nearly all patches agree within their noise and 0.03 stop. */
const ONE_NUMBER = 4;

/** Only frames that repeat each other; two lights differ from place to place, and the JSON has those too. */
function gainsText(gains: readonly FrameGain[]): string {
  const alike = gains.filter(({ between }) => between.tail <= ONE_NUMBER);
  if (alike.length === 0) return "";
  const rows = alike.map(({ from, to, between }) => [
    `  ${safe(from.name)} to ${safe(to.name)}`,
    signed(between.stops),
    `± ${between.sigmaStops.toFixed(3)}`,
  ]);
  return ["Frames that are others times one number, stops:", columns(rows, [1])].join("\n");
}

function oddText({ rows, faults }: FramesReport): string {
  const notes = rows.flatMap(({ look }) => look.sample.notes);
  const seen = new Map<string, { words: string; names: string[] }>();
  for (const note of notes) {
    const known = seen.get(note.code);
    if (known === undefined) seen.set(note.code, { words: `${note.what}. ${note.mend}`, names: [note.where] });
    else known.names.push(note.where);
  }
  const lines = [...seen.values()].map(({ words, names }) => {
    const which =
      names.length > 2 ? `${safe(names[0] ?? "")} and ${names.length - 1} more` : names.map(safe).join(", ");
    return wrapped(`${which}: ${safe(words)}`, "  ");
  });
  const bad = faults.map((each) => `  ${safe(formatFault(each))} [${each.code}]`);
  return [
    ...(lines.length > 0 ? ["What is odd, and was read anyway:", ...lines] : []),
    ...(bad.length > 0 ? ["Not read, or not checked:", ...bad] : []),
  ].join("\n");
}

export function framesJson(folder: string, report: FramesReport): unknown {
  return {
    format: "stopwise-frames",
    version: 1,
    folder,
    frames: report.rows.map(frameJson),
    mask: report.mask,
    bracket: bracketJson(report),
    sums: report.sums.map(sumJson),
    gains: report.gains.map(({ from, to, between }) => ({
      ...{ from: from.id, to: to.id, stops: between.stops, sigmaStops: between.sigmaStops },
      ...{ patches: between.patches, oneNumber: between.tail <= ONE_NUMBER },
    })),
    grey: report.grey?.map(greyJson) ?? null,
    faults: report.faults,
  };
}

function greyJson({ frame, lightId, under, white }: GreyRow): unknown {
  return {
    ...{ frame: frame.id, lightId, stopsUnder: under?.stops ?? null, sigmaStops: under?.sigmaStops ?? null },
    white: white && { kelvin: white.kelvin, mired: white.mired, miredOver: white.miredOver, duv: white.duv },
  };
}

function frameJson({ look, assignment, stopsUnderBrightest, clippedPart, exposureStops }: FrameRow): unknown {
  const { sample, proxy, width, height, bytes } = look;
  const { bits, encoding, source, whiteLevel, blackLevels, balance } = sample.image;
  return {
    ...{ id: sample.id, name: sample.name, sha256: sample.sha256, bytes, width, height, bits },
    ...{ source, encoding, basis: proxy.basis, whiteLevel, blackLevels, balance },
    profile: sample.image.profile?.name ?? null,
    exposure: sample.exposure,
    exposureStops,
    stopsUnderBrightest,
    clippedPart,
    shows: assignment.shows,
    confidence: assignment.confidence,
    by: assignment.by,
    why: assignment.why,
    set: assignment.set ?? 1,
    notes: sample.notes,
  };
}

function bracketJson({ bracket }: FramesReport): unknown {
  if (bracket === null) return null;
  const { frames, recovered, steps } = bracket;
  return {
    frames: frames.map(({ name, stops }) => ({ name, stops })),
    rmsStops: recovered.rmsStops,
    codesSeen: recovered.seen,
    steps,
  };
}

function sumJson(sum: SumCheck): unknown {
  const { togetherId, lightIds, ambientId, counts, rmsStops, medianStops, p95Stops, noiseStops } = sum;
  const { verdict, gains, rmsAfterGains, causes, shift } = sum;
  return {
    ...{ together: togetherId, lightIds, ambient: ambientId, verdict },
    patches: { across: sum.width, down: sum.height, ...counts },
    ...{ rmsStops, medianStops, p95Stops, noiseStops, gains, rmsAfterGains },
    shift: { x: shift.x, y: shift.y, verdict: shift.verdict },
    causes: causes.map(({ kind, lightId, figure, where, words }) => ({ kind, lightId, figure, where, words })),
  };
}
