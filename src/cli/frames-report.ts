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
  type SumCheck,
} from "../frames/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { exposureGroups, type FoundBracket } from "./frames-bracket.ts";
import { type GreyPlace, type GreyRow, greyRows } from "./frames-grey.ts";

export interface FrameRow {
  readonly look: LookAnswer;
  readonly assignment: Assignment;
  /** Its proxy as if shot at the set's own exposure, by the settings: what sums are made of. */
  readonly evened: LinearFrame;
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
  const { set, assignments, isFlash } = assignedBest(looks, question);
  const counted = masked.value.filter((_, i) => !["aside", "repeat"].includes(assignments[i]?.shows.kind ?? ""));
  const brightest = Math.max(...counted.map(({ proxy }) => meanLight(proxy)));
  const rows = masked.value.map((look, i): FrameRow => {
    const light = meanLight(look.proxy);
    return {
      look,
      assignment: assignments[i] as Assignment,
      evened: evened(look.proxy, set.stopsOf(looks[i] as LookAnswer)),
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
    faults: [...question.faults, ...(isFlash ? [flashFault()] : []), ...sums.faults, ...(grey?.faults ?? [])],
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

function ownExposure(
  looks: readonly LookAnswer[],
  stepStops: number | null,
  time: "counts" | "leave-out" = "counts",
): ExposureSet {
  const groups = exposureGroups(looks, stepStops, time);
  if (groups === null) return { own: new Set(looks), stopsOf: () => null };
  const usual = groups.toSorted((a, b) => b.looks.length - a.looks.length)[0];
  const stops = new Map(groups.flatMap((group) => group.looks.map((look) => [look, group.stops] as const)));
  const base = usual?.stops ?? 0;
  return { own: new Set(usual?.looks ?? []), stopsOf: (look) => (stops.get(look) ?? base) - base };
}

/** What counts, where a bracket does not settle it: the times too, or, where the frames add up only without them, not. */
function assignedBest(
  looks: readonly LookAnswer[],
  { bracket, lights, stepStops }: ReportQuestion,
): { readonly set: ExposureSet; readonly assignments: readonly Assignment[]; readonly isFlash: boolean } {
  const set = ownExposure(looks, stepStops);
  if (bracket !== null) return { set, assignments: assignedByBracket(looks, set, bracket, lights), isFlash: false };
  const assignments = assignFrames(
    looks.map((look) => evened(look.proxy, set.stopsOf(look))),
    { lights },
  );
  const timeless = ownExposure(looks, stepStops, "leave-out");
  const isSame = looks.every((look) => set.stopsOf(look) === timeless.stopsOf(look));
  const addsUp = (found: readonly Assignment[]): boolean =>
    found.some(({ shows, confidence }) => shows.kind === "together" && confidence > 0.6);
  if (isSame || stepStops !== null || addsUp(assignments)) return { set, assignments, isFlash: false };
  const anew = assignFrames(
    looks.map((look) => evened(look.proxy, timeless.stopsOf(look))),
    { lights },
  );
  return addsUp(anew) ? { set: timeless, assignments: anew, isFlash: true } : { set, assignments, isFlash: false };
}

const flashFault = (): Fault =>
  fault(
    "times-left-out",
    "The exposure times differ, and the frames add up only if they do not count: flash lit them",
    "Exif",
    "Shoot all frames of a set at one time, so that room light counts alike.",
  );

/** The frame as if shot at the set's own exposure: light in proportion. */
function evened(proxy: LinearFrame, stops: number | null): LinearFrame {
  if (stops === null || Math.abs(stops) < 1e-6) return proxy;
  const gain = 2 ** -stops;
  const { noise } = proxy;
  return {
    ...proxy,
    rgb: proxy.rgb.map((value) => gain * value),
    noise: { ...noise, perUnit: gain * noise.perUnit, floor: gain * gain * noise.floor },
  };
}

/** Frames of one exposure are held against each other; those of the bracket at others repeat theirs. */
function assignedByBracket(
  looks: readonly LookAnswer[],
  set: ExposureSet,
  bracket: FoundBracket,
  lights: readonly NamedLight[],
): readonly Assignment[] {
  const inBracket = new Set(bracket.frames.map(({ name }) => name));
  const onlyBracket = looks.every(({ sample }) => inBracket.has(sample.name));
  const anchor = looks.find((look) => inBracket.has(look.sample.name) && (onlyBracket || set.own.has(look)));
  const isStep = (look: LookAnswer): boolean =>
    anchor !== undefined && look !== anchor && inBracket.has(look.sample.name);
  const members = looks.filter((look) => !isStep(look));
  const found = assignFrames(
    members.map((look) => evened(look.proxy, set.stopsOf(look))),
    { lights },
  );
  const byId = new Map(found.map((assignment) => [assignment.frameId, assignment]));
  return looks.map((look): Assignment => {
    const own = byId.get(look.sample.id);
    if (own !== undefined && !isStep(look)) return own;
    const of = anchor as LookAnswer;
    const stops = (set.stopsOf(look) ?? 0) - (set.stopsOf(of) ?? 0);
    const told = { frameId: look.sample.id, name: look.sample.name, confidence: 0.9, by: "looking" } as const;
    return {
      ...told,
      shows: { kind: "repeat", ofFrameId: of.sample.id, stops },
      why: "a step of the bracket, by its settings",
    };
  });
}

function greyOf(rows: readonly FrameRow[], place: GreyPlace, whiteBalanceK: number): ReturnType<typeof greyRows> {
  const lights = rows.flatMap(({ assignment: { shows }, look: { proxy } }) =>
    shows.kind === "light" ? [{ lightId: shows.lightId, frame: proxy }] : [],
  );
  const ambient = rows.find(({ assignment }) => assignment.shows.kind === "ambient")?.look.proxy ?? null;
  return greyRows(lights, ambient, place, whiteBalanceK);
}

/** Every frame of several lights against the sum of their own, with the room of its own set. */
function sumChecks(rows: readonly FrameRow[]): {
  readonly checks: readonly SumCheck[];
  readonly faults: readonly Fault[];
} {
  const faults: Fault[] = [];
  const alone = new Map<string, LinearFrame>();
  for (const { assignment, evened: frame } of rows) {
    if (assignment.shows.kind === "light") alone.set(assignment.shows.lightId, frame);
  }
  const checks = rows.flatMap(({ assignment: { shows, name, set }, evened: together }) => {
    if (shows.kind !== "together") return [];
    const ambient =
      rows.find(({ assignment }) => assignment.shows.kind === "ambient" && assignment.set === set)?.evened ?? null;
    const alones = shows.lightIds.flatMap((lightId) => {
      const frame = alone.get(lightId);
      return frame === undefined ? [] : [{ lightId, frame }];
    });
    const missing = shows.lightIds.filter((lightId) => !alone.has(lightId));
    const ofOneSize = [...alones.map(({ frame }) => frame), ...(ambient ? [ambient] : [])].every(
      ({ width, height }) => width === together.width && height === together.height,
    );
    if (missing.length > 0 || alones.length === 0 || !ofOneSize) {
      const what =
        missing.length > 0
          ? `No frame shows ${missing.join(", ")} alone`
          : "Its parts are not of its size, or there are none";
      faults.push(fault("sum-parts", what, name, "Shoot each light alone at the same settings."));
      return [];
    }
    return [checkSum({ together, alones, ambient })];
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
