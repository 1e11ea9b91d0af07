import assert from "node:assert/strict";
import { test } from "node:test";
import { counts } from "../../test/counts.ts";
import { exposureOf, frameFrom, type RenderedSet, renderSet } from "../../test/rendered-frames.ts";
import type { SceneOptions } from "../scene/index.ts";
import type { Setup } from "../setup/index.ts";
import { CODED_8, RAW_14, seededRandom } from "./camera-model.ts";
import { linearFrame } from "./linear.ts";
import type { CameraNoise, LinearFrame, WatchResult } from "./types.ts";
import { startWatch, type WatchState, watchFrame } from "./watch.ts";

const LEVEL = 0.7;
const SKINS = ["very-light", "light", "intermediate", "tan", "brown", "dark", "very-dark"] as const;
const HAIR = ["black", "dark", "mid", "fair", "grey"] as const;
const CUTS = ["short", "bob", "long", "tied"] as const;

/** One who sits: two frames' worth of how the head is held. */
type Seated = readonly RenderedSet[];

/** Sitters that differ in skin, hair, cut and how they sit, each in two poses a little apart; the clothes are the choir's. */
function sitters(count: number): readonly Seated[] {
  const random = seededRandom(99);
  const pick = <T>(of: readonly T[]): T => of[Math.floor(random.uniform() * of.length)] as T;
  return Array.from({ length: count }, (_, i): Seated => {
    const scene: SceneOptions = i === 0 ? {} : { skin: pick(SKINS), hair: pick(HAIR), cut: pick(CUTS) };
    const [yaw, pitch, body] = i === 0 ? [0, 0, 0] : [5 * random.normal(), 2 * random.normal(), random.normal()];
    return [0, 1].map((pose) => {
      const [dy, dp] = pose === 0 ? [0, 0] : [1.5 * random.normal(), random.normal()];
      const change = (setup: Setup): Setup => ({
        ...setup,
        subject: {
          ...setup.subject,
          headYawDeg: setup.subject.headYawDeg + yaw + dy,
          headPitchDeg: setup.subject.headPitchDeg + pitch + dp,
          bodyYawDeg: setup.subject.bodyYawDeg + body,
        },
      });
      return renderSet({ scene, change, denoise: true });
    });
  });
}

const seated = sitters(counts(4, 14));
const first = seated[0]?.[0] as RenderedSet;
const tags = first.lights.map(({ tag }) => tag);
/**
 * Parts of planted faults that must be told, and of frames that may say what was not planted: what is reached, short of
 * the aim (all, 0.95, 0.01). What is missed are the edge and the hair light, which reach nothing but sitters here, in
 * the first frame of one or on hair that hardly shows them.
 */
const MISFIRES_PART = 0.6;
const DRIFTS_PART = 0.8;
const FALSE_PART = 0.08;

/** The paper to both sides of the head. */
const places = [
  { x: 0, y: 0, width: 50, height: 170 },
  { x: 166, y: 0, width: 50, height: 170 },
];

function shoot(
  set: RenderedSet,
  name: string,
  stops: readonly (number | null)[],
  camera: CameraNoise,
  seed: number,
): LinearFrame {
  return linearFrame(
    frameFrom(
      set,
      name,
      exposureOf(set, stops).map((v) => v * LEVEL),
      camera,
      seed,
    ),
  );
}

function start(camera: CameraNoise): WatchState {
  const alones = tags.map((lightId, j) => ({
    lightId,
    frame: shoot(
      first,
      lightId,
      tags.map((_, i) => (i === j ? 0 : null)),
      camera,
      j + 1,
    ),
  }));
  return startWatch(alones, shoot(first, "none", [], camera, 9), { places });
}

interface Plant {
  readonly light: number;
  /** null: does not fire. */
  readonly stops: number | null;
  found?: boolean;
}

interface Tally {
  misfires: number;
  misfiresFound: number;
  drifts: number;
  driftsFound: number;
  small: number;
  smallFound: number;
  falseAlarms: number;
  frames: number;
  /** What was planted and never told, by light. */
  missed: string[];
}

/** A session of changing sitters; in a third of the frames one light misfires or drifts by 0.2 stop or more. */
function session(camera: CameraNoise, frames: number, seed: number): Tally {
  const random = seededRandom(seed);
  let state = start(camera);
  let [who, until] = [0, 6];
  let before: Plant | null = null;
  const tally: Tally = {
    misfires: 0,
    misfiresFound: 0,
    drifts: 0,
    driftsFound: 0,
    small: 0,
    smallFound: 0,
    falseAlarms: 0,
    missed: [],
    frames,
  };
  for (let k = 0; k < frames; k++) {
    const plant = random.uniform() < 1 / 3 && k > 2 ? plantOf(random) : null;
    // Flash repeats to two hundredths of a stop.
    const stops = tags.map((_, j) => {
      const own = 0.02 * random.normal();
      return plant?.light !== j ? own : plant.stops === null ? null : plant.stops + own;
    });
    // Five to nine frames, then the next sitter.
    if (k === until) [who, until] = [(who + 1) % seated.length, k + 5 + Math.floor(5 * random.uniform())];
    const set = seated[who]?.[random.uniform() < 0.5 ? 0 : 1] as RenderedSet;
    const step = watchFrame(state, shoot(set, String(420 + k), stops, camera, 1000 * seed + k));
    state = step.state;
    count(tally, plant, before, step.result);
    if (before && before.found !== true)
      tally.missed.push(`${tags[before.light]} ${before.stops?.toFixed(2) ?? "out"}`);
    before = plant;
  }
  return tally;
}

function plantOf(random: ReturnType<typeof seededRandom>): Plant {
  const light = Math.floor(random.uniform() * tags.length);
  if (random.uniform() < 0.35) return { light, stops: null };
  return { light, stops: (random.uniform() < 0.5 ? -1 : 1) * (0.2 + 0.6 * random.uniform()) };
}

/** An alarm counts for its own frame, or for the one before: of a new sitter's first frame it may come one late. */
function count(tally: Tally, plant: Plant | null, before: Plant | null, { alarms }: WatchResult): void {
  const idOf = (of: Plant | null): string | null => (of ? (tags[of.light] as string) : null);
  const hits = (of: Plant): boolean => alarms.some(({ lightId }) => lightId === idOf(of));
  const told = (of: Plant | null): number => (of !== null && of.found !== true && hits(of) ? 1 : 0);
  for (const one of [plant, before]) {
    if (!one || told(one) === 0) continue;
    one.found = true;
    if (one.stops === null) tally.misfiresFound++;
    else if (Math.abs(one.stops) >= 0.3) tally.driftsFound++;
    else tally.smallFound++;
  }
  const stray = alarms.some(({ lightId }) => lightId !== idOf(plant) && lightId !== idOf(before));
  tally.falseAlarms += stray ? 1 : 0;
  if (!plant) return;
  if (plant.stops === null) tally.misfires++;
  else if (Math.abs(plant.stops) >= 0.3) tally.drifts++;
  else tally.small++;
}

for (const [name, camera] of Object.entries({ "14-bit raw-like": RAW_14, "8-bit processed": CODED_8 })) {
  const frames = counts(60, 200);
  test(`over ${frames} frames of changing sitters most misfires and drifts are told: ${name} (seed 5)`, (t) => {
    const tally = session(camera, frames, 5);
    t.diagnostic(`${name}: ${JSON.stringify(tally)}`);
    assert.ok(tally.misfires >= 5 && tally.drifts >= 8);
    assert.ok(tally.misfiresFound >= MISFIRES_PART * tally.misfires, `${tally.misfiresFound} of ${tally.misfires}`);
    assert.ok(tally.driftsFound >= DRIFTS_PART * tally.drifts, `${tally.driftsFound} of ${tally.drifts}`);
    assert.ok(tally.falseAlarms <= FALSE_PART * frames, `${tally.falseAlarms} false`);
    // The main reaches the paper behind every sitter: none of its faults may be missed.
    const main = tally.missed.filter((words) => words === "M out" || Math.abs(Number(words.replace(/^M /, ""))) >= 0.3);
    assert.deepEqual(main, []);
  });
}

const rightAfter = (
  stops: readonly (number | null)[],
  seed = 50,
  expected?: ReadonlyMap<string, number>,
): WatchResult => {
  const before = watchFrame(start(RAW_14), shoot(first, "419", [0, 0, 0, 0], RAW_14, 40)).state;
  return watchFrame(before, shoot(first, "433", stops, RAW_14, seed), expected).result;
};
const wordsOf = ({ alarms }: WatchResult): string[] => alarms.map(({ words }) => words);

test("with one sitter each light that does not fire is named, and nothing is said when all do", () => {
  assert.deepEqual(wordsOf(rightAfter([0, 0, 0, 0])), []);
  tags.forEach((tag, j) => {
    const stops = tags.map((_, i) => (i === j ? null : 0));
    assert.deepEqual(wordsOf(rightAfter(stops, 60 + j)), [`${tag} did not fire in 433`]);
  });
});

test("a drift is told with its size and since when; all alike are the exposure", () => {
  assert.deepEqual(wordsOf(rightAfter([0, 0, -0.4, 0])), ["E down 0.4 in 433"]);
  assert.match(wordsOf(rightAfter([0.5, 0.5, 0.5, 0.5])).join(), /^Everything up 0\.5 in 433/);
  let state = watchFrame(start(RAW_14), shoot(first, "1", [0, 0, 0, 0], RAW_14, 70)).state;
  state = watchFrame(state, shoot(first, "2", [0, 0, 0, 0], RAW_14, 71)).state;
  state = watchFrame(state, shoot(first, "3", [-0.4, 0, 0, 0], RAW_14, 72)).state;
  assert.deepEqual(wordsOf(watchFrame(state, shoot(first, "4", [-0.4, 0, 0, 0], RAW_14, 73)).result), [
    "M down 0.4 in 4, since 3",
  ]);
});

test("a light turned on purpose is no alarm, one that was not turned then is", () => {
  const turned = new Map([[tags[3] as string, 1]]);
  assert.deepEqual(wordsOf(rightAfter([0, 0, 0, 1], 80, turned)), []);
  assert.equal(rightAfter([0, 0, 0, 0], 81, turned).alarms[0]?.lightId, tags[3]);
});

test("a frame of another size, or clipped throughout, is not judged", () => {
  const state = start(RAW_14);
  const frame = shoot(first, "x", [0, 0, 0, 0], RAW_14, 90);
  const cut = {
    ...frame,
    height: frame.height - 1,
    rgb: frame.rgb.subarray(3 * frame.width),
    clipped: frame.clipped.subarray(frame.width),
  };
  for (const odd of [cut, { ...frame, clipped: frame.clipped.map(() => 1) }]) {
    const { result, state: after } = watchFrame(state, odd);
    assert.deepEqual([result.usable, result.alarms.length], [false, 0]);
    assert.equal(after, state);
  }
});
