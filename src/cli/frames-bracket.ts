/**
 * A bracket among the frames of a folder: processed frames of one subject in the same light at three or more exposures
 * that differ by known steps. From it the camera's response is recovered; the other frames go through it. Sameness is
 * judged by rank: where the light is the same, a brighter pixel stays the brighter one whatever the exposure and curve.
 */

import type { LookAnswer } from "../files/node.ts";
import {
  type BracketFrame,
  type LinearFrame,
  proxyOf,
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
  time: "counts" | "leave-out" = "counts",
): readonly ExposureGroup[] | null {
  const stops =
    stepStops === null
      ? exposureSteps(
          looks.map(({ sample }) => sample.exposure),
          time,
        )
      : looks.map((_, i) => i * stepStops);
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
        .map((look) => ({ look, rank: sameness(last.look.proxy, look.proxy) }))
        .sort((a, b) => b.rank - a.rank);
      if (best === undefined || best.rank < SAME_RANKS) continue;
      last = { stops, look: best.look };
      links.push(last);
    }
    return links;
  };
  return [...grow(groups.slice(0, at).toReversed()).toReversed(), first, ...grow(groups.slice(at + 1))];
}

/** Patches along the longer side that are compared: single pixels would be ranked by their noise. */
const PATCHES = 96;
/** Light of patches that are neither lost in black nor near the white level, by the file's own curve. */
const RANKED = [0.003, 0.9] as const;

/** Spearman's rank correlation of green over patches that neither frame clips or loses in black; 0 where too few serve. */
function sameness(first: LinearFrame, second: LinearFrame): number {
  if (first.width !== second.width || first.height !== second.height) return 0;
  const [a, b] = [proxyOf(first, PATCHES), proxyOf(second, PATCHES)];
  const pairs: (readonly [number, number])[] = [];
  for (let i = 0; i < a.clipped.length; i++) {
    const pair = [a.rgb[3 * i + 1] as number, b.rgb[3 * i + 1] as number] as const;
    const serves = pair.every((value) => value > RANKED[0] && value < RANKED[1]);
    if (serves && !a.clipped[i] && !b.clipped[i]) pairs.push(pair);
  }
  if (pairs.length < 100) return noDarker(a, b) ? SAME_RANKS : 0;
  return correlation(ranks(pairs.map(([x]) => x)), ranks(pairs.map(([, y]) => y)));
}

/** Where hardly a patch is left to rank: nowhere is the one frame brighter and elsewhere the other. */
function noDarker(a: LinearFrame, b: LinearFrame): boolean {
  let [up, down] = [0, 0];
  for (let i = 0; i < a.clipped.length; i++) {
    const step = (b.rgb[3 * i + 1] as number) - (a.rgb[3 * i + 1] as number);
    if (step > 0.001) up += 1;
    if (step < -0.001) down += 1;
  }
  return Math.min(up, down) < 0.005 * a.clipped.length && Math.max(up, down) > 0;
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
