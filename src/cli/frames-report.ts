/**
 * What the frames of a folder say: which lights each shows, whether they add up, how they lie to each other. The
 * mathematics is frames'; here the frames of one exposure are taken together and the questions are put.
 */

import type { LookAnswer } from "../files/node.ts";
import {
  type Assignment,
  assignFrames,
  checkSum,
  type GainBetween,
  gainBetween,
  type LinearFrame,
  meanLight,
  type NamedLight,
  NOTHING_THERE,
  type Shows,
  type SumCheck,
} from "../frames/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { exposureGroups, type FoundBracket } from "./frames-bracket.ts";
import { type GreyPlace, type GreyRow, greyRows } from "./frames-grey.ts";

export interface FrameRow {
  readonly look: LookAnswer;
  readonly assignment: Assignment;
  /** Mean luminance under that of the brightest frame that is no repeat and not set aside, stops; null when it is black. */
  readonly stopsUnderBrightest: number | null;
  /** Part of the proxy's pixels with a clipped one under them. */
  readonly clippedPart: number;
  /** Stops of exposure over the set's own, by the settings; null where they are not stated. */
  readonly exposureStops: number | null;
}

export interface FrameGain {
  readonly from: LinearFrame;
  readonly to: LinearFrame;
  readonly between: GainBetween;
}

export interface FramesReport {
  readonly rows: readonly FrameRow[];
  readonly bracket: FoundBracket | null;
  readonly mask: string | null;
  readonly sums: readonly SumCheck[];
  readonly gains: readonly FrameGain[];
  /** Null: no grey patch was named. */
  readonly grey: readonly GreyRow[] | null;
  readonly faults: readonly Fault[];
}

export interface ReportQuestion {
  readonly looks: readonly LookAnswer[];
  readonly bracket: FoundBracket | null;
  readonly lights: readonly NamedLight[];
  readonly mask: LookAnswer | null;
  /** Frames in the order of their names are so many stops apart. */
  readonly stepStops: number | null;
  readonly grey: GreyPlace | null;
  readonly whiteBalanceK: number;
  readonly faults: readonly Fault[];
}

/** Frames between which all gains are worked out; more would be a table nobody reads. */
const MOST_PAIRED = 24;

export function reportOf(question: ReportQuestion): Result<FramesReport> {
  const { looks, bracket } = question;
  const masked = question.mask === null ? success(looks) : maskedLooks(looks, question.mask);
  if (!masked.ok) return masked;
  // What lies outside the mask still tells which frame is which.
  const set = ownExposure(looks, question.stepStops);
  const assignments = assigned(looks, set, bracket, question.lights);
  const counted = masked.value.filter((_, i) => !["aside", "repeat"].includes(assignments[i]?.shows.kind ?? ""));
  const brightest = Math.max(...counted.map(({ proxy }) => meanLight(proxy)));
  const rows = masked.value.map((look, i): FrameRow => {
    const light = meanLight(look.proxy);
    return {
      look,
      assignment: assignments[i] as Assignment,
      stopsUnderBrightest: light > 0 && brightest > 0 ? Math.log2(brightest / light) : null,
      clippedPart: look.proxy.clipped.reduce((sum, mark) => sum + (mark & 1), 0) / look.proxy.clipped.length,
      exposureStops: set.stopsOf(looks[i] as LookAnswer),
    };
  });
  const sums = sumChecks(rows);
  const grey = question.grey === null ? null : greyOf(rows, question.grey, question.whiteBalanceK);
  return success({
    ...{ rows, bracket, mask: question.mask?.sample.name ?? null },
    ...{ sums: sums.checks, gains: gainsOf(rows), grey: grey?.rows ?? null },
    faults: [...question.faults, ...sums.faults, ...(grey?.faults ?? [])],
  });
}

/** Pixels where the mask is dark are not looked at. Fault: a mask of another size. */
function maskedLooks(looks: readonly LookAnswer[], mask: LookAnswer): Result<readonly LookAnswer[]> {
  const others = looks.filter((look) => look !== mask);
  const fits = others.filter(({ proxy }) => proxy.width === mask.proxy.width && proxy.height === mask.proxy.height);
  if (fits.length === 0) {
    const what = `The mask has ${mask.width} × ${mask.height} pixels, as no frame has`;
    return failure(fault("mask-size", what, mask.sample.name, "Give a mask of the frames' own size."));
  }
  const outside = mask.proxy.clipped.map((_, i) => ((mask.proxy.rgb[3 * i + 1] as number) > 0.25 ? 0 : NOTHING_THERE));
  return success(
    looks.map((look) => {
      if (!fits.includes(look)) return look;
      const clipped = look.proxy.clipped.map((mark, i) => mark | (outside[i] as number));
      return { ...look, proxy: { ...look.proxy, clipped } };
    }),
  );
}

interface ExposureSet {
  /** Frames at the exposure that most of them have. */
  readonly own: ReadonlySet<LookAnswer>;
  readonly stopsOf: (look: LookAnswer) => number | null;
}

function ownExposure(looks: readonly LookAnswer[], stepStops: number | null): ExposureSet {
  const groups = exposureGroups(looks, stepStops);
  if (groups === null) return { own: new Set(looks), stopsOf: () => null };
  const usual = groups.toSorted((a, b) => b.looks.length - a.looks.length)[0];
  const stops = new Map(groups.flatMap((group) => group.looks.map((look) => [look, group.stops] as const)));
  const base = usual?.stops ?? 0;
  return { own: new Set(usual?.looks ?? []), stopsOf: (look) => (stops.get(look) ?? base) - base };
}

/** Frames of one exposure are held against each other; those of a bracket at others repeat theirs. */
function assigned(
  looks: readonly LookAnswer[],
  set: ExposureSet,
  bracket: FoundBracket | null,
  lights: readonly NamedLight[],
): readonly Assignment[] {
  const inBracket = new Set(bracket?.frames.map(({ name }) => name));
  const onlyBracket = looks.every(({ sample }) => inBracket.has(sample.name));
  const anchor = looks.find((look) => inBracket.has(look.sample.name) && (onlyBracket || set.own.has(look)));
  const members = onlyBracket ? looks.filter((look) => look === anchor) : looks.filter((look) => set.own.has(look));
  const found = assignFrames(
    members.map(({ proxy }) => proxy),
    { lights },
  );
  const byId = new Map(found.map((assignment) => [assignment.frameId, assignment]));
  return looks.map((look): Assignment => {
    const own = byId.get(look.sample.id);
    if (own !== undefined) return own;
    const stops = set.stopsOf(look) ?? 0;
    const isStep = inBracket.has(look.sample.name) && anchor !== undefined && anchor !== look;
    const shows: Shows = isStep
      ? { kind: "repeat", ofFrameId: anchor.sample.id, stops: stops - (set.stopsOf(anchor) ?? 0) }
      : { kind: "aside" };
    const why = inBracket.has(look.sample.name)
      ? "a step of the bracket, by its settings"
      : `another exposure: ${stops.toFixed(2)} stop by its settings`;
    return { frameId: look.sample.id, name: look.sample.name, shows, confidence: 0.9, by: "looking", why };
  });
}

function greyOf(rows: readonly FrameRow[], place: GreyPlace, whiteBalanceK: number): ReturnType<typeof greyRows> {
  const lights = rows.flatMap(({ assignment: { shows }, look: { proxy } }) =>
    shows.kind === "light" ? [{ lightId: shows.lightId, frame: proxy }] : [],
  );
  const ambient = rows.find(({ assignment }) => assignment.shows.kind === "ambient")?.look.proxy ?? null;
  return greyRows(lights, ambient, place, whiteBalanceK);
}

/** Every frame of several lights against the sum of their own. */
function sumChecks(rows: readonly FrameRow[]): {
  readonly checks: readonly SumCheck[];
  readonly faults: readonly Fault[];
} {
  const faults: Fault[] = [];
  const ambient = rows.find(({ assignment }) => assignment.shows.kind === "ambient")?.look.proxy ?? null;
  const alone = new Map<string, LinearFrame>();
  for (const { assignment, look } of rows) {
    if (assignment.shows.kind === "light") alone.set(assignment.shows.lightId, look.proxy);
  }
  const checks = rows.flatMap(({ assignment: { shows, name }, look: { proxy } }) => {
    if (shows.kind !== "together") return [];
    const alones = shows.lightIds.flatMap((lightId) => {
      const frame = alone.get(lightId);
      return frame === undefined ? [] : [{ lightId, frame }];
    });
    const missing = shows.lightIds.filter((lightId) => !alone.has(lightId));
    const ofOneSize = [...alones.map(({ frame }) => frame), ...(ambient ? [ambient] : [])].every(
      ({ width, height }) => width === proxy.width && height === proxy.height,
    );
    if (missing.length > 0 || alones.length === 0 || !ofOneSize) {
      const what =
        missing.length > 0
          ? `No frame shows ${missing.join(", ")} alone`
          : "Its parts are not of its size, or there are none";
      faults.push(fault("sum-parts", what, name, "Shoot each light alone at the same settings."));
      return [];
    }
    return [checkSum({ together: proxy, alones, ambient })];
  });
  return { checks, faults };
}

/** Gains between any two frames of one size that are not set aside. */
function gainsOf(rows: readonly FrameRow[]): readonly FrameGain[] {
  const frames = rows.filter(({ assignment }) => assignment.shows.kind !== "aside").map(({ look }) => look.proxy);
  if (frames.length > MOST_PAIRED) return [];
  return frames.flatMap((from, i) =>
    frames.slice(i + 1).flatMap((to) => {
      if (from.width !== to.width || from.height !== to.height) return [];
      const between = gainBetween(from, to);
      return between === null ? [] : [{ from, to, between }];
    }),
  );
}
