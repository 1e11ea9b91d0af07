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
 * the aim (all, 0.95, 0.01). What is missed are drifts of the hair light, which reaches little but hair here, and what is
 * told falsely is mostly a head that turned.
 */
const MISFIRES_PART = 0.85;
const DRIFTS_PART = 0.6;
const FALSE_PART = 0.1;

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
  readonly frame: number;
  readonly light: number;
  /** null: does not fire. */
  readonly stops: number | null;
}

interface Told extends Plant {
  /** Frames until it was told; null: not within the next three. */
  readonly delay: number | null;
}

interface Session {
  readonly plants: readonly Told[];
  /** Frames that said of a frame what was not planted there. */
  readonly falsely: readonly string[];
}

/** Frames after its own in which a fault may be told. */
const LATEST = 3;

/** A session of changing sitters; in a third of the frames one light misfires or drifts by 0.2 stop or more. */
function session(camera: CameraNoise, frames: number, seed: number): Session {
  const random = seededRandom(seed);
  let state = start(camera);
  let [who, until] = [0, 6];
  const plants: Plant[] = [];
  const results: WatchResult[] = [];
  for (let k = 0; k < frames; k++) {
    const plant = random.uniform() < 1 / 3 && k > 2 ? plantOf(random, k) : null;
    // Flash repeats to two hundredths of a stop.
    const stops = tags.map((_, j) => {
      const own = 0.02 * random.normal();
      return plant?.light !== j ? own : plant.stops === null ? null : plant.stops + own;
    });
    // Five to nine frames, then the next sitter.
    if (k === until) [who, until] = [(who + 1) % seated.length, k + 5 + Math.floor(5 * random.uniform())];
    const set = seated[who]?.[random.uniform() < 0.5 ? 0 : 1] as RenderedSet;
    const step = watchFrame(state, shoot(set, nameOf(k), stops, camera, 1000 * seed + k));
    state = step.state;
    results.push(step.result);
    if (plant) plants.push(plant);
  }
  return counted(plants, results);
}

const nameOf = (frame: number): string => String(420 + frame);

function plantOf(random: ReturnType<typeof seededRandom>, frame: number): Plant {
  const light = Math.floor(random.uniform() * tags.length);
  if (random.uniform() < 0.35) return { frame, light, stops: null };
  return { frame, light, stops: (random.uniform() < 0.5 ? -1 : 1) * (0.2 + 0.6 * random.uniform()) };
}

/** An alarm must name the frame and the light, in that frame's result or one of the next three; all others are false. */
function counted(plants: readonly Plant[], results: readonly WatchResult[]): Session {
  const meant = (plant: Plant, k: number): boolean =>
    results[k]?.alarms.some(
      ({ lightId, about }) => lightId === tags[plant.light] && (about ?? nameOf(k)) === nameOf(plant.frame),
    ) === true;
  const told = plants.map((plant): Told => {
    const delay = [...Array(LATEST + 1).keys()].find((late) => meant(plant, plant.frame + late));
    return { ...plant, delay: delay ?? null };
  });
  const falsely = results.flatMap(({ alarms }, k) =>
    alarms
      .filter(
        ({ lightId, about }) =>
          !plants.some(
            ({ frame, light }) =>
              tags[light] === lightId && nameOf(frame) === (about ?? nameOf(k)) && k - frame <= LATEST,
          ),
      )
      .slice(0, 1)
      .map(({ words }) => `${nameOf(k)}: ${words}`),
  );
  return { plants: told, falsely };
}

/** Words for a report: told of all, told after 0, 1, 2, 3 frames, and what was missed. */
function wordsFor(plants: readonly Told[]): string {
  const late = [0, 1, 2, 3].map((frames) => plants.filter(({ delay }) => delay === frames).length);
  const missed = plants.filter(({ delay }) => delay === null);
  const names = missed.map(
    ({ frame, light, stops }) => `${tags[light]} ${stops?.toFixed(2) ?? "out"} in ${nameOf(frame)}`,
  );
  return `${plants.length - missed.length} of ${plants.length} (after 0 to 3 frames: ${late.join(", ")}; missed: ${names.join(", ")})`;
}

for (const [name, camera] of Object.entries({ "14-bit raw-like": RAW_14, "8-bit processed": CODED_8 })) {
  const frames = counts(60, 200);
  test(`over ${frames} frames of changing sitters misfires and most drifts are told: ${name} (seed 5)`, (t) => {
    const { plants, falsely } = session(camera, frames, 5);
    const misfires = plants.filter(({ stops }) => stops === null);
    const drifts = plants.filter(({ stops }) => stops !== null && Math.abs(stops) >= 0.3);
    t.diagnostic(`${name}: misfires ${wordsFor(misfires)}; drifts of 0.3 stop and more ${wordsFor(drifts)}`);
    t.diagnostic(`${name}: false in ${falsely.length} of ${frames} frames: ${falsely.join("; ")}`);
    assert.ok(misfires.length >= 5 && drifts.length >= 8);
    const part = (of: readonly Told[]): number => of.filter(({ delay }) => delay !== null).length / of.length;
    assert.ok(part(misfires) >= MISFIRES_PART, wordsFor(misfires));
    assert.ok(part(drifts) >= DRIFTS_PART, wordsFor(drifts));
    assert.ok(falsely.length <= FALSE_PART * frames, falsely.join("; "));
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
