/** Which layers a move leaves as they are, held against fresh renders of the moved setup. */

import assert from "node:assert/strict";
import test from "node:test";
import { type Guides, type Layer, type LayerId, packScene, renderLayers, usualRequest } from "../picture/index.ts";
import { buildScene, type Scene } from "../scene/index.ts";
import { demoSetups, type Light, type Setup } from "../setup/index.ts";
import { addSamples } from "./add-samples.ts";
import { movedLights, type StaleLayer, staleLayers, type TracedIn } from "./reuse.ts";

const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
const [WIDTH, HEIGHT] = [48, 72];
const sceneOf = (setup: Setup): Scene => buildScene(setup, { equipment: "hidden", detail: "low" });
const placed = (setup: Setup, view = "camera"): TracedIn & { scene: Scene } => {
  const scene = sceneOf(setup);
  return { setup, scene, eye: scene.camera.position, view };
};
const rendered = (scene: Scene, samples: number, bounces: number, seed = 5) => {
  const all = scene.emitters.map((_, i) => i);
  return renderLayers(packScene(scene), { ...usualRequest(WIDTH, HEIGHT, all, seed), bounces }, samples);
};
const was = placed(choir);
const before = rendered(was.scene, 8, 0);
const keptAll = (place: TracedIn): ReadonlyMap<LayerId, TracedIn> =>
  new Map(place.setup.lights.map(({ id }) => [id, place]));
const idOf = (tag: string): string => choir.lights.find((light) => light.tag === tag)?.id as string;
const changed = (tag: string, change: (light: Light) => Partial<Light>): Setup => ({
  ...choir,
  lights: choir.lights.map((light) => (light.tag === tag ? { ...light, ...change(light) } : light)),
});
const ids = choir.lights.map(({ id }) => id);
const reasons = (stale: readonly StaleLayer[]): readonly string[] =>
  stale.map(({ lightId, why }) => `${choir.lights.find(({ id }) => id === lightId)?.tag ?? lightId} ${why}`);

/** Lifts a light straight up. */
const raised = (tag: string, byM: number): Setup =>
  changed(tag, ({ place }) => ({
    place: place.kind === "polar" ? { ...place, heightM: place.heightM + byM } : { ...place, yM: place.yM + byM },
  }));

test("a dial, a gel, a switch, the aperture and a reading leave every layer", () => {
  const dialled = changed("M", ({ dialStops }) => ({ dialStops: dialStops - 1, on: false }));
  const stopped = { ...dialled, exposure: { ...dialled.exposure, apertureAv: 7, iso: 400 }, readings: [] };
  const { trace, settle } = staleLayers(keptAll(was), { ...was, setup: stopped }, ids, before.guides);
  assert.deepEqual([trace, settle], [[], []]);
});

test("room, backdrop, sitter, camera, panels and another view leave none", () => {
  const others: readonly TracedIn[] = [
    { ...was, setup: { ...choir, room: { ...choir.room, heightM: choir.room.heightM + 0.1 } } },
    { ...was, setup: { ...choir, subject: { ...choir.subject, yawDeg: 5 } } as Setup },
    { ...was, setup: { ...choir, camera: { ...choir.camera, focalLengthMm: 50 } } },
    { ...was, setup: { ...choir, panels: choir.panels.slice(1) } },
    { ...was, setup: { ...choir, backdrop: null } },
    { ...was, view: "free" },
  ];
  for (const now of others) {
    const { trace } = staleLayers(keptAll(was), now, ids, before.guides);
    assert.deepEqual(reasons(trace), ["M everything", "F everything", "E everything", "H everything"]);
  }
});

test("a light that stands behind the camera's view, moved a little, is traced alone; the kept layers are a fresh render's within 0.02 stop of their mean (seed 5)", () => {
  const now = placed(raised("F", 0.15));
  const { trace, settle } = staleLayers(keptAll(was), now, ids, before.guides);
  assert.deepEqual(reasons(trace), ["F own"]);
  assert.deepEqual(
    settle,
    ids.filter((id) => id !== idOf("F")),
  );
  // Straight light alone: what the segments decide on. The same seed draws the same paths.
  const after = rendered(now.scene, 8, 0);
  for (const id of settle) {
    const stops = Math.abs(Math.log2(sumOf(layerOf(after.layers, id)) / sumOf(layerOf(before.layers, id))));
    assert.ok(stops < 0.02, `${id}: ${stops} stop`);
    const worst = worstPatch(layerOf(before.layers, id), layerOf(after.layers, id));
    assert.ok(worst < 0.05, `${id}: a patch differs by ${worst} of the layer's brightest`);
  }
});

test("what bounces off the moved cloth onto the kept layers is under 0.05 stop of their mean (seed 5)", () => {
  const [old, fresh] = [rendered(was.scene, 8, 6), rendered(sceneOf(raised("F", 0.15)), 8, 6)];
  for (const tag of ["M", "E", "H"]) {
    const stops = Math.log2(sumOf(layerOf(fresh.layers, idOf(tag))) / sumOf(layerOf(old.layers, idOf(tag))));
    assert.ok(Math.abs(stops) < 0.05, `${tag}: ${stops} stop`);
  }
});

test("a light moved in between another and the sitter is caught, and its shadow is large in a fresh render", () => {
  // F put two thirds of the way from the nose to M.
  const main = choir.lights.find(({ tag }) => tag === "M") as Light;
  const fill = was.scene.emitters.find(({ tag }) => tag === "M")?.front.centre as readonly number[];
  const nose = [0, 1.25, 0];
  const between = {
    kind: "cartesian",
    xM: 0.5 * fill[0]!,
    yM: nose[1]! + 0.5 * (fill[1]! - nose[1]!),
    zM: 0.5 * fill[2]!,
  };
  const setup = changed("F", () => ({ place: between as Light["place"], modifier: main.modifier }));
  const now = placed(setup);
  const { trace } = staleLayers(keptAll(was), now, ids, before.guides);
  const found = trace.find(({ lightId }) => lightId === main.id);
  assert.ok(found !== undefined && ["shadow", "in view"].includes(found.why), JSON.stringify(trace));
  assert.equal(found.by, idOf("F"));
  const after = rendered(now.scene, 4, 0);
  const stops = Math.log2(sumOf(layerOf(after.layers, main.id)) / sumOf(layerOf(before.layers, main.id)));
  assert.ok(stops < -0.3, `${stops} stop`);
});

test("a shadow is told from the scene that each layer was traced in, however many moves lie between", () => {
  // F moved away and back: M was traced in between and knows F at the other place; E was not.
  const away = placed(raised("F", 0.15));
  const kept = new Map<LayerId, TracedIn>([...keptAll(was), [idOf("F"), away]]);
  const { trace, settle } = staleLayers(kept, was, ids, before.guides);
  assert.deepEqual(reasons(trace), ["F own"]);
  assert.deepEqual(settle, []);
});

test("a light that is new, and one that is gone, are told apart", () => {
  const without: Setup = { ...choir, lights: choir.lights.filter(({ tag }) => tag !== "H") };
  assert.deepEqual(movedLights(choir, without), [idOf("H")]);
  const kept = keptAll(placed(without));
  const { trace } = staleLayers(kept, was, ids, before.guides);
  assert.equal(trace.find(({ lightId }) => lightId === idOf("H"))?.why, "new");
  assert.equal(staleLayers(keptAll(was), placed(without), ids.slice(0, 3), before.guides).trace.length < 3, true);
});

test("the same question has the same answer", () => {
  const now = placed(raised("H", -0.1));
  const ask = () => staleLayers(keptAll(was), now, ids, before.guides as Guides);
  assert.deepEqual(ask(), ask());
});

test("two renders of one layer add up to their mean by paths, and their errors in squares", () => {
  const [a, b] = [rendered(was.scene, 2, 0, 1), rendered(was.scene, 6, 0, 2)];
  const [first, second] = [a.layers[0] as Layer, b.layers[0] as Layer];
  const both = addSamples(first, second);
  assert.equal(both.samples, 8);
  for (const i of [0, 1000, 5000]) {
    const mean = (2 * (first.rgb[i] as number) + 6 * (second.rgb[i] as number)) / 8;
    assert.ok(Math.abs((both.rgb[i] as number) - mean) < 1e-5 * Math.max(1e-3, mean));
  }
  const [s, t] = [first.sigma[1000] as number, second.sigma[1000] as number];
  assert.ok(Math.abs((both.sigma[1000] as number) - Math.hypot(0.25 * s, 0.75 * t)) < 1e-6);
  assert.throws(() => addSamples(first, b.layers[1] as Layer), RangeError);
});

const layerOf = (layers: readonly Layer[], id: LayerId): Layer => layers.find(({ lightId }) => lightId === id) as Layer;
const sumOf = ({ rgb }: Layer): number => rgb.reduce((sum, value) => sum + value, 0);

/** The largest difference of the means of 8 × 8 patches, over the brightest patch. */
function worstPatch(a: Layer, b: Layer): number {
  const [pa, pb] = [patches(a), patches(b)];
  return Math.max(...pa.map((value, i) => Math.abs(value - (pb[i] as number)))) / Math.max(...pa);
}

function patches({ rgb }: Layer): readonly number[] {
  const across = WIDTH / 8;
  const sums = Array.from({ length: (WIDTH * HEIGHT) / 64 }, () => 0);
  rgb.forEach((value, i) => {
    const pixel = Math.floor(i / 3);
    const k = Math.floor(pixel / WIDTH / 8) * across + Math.floor((pixel % WIDTH) / 8);
    sums[k] = (sums[k] as number) + value;
  });
  return sums;
}
