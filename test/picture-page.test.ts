/**
 * The parts of the page's picture that need no page: the free view's camera, what is kept between moves, the meter at a
 * spot. Small pictures, real scenes.
 */

import assert from "node:assert/strict";
import test from "node:test";
import { type LayerId, packScene, renderLayers, usualRequest } from "../src/picture/index.ts";
import { buildScene } from "../src/scene/index.ts";
import { demoSetups, frontOf, type Setup } from "../src/setup/index.ts";
import { distance, dot, type Vec3 } from "../src/units/index.ts";
import { dollied, firstView, freeCamera, orbited, panned } from "../src/web/screens/plan/picture/free-view.ts";
import { KeptLayers } from "../src/web/screens/plan/picture/kept-layers.ts";
import { liftedGains, liftWords } from "../src/web/screens/plan/picture/lift.ts";
import { probeSpot } from "../src/web/screens/plan/picture/probe-spot.ts";
import { shrunk } from "../src/web/screens/plan/picture/shrink.ts";
import { gainsOf, type TracedIn } from "../src/work/index.ts";

const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
const [WIDTH, HEIGHT] = [32, 48];
const ids: readonly LayerId[] = choir.lights.map(({ id }) => id);

function traced(setup: Setup, samples = 2, bounces = 1) {
  const scene = buildScene(setup, { equipment: "hidden", detail: "low" });
  const packed = packScene(scene);
  const all = scene.emitters.map((_, i) => i);
  const request = { ...usualRequest(WIDTH, HEIGHT, all, 9), bounces };
  const place: TracedIn = { setup, scene, eye: scene.camera.position, view: "camera" };
  return { packed, place, ...renderLayers(packed, request, samples) };
}

test("the free view turns about its target at its distance, upright, and never goes over the top", () => {
  let view = firstView(choir);
  for (const [by, up] of [
    [40, 10],
    [170, -200],
    [-95, 400],
  ] as const) {
    view = orbited(view, by, up);
    const { position, forward, right, up: above } = freeCamera(view, 1.5);
    assert.ok(Math.abs(distance(position, view.target) - view.distanceM) < 1e-9);
    const toTarget = view.target.map((value, k) => (value - position[k as 0]) / view.distanceM) as unknown as Vec3;
    assert.ok(dot(toTarget, forward) > 1 - 1e-9, "looks at its target");
    for (const [a, b] of [
      [forward, right],
      [right, above],
      [above, forward],
    ] as const)
      assert.ok(Math.abs(dot(a, b)) < 1e-9);
    assert.ok(above[1] > 0 && Math.abs(right[1]) < 1e-9, "upright");
  }
});

test("azimuth 0 looks from the camera's side, positive azimuths from picture-right", () => {
  const view = { azimuthDeg: 0, elevationDeg: 0, distanceM: 2, target: [0, 1, 0] } as const;
  assert.ok(distance(freeCamera(view, 1).position, [0, 1, 2]) < 1e-9);
  assert.ok(freeCamera(orbited(view, 90, 0), 1).position[0] > 1.99);
});

test("panning slides the target across what is seen, a dolly changes the distance alone, within bounds", () => {
  const view = firstView(choir);
  const { right, up } = freeCamera(view, 1);
  const moved = panned(view, 0.5, 0);
  const way = moved.target.map((value, k) => value - view.target[k as 0]) as unknown as Vec3;
  assert.ok(dot(way, right) > 0 && Math.abs(dot(way, up)) < 1e-9);
  assert.deepEqual(dollied(view, 0.5), { ...view, distanceM: view.distanceM / 2 });
  assert.ok(dollied(view, 1e-9).distanceM >= 0.4 && dollied(view, 1e9).distanceM <= 25);
});

test("a job traces what is new, goes on with what is unfinished, and settles what another light's move left behind", () => {
  const kept = new KeptLayers();
  const first = traced(choir);
  assert.deepEqual(kept.plan(first.place, ids).trace, ids);
  kept.add(first.layers, new Map(), first.place, first.guides);
  assert.deepEqual(kept.plan(first.place, ids), { stale: [], trace: ids, settle: [] }, "unfinished");
  kept.finish(ids);
  assert.deepEqual(kept.plan(first.place, ids), { stale: [], trace: [], settle: [] });

  const [, fill] = choir.lights;
  const raised = {
    ...choir,
    lights: choir.lights.map((light) => (light.id === fill?.id ? { ...light, rollDeg: light.rollDeg + 15 } : light)),
  };
  const then = traced(raised);
  const plan = kept.plan(then.place, ids);
  assert.ok(plan.trace.includes(fill?.id as string));
  for (const id of ids) assert.notEqual(plan.trace.includes(id), plan.settle.includes(id), `${id} once`);
  assert.ok(plan.settle.length >= 1);
  const before = kept.get(plan.settle[0] as string)?.layer;
  kept.add(
    then.layers.filter(({ lightId }) => plan.trace.includes(lightId)),
    new Map(),
    then.place,
    then.guides,
  );
  assert.equal(kept.get(plan.settle[0] as string)?.layer, before, "what is right stays as it is");
  kept.finish(ids);
  kept.add(
    then.layers.filter(({ lightId }) => plan.settle.includes(lightId)),
    new Map(),
    then.place,
    then.guides,
  );
  kept.finish(ids);
  assert.deepEqual(kept.plan(then.place, ids), { stale: [], trace: [], settle: [] }, "settled");
});

test("passes that go on are added to what was there", () => {
  const kept = new KeptLayers();
  const one = traced(choir);
  kept.add(one.layers, new Map(), one.place, one.guides);
  kept.add(one.layers, kept.bases(ids), one.place, one.guides);
  assert.equal(kept.get(ids[0] as string)?.layer.samples, 4);
});

test("panels and room add nothing to the meter in a black room, and something in a white one (seed 9)", () => {
  const walls = (reflectance: number): Setup => ({
    ...choir,
    panels: [],
    backdrop: choir.backdrop && { ...choir.backdrop, reflectance: 0.18 },
    room: {
      ...choir.room,
      furniture: [],
      reflectance: {
        ...{ floor: reflectance, ceiling: reflectance, left: reflectance },
        ...{ right: reflectance, back: reflectance, front: reflectance },
      },
    },
  });
  const share = (setup: Setup): number => {
    const { packed, layers, guides } = traced(setup, 32, 6);
    const fronts = setup.lights.map((light) => frontOf(setup, light));
    const layerOf = (id: string) => layers.find(({ lightId }) => lightId === id);
    // The paper beside the head, which the main reaches.
    const held = { receptor: "disc", aim: "normal" } as const;
    const lights = probeSpot(packed, fronts, guides, layerOf, 4, 10, held);
    const main = lights?.[0];
    assert.ok(main !== undefined && main.returned !== null && main.factor > 0);
    return main.returned / main.factor;
  };
  const [black, white] = [share(walls(0)), share(walls(0.85))];
  assert.ok(black < 0.08, `black room: ${black}`);
  assert.ok(white > black + 0.1, `white room: ${white}`);
});

test("lifting is exact, and a small layer has the large one's mean", () => {
  const gains = gainsOf(choir);
  const lifted = liftedGains(gains, ids[1] as string, 3);
  assert.equal(lifted[1]?.output, 8 * (gains[1]?.output as number));
  assert.deepEqual(
    lifted.map(({ on }) => on),
    lifted.map((_, i) => i === 1),
  );
  assert.equal(liftWords(3), ", lifted 3.0 stops");
  assert.equal(liftWords(0), "");
  const layer = traced(choir).layers[0];
  assert.ok(layer !== undefined);
  const small = shrunk(layer, 8);
  assert.deepEqual([small.width, small.height], [8, 12]);
  const mean = (rgb: Float32Array): number => rgb.reduce((sum, value) => sum + value, 0) / rgb.length;
  assert.ok(Math.abs(mean(small.rgb) / mean(layer.rgb) - 1) < 1e-5);
});
