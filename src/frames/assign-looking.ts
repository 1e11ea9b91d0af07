/**
 * Which lights a frame shows, by looking at it, without a setup: frames are held against each other. Light adds, so the
 * frame that others add up to shows them together (`assign-sums.ts`), the one that lies under all others shows the room,
 * one that is another times a number repeats it. Masks and single frames of another size or subject are set aside with a
 * reason; several of another size or subject are a set of their own.
 */

import { type FoundSum, partUnder, sumsOf } from "./assign-sums.ts";
import { byNumbers } from "./assign-words.ts";
import { gainBetween } from "./gains.ts";
import { darkLimit, gridOf, lightOf, lightsOf, meanLight } from "./grid.ts";
import { withoutAmbient } from "./linear.ts";
import { logGradient } from "./register.ts";
import type { Assignment, Id, LinearFrame, Shows } from "./types.ts";

/** A repeat's patches lie within so many deviations, all but two in a hundred. */
const REPEAT_TAIL = 4;
/** All but five in a thousand: further off, a small light joined it. */
const REPEAT_FAR_TAIL = 6;
/** A repeat so near is the same exposure once more, stops. */
const SAME_STOPS = 0.15;
/** Patches that must lie under another frame, within noise, for the frame to be the room's. */
const UNDER_PART = 0.995;
/** The same under the brightest frame, that of all, which may lie off the others. */
const UNDER_BRIGHTEST = 0.9;
/** Edges of a frame lie on another's: mean rank of the other's gradients there; 0.5 is chance. */
const EDGES_AGREE = 0.62;
/** Mean of both frames' ranks from which they show one subject. */
const EDGES_ONE = 0.6;
/** So many frames of another size or subject are a set of their own. */
const FEWEST_OF_SET = 3;
/** Part of the patches that must be light, not black, for a frame's edges to tell. */
const LIT_PART = 0.05;

/** Frames may be of any size; lights are named "light-1"… in the order of the names, set after set. */
export function assignByLooking(frames: readonly LinearFrame[]): readonly Assignment[] {
  const found = new Map<Id, Assignment>();
  const ordered = [...frames].sort((a, b) => byNumbers(a.name, b.name));
  const put = (frame: LinearFrame, shows: Shows, confidence: number, why: string, set?: number): void => {
    const told = { frameId: frame.id, name: frame.name, shows, confidence, by: "looking" as const, why };
    found.set(frame.id, set === undefined ? told : { ...told, set });
  };
  const masks = ordered.filter(isMask);
  for (const frame of masks) put(frame, { kind: "aside" }, 0.9, "only black and white: a mask");
  const sets = setsOf(
    ordered.filter((frame) => !masks.includes(frame)),
    put,
  );
  let lights = 0;
  sets.forEach((members, k) => {
    const number = sets.length > 1 ? k + 1 : undefined;
    lights += assignSet(members, lights, (frame, shows, confidence, why) => put(frame, shows, confidence, why, number));
  });
  return frames.map(({ id }) => found.get(id) as Assignment);
}

type Put = (frame: LinearFrame, shows: Shows, confidence: number, why: string) => void;

/** The frames of one subject. Returns how many lights they show. */
function assignSet(ordered: readonly LinearFrame[], before: number, put: Put): number {
  const done = new Set<Id>();
  const say: Put = (frame, shows, confidence, why) => {
    done.add(frame.id);
    put(frame, shows, confidence, why);
  };
  const repeat = ({ frame, of, stops }: Repeat): void => {
    const why = `${of.name} times ${(2 ** stops).toFixed(2)} (${stops.toFixed(2)} stop)`;
    say(frame, { kind: "repeat", ofFrameId: of.id, stops }, 0.8, why);
  };
  const grids = ordered.map(gridOf);
  const early = repeatsOf(grids, null);
  early.forEach(repeat);
  // A frame that another one is times a number is of lights, not of the room, unless it is the same once more.
  const isStep = (grid: LinearFrame): boolean =>
    early.some(({ frame, of, stops }) => Math.abs(stops) > SAME_STOPS && (grid === frame || grid === of));
  const open = ordered.filter(({ id }) => !done.has(id));
  const { room, sums } = roomAndSums(open, (frame) => !isStep(grids[ordered.indexOf(frame)] as LinearFrame));
  if (room) {
    say(room.frame, { kind: "ambient" }, room.confidence, room.why);
    const rest = grids.filter(({ id }) => !done.has(id) && !sums.some(({ frame }) => frame.id === id));
    for (const grid of rest) {
      if (partUnder(grid, gridOf(room.frame)) < UNDER_PART) continue;
      say(grid, { kind: "repeat", ofFrameId: room.frame.id, stops: 0 }, 0.6, `as dark as ${room.frame.name}`);
    }
    repeatsOf(
      rest.filter(({ id }) => !done.has(id)),
      gridOf(room.frame),
    ).forEach(repeat);
  }
  const single = ordered.filter(({ id }) => !done.has(id));
  return sayLights(single, sums, room !== null, before, say);
}

function sayLights(
  single: readonly LinearFrame[],
  sums: readonly FoundSum[],
  hasRoom: boolean,
  before: number,
  say: Put,
): number {
  const alone = strangersOut(single, sums, say);
  const idOf = new Map(alone.map(({ id }, i) => [id, `light-${before + i + 1}`]));
  for (const sum of sums) {
    const lightIds = sum.parts.flatMap(({ id }) => idOf.get(id) ?? []);
    say(sum.frame, { kind: "together", lightIds }, ...sumWords(sum));
  }
  for (const frame of alone) {
    const lightId = idOf.get(frame.id) as string;
    const inSum = sums.some(({ parts }) => parts.includes(frame));
    const why = inSum ? "part of a sum" : "no sum of others, none of the others times a number";
    say(frame, { kind: "light", lightId }, inSum ? 0.85 : hasRoom ? 0.6 : 0.5, why);
  }
  return alone.length;
}

/** How sure a sum is, and why. */
function sumWords({ parts, left, how }: FoundSum): readonly [number, string] {
  const names = parts.map(({ name }) => name);
  const list = names.length > 5 ? `${names.slice(0, 2).join(" + ")} + … + ${names.at(-1)}` : names.join(" + ");
  const rest = `${list} leave ${(100 * left).toFixed(1)} % of it`;
  if (how === "as-shot") return [Math.max(0.6, 0.97 - 3 * left), rest];
  if (how === "changed") return [0.55, `${rest}, some of them stronger or weaker than alone`];
  return [0.55, `it lies over all of ${list} everywhere; they do not add up to it by ${(100 * left).toFixed(0)} %`];
}

interface Room {
  readonly frame: LinearFrame;
  readonly confidence: number;
  readonly why: string;
}

/** Stops under the next frame from which a frame under all others is the room's without asking the sums. */
const CLEARLY_UNDER = 1.5;

/** The frame of the room, if there is one, and the sums with it taken off: where both readings serve, the one that adds up. */
function roomAndSums(
  frames: readonly LinearFrame[],
  mayBe: (frame: LinearFrame) => boolean,
): { readonly room: Room | null; readonly sums: readonly FoundSum[] } {
  const found = darkest(frames);
  if (!found || !mayBe(found.frame)) return { room: null, sums: sumsOf(frames, null) };
  const with_ = sumsOf(
    frames.filter((frame) => frame !== found.frame),
    found.frame,
  );
  if (found.below > CLEARLY_UNDER) return { room: found, sums: with_ };
  const without = sumsOf(frames, null);
  const least = (sums: readonly FoundSum[]): number =>
    Math.min(1, ...sums.filter(({ how }) => how === "as-shot").map(({ left }) => left));
  const asLight = without.some(({ parts, how }) => how === "as-shot" && parts.includes(found.frame));
  if (asLight && least(without) < 0.7 * least(with_)) return { room: null, sums: without };
  return { room: found, sums: with_ };
}

/** Frames by size and subject: every set of its own; a few that fit nowhere are set aside. */
function setsOf(frames: readonly LinearFrame[], put: Put): readonly (readonly LinearFrame[])[] {
  const sizes = new Map<string, LinearFrame[]>();
  for (const frame of frames) {
    const size = `${frame.width} x ${frame.height}`;
    sizes.set(size, [...(sizes.get(size) ?? []), frame]);
  }
  const sorted = [...sizes].sort((a, b) => b[1].length - a[1].length);
  return sorted.flatMap(([size, members], k) => {
    if (k === 0 || members.length >= FEWEST_OF_SET) return subjectsOf(members);
    for (const frame of members) {
      put(frame, { kind: "aside" }, 0.9, `its proxy has ${size} pixels, the others' ${sorted[0]?.[0]}`);
    }
    return [];
  });
}

/** Frames of one size by subject: groups whose edges lie on none of the others'. One group unless each has enough frames. */
function subjectsOf(frames: readonly LinearFrame[]): readonly (readonly LinearFrame[])[] {
  const grids = frames.map(gridOf);
  const tells = grids.map(isLit);
  const edges = grids.map((grid) => logGradient(grid));
  const group = frames.map((_, i) => i);
  const join = (from: number, to: number): void => {
    for (const [i, own] of group.entries()) if (own === from) group[i] = to;
  };
  for (let i = 0; i < frames.length; i++) {
    for (let j = 0; j < i; j++) {
      if (group[i] === group[j] || !tells[i] || !tells[j]) continue;
      const [a, b] = [edges[i] as Float32Array, edges[j] as Float32Array];
      if (edgeRank(a, b) + edgeRank(b, a) > 2 * EDGES_ONE) join(group[i] as number, group[j] as number);
    }
  }
  const groups = [...new Set(group)].map((own) => frames.filter((_, i) => group[i] === own));
  const large = groups.filter(({ length }) => length >= FEWEST_OF_SET);
  if (large.length < 2) return [frames];
  const rest = frames.filter((frame) => !large.some((members) => members.includes(frame)));
  // What belongs to none (black frames, strangers) goes with the frame before it in the order of the names.
  const sets = large.map((members) => [...members]);
  for (const frame of rest) {
    const at = frames.indexOf(frame);
    const near = [...frames.slice(0, at).reverse(), ...frames.slice(at + 1)].find((other) => !rest.includes(other));
    sets.find((members) => members.includes(near as LinearFrame))?.push(frame);
  }
  return sets.map((members) => members.sort((a, b) => frames.indexOf(a) - frames.indexOf(b)));
}

/** Whether enough of a frame is not black for its edges to tell. */
function isLit(grid: LinearFrame): boolean {
  const dark = 2 * darkLimit(grid);
  return lightsOf(grid).filter((light) => light > dark).length > LIT_PART * grid.clipped.length;
}

/** Frames of single lights; one that is in no sum and whose edges lie on no other frame's is set aside. */
function strangersOut(single: readonly LinearFrame[], sums: readonly FoundSum[], put: Put): readonly LinearFrame[] {
  const grids = new Map(single.map((frame) => [frame, gridOf(frame)]));
  const edges = new Map(single.map((frame) => [frame, logGradient(grids.get(frame) as LinearFrame)]));
  return single.filter((frame) => {
    if (sums.some((sum) => sum.frame === frame)) return false;
    const others = single.filter((other) => other !== frame);
    if (others.length < 2 || sums.some(({ parts }) => parts.includes(frame))) return true;
    if (!isLit(grids.get(frame) as LinearFrame)) return true;
    const own = edges.get(frame) as Float32Array;
    const rank = Math.max(...others.map((other) => edgeRank(own, edges.get(other) as Float32Array)));
    if (rank > EDGES_AGREE) return true;
    put(
      frame,
      { kind: "aside" },
      0.6,
      `its edges lie on no other frame's (${rank.toFixed(2)}; chance 0.5): another subject`,
    );
    return false;
  });
}

/** Mean rank 0…1, in the other frame, of the gradients where this frame has its strongest twentieth. */
function edgeRank(own: Float32Array, other: Float32Array): number {
  const count = own.length;
  const rank = new Float32Array(count);
  [...other.keys()]
    .sort((a, b) => (other[a] as number) - (other[b] as number))
    .forEach((i, place) => {
      rank[i] = place / count;
    });
  const strongest = [...own.keys()]
    .sort((a, b) => (own[b] as number) - (own[a] as number))
    .slice(0, Math.ceil(count / 20));
  return strongest.reduce((sum, i) => sum + (rank[i] as number), 0) / strongest.length;
}

/** Nearly every pixel is black or clipped, and both are there. */
function isMask({ rgb, clipped }: LinearFrame): boolean {
  let [black, white] = [0, 0];
  for (let i = 0; i < clipped.length; i++) {
    if (clipped[i]) white++;
    else if (lightOf(rgb, i) < 1e-3) black++;
  }
  return black + white > 0.97 * clipped.length && white > 0.005 * clipped.length;
}

/** The frame that lies under all others everywhere, within noise. */
function darkest(frames: readonly LinearFrame[]): (Room & { readonly below: number }) | null {
  const [low, ...others] = frames
    .map((frame) => ({ frame, grid: gridOf(frame), mean: meanLight(gridOf(frame)) }))
    .sort((a, b) => a.mean - b.mean);
  const [next] = others;
  if (!low || !next || others.length < 2) return null;
  const brightest = others.at(-1);
  const isOver = (other: { readonly grid: LinearFrame }): boolean =>
    partUnder(low.grid, other.grid) >= (other === brightest ? UNDER_BRIGHTEST : UNDER_PART);
  if (!others.every(isOver)) return null;
  const below = Math.log2(Math.max(1e-6, next.mean) / Math.max(1e-6, low.mean));
  if (below < LEAST_UNDER) return null;
  const why = `under every other frame everywhere, ${below.toFixed(1)} stop under the next`;
  return { frame: low.frame, below, confidence: Math.min(0.95, 0.5 + 0.15 * below), why };
}

/** Stops of the mean under the next frame that make a room of a frame under all others. */
const LEAST_UNDER = 0.03;

interface Repeat {
  readonly frame: LinearFrame;
  readonly of: LinearFrame;
  readonly stops: number;
}

/** Frames that are an earlier one times a number. */
function repeatsOf(grids: readonly LinearFrame[], ambient: LinearFrame | null): readonly Repeat[] {
  const found: Repeat[] = [];
  grids.forEach((frame, i) => {
    for (const of of grids.slice(0, i)) {
      if (found.some((repeat) => repeat.frame === of)) continue;
      const gain = gainBetween(withoutAmbient(of, ambient), withoutAmbient(frame, ambient)) ?? gainBetween(of, frame);
      if (gain === null || gain.tail > REPEAT_TAIL || gain.farTail > REPEAT_FAR_TAIL) continue;
      found.push({ frame, of, stops: gain.stops });
      return;
    }
  });
  return found;
}
