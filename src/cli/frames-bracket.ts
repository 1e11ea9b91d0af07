/**
 * A bracket among the frames of a folder: processed frames of one subject in the same light at three or more exposures
 * that differ by known steps. From it the camera's response is recovered; the other frames go through it. Sameness is
 * judged by rank: where the light is the same, a brighter pixel stays the brighter one whatever the exposure and curve.
 */

import type { LookAnswer } from "../files/node.ts";
import {
  type BracketFrame,
  type FrameImage,
  type Recovered,
  recoverResponse,
  type StepBack,
  stepsBack,
} from "../frames/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { exposureSteps } from "./frames-settings.ts";

export interface FoundBracket {
  readonly frames: readonly BracketFrame[];
  readonly recovered: Recovered;
  /** Each step measured through the curve, on pixels that it was not made from. */
  readonly steps: readonly StepBack[];
}

/** Frames at one exposure. */
export interface ExposureGroup {
  readonly stops: number;
  readonly looks: readonly LookAnswer[];
}

/** Steps nearer than this are one exposure. */
const SAME_STOPS = 0.08;
const FEWEST_EXPOSURES = 3;
const SAME_RANKS = 0.85;
/** A curve that leaves more is of frames that were no bracket, stops RMS. */
const WORST_RMS = 0.25;

/** Frames by their exposure, darkest first; null where the files do not state it. `stepStops`: so far apart, in order. */
export function exposureGroups(
  looks: readonly LookAnswer[],
  stepStops: number | null,
): readonly ExposureGroup[] | null {
  const stops =
    stepStops === null ? exposureSteps(looks.map(({ sample }) => sample.exposure)) : looks.map((_, i) => i * stepStops);
  if (stops === null) return null;
  const groups: { stops: number; looks: LookAnswer[] }[] = [];
  looks.forEach((look, i) => {
    const own = stops[i] as number;
    const group = groups.find((each) => Math.abs(each.stops - own) < SAME_STOPS);
    if (group === undefined) groups.push({ stops: own, looks: [look] });
    else group.looks.push(look);
  });
  return groups.sort((a, b) => a.stops - b.stops);
}

/** Null where there is no bracket; a fault where there is one that no curve explains. */
export function findBracket(looks: readonly LookAnswer[], stepStops: number | null): Result<FoundBracket | null> {
  const coded = looks.filter(({ sample }) => sample.image.encoding === "coded");
  const groups = exposureGroups(coded, stepStops);
  if (groups === null || groups.length < FEWEST_EXPOSURES) return success(null);
  const chain = stepStops === null ? chainOf(groups) : groups.map(linkOf);
  if (chain.length < FEWEST_EXPOSURES) return success(null);
  const frames = chain.map(({ stops, look }) => ({ name: look.sample.name, image: look.sample.image, stops }));
  const recovered = recoverResponse(frames);
  if (!recovered.ok) return failure(...recovered.faults.map(asBracketFault));
  if (recovered.value.rmsStops > WORST_RMS) return failure(noCurve(recovered.value.rmsStops));
  const check = recoverResponse(frames, { half: "even" });
  const steps = stepsBack(frames, (check.ok ? check.value : recovered.value).curve, { half: "odd" });
  return success({ frames, recovered: recovered.value, steps });
}

const noCurve = (rmsStops: number): Fault =>
  asBracketFault(
    fault(
      "response-doubtful",
      `Frames at several exposures fit one curve only within ${rmsStops.toFixed(2)} stop: the light changed as well`,
      "bracket",
      "Shoot the bracket of one subject in the same light.",
    ),
  );

const asBracketFault = (found: Fault): Fault =>
  fault(found.code, found.what, "bracket", `${found.mend} The files' own curve is used meanwhile, a sketch.`);

interface Link {
  readonly stops: number;
  readonly look: LookAnswer;
}

const linkOf = ({ stops, looks }: ExposureGroup): Link => ({ stops, look: looks[0] as LookAnswer });

/** One frame of each exposure, each like the one before it; begun from the group that leaves no choice. */
function chainOf(groups: readonly ExposureGroup[]): readonly Link[] {
  const start = groups.toSorted((a, b) => a.looks.length - b.looks.length)[0] as ExposureGroup;
  const first = linkOf(start);
  const at = groups.indexOf(start);
  const grow = (rest: readonly ExposureGroup[]): readonly Link[] => {
    const links: Link[] = [];
    let last = first;
    for (const { stops, looks } of rest) {
      const [best] = looks
        .map((look) => ({ look, rank: sameness(last.look.sample.image, look.sample.image) }))
        .sort((a, b) => b.rank - a.rank);
      if (best === undefined || best.rank < SAME_RANKS) continue;
      last = { stops, look: best.look };
      links.push(last);
    }
    return links;
  };
  return [...grow(groups.slice(0, at).toReversed()).toReversed(), first, ...grow(groups.slice(at + 1))];
}

/** Pixels compared. */
const MOST_RANKED = 3000;

/** Spearman's rank correlation of green over pixels that neither frame clips or loses in black; 0 where too few serve. */
function sameness(a: FrameImage, b: FrameImage): number {
  if (a.width !== b.width || a.height !== b.height) return 0;
  const stride = 3 * Math.max(1, Math.floor(a.rgb.length / 3 / MOST_RANKED));
  const pairs: (readonly [number, number])[] = [];
  for (let i = 1; i < a.rgb.length; i += stride) {
    const pair = [a.rgb[i] as number, b.rgb[i] as number] as const;
    if (pair.every((value) => value > 0.03 && value < 0.97)) pairs.push(pair);
  }
  if (pairs.length < 100) return noDarker(a, b, stride) ? SAME_RANKS : 0;
  return correlation(ranks(pairs.map(([x]) => x)), ranks(pairs.map(([, y]) => y)));
}

/** Where hardly a pixel is left to rank: nowhere is the one frame brighter and elsewhere the other. */
function noDarker(a: FrameImage, b: FrameImage, stride: number): boolean {
  let [up, down, all] = [0, 0, 0];
  for (let i = 1; i < a.rgb.length; i += stride) {
    const step = (b.rgb[i] as number) - (a.rgb[i] as number);
    if (step > 0.01) up += 1;
    if (step < -0.01) down += 1;
    all += 1;
  }
  return Math.min(up, down) < 0.005 * all && Math.max(up, down) > 0;
}

/** Places in order; equal values share the mean of theirs. */
function ranks(values: readonly number[]): readonly number[] {
  const order = values.map((_, i) => i).sort((i, j) => (values[i] as number) - (values[j] as number));
  const placed = new Array<number>(values.length).fill(0);
  for (let start = 0; start < order.length; ) {
    let end = start;
    while (end < order.length && values[order[end] as number] === values[order[start] as number]) end += 1;
    for (let k = start; k < end; k++) placed[order[k] as number] = (start + end - 1) / 2;
    start = end;
  }
  return placed;
}

function correlation(x: readonly number[], y: readonly number[]): number {
  const mean = (x.length - 1) / 2;
  let [xy, xx, yy] = [0, 0, 0];
  for (let i = 0; i < x.length; i++) {
    const [dx, dy] = [(x[i] as number) - mean, (y[i] as number) - mean];
    xy += dx * dy;
    xx += dx * dx;
    yy += dy * dy;
  }
  return xx > 0 && yy > 0 ? xy / Math.sqrt(xx * yy) : 0;
}
