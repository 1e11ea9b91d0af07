/** The whole chain on the demo setups: the probe on the bust against the predictor, a patch of backdrop against the map. */

import assert from "node:assert/strict";
import test from "node:test";
import { packScene, probeLights, spotUnder, toneAt } from "../picture/index.ts";
import { buildScene, type Scene } from "../scene/index.ts";
import { demoSetups, type PointName, pointOf, type Setup } from "../setup/index.ts";
import { createSolver, type Ledger } from "../solve/index.ts";
import { aloneOf, gainsOf, mixOf, renderSetup, setupReference } from "./render-setup.ts";

const solver = createSolver();
const people = demoSetups().filter(({ subject }) => subject.kind === "person" && subject.group.length === 0);
const scenes = new Map<Setup, Scene>();
const sceneOf = (setup: Setup): Scene => {
  const scene = scenes.get(setup) ?? buildScene(setup, { equipment: "hidden", detail: "low" });
  scenes.set(setup, scene);
  return scene;
};

for (const setup of people.slice(0, 4)) {
  test(`${setup.title}: the probe on the bust reads the predictor's figure where the light is open, within 0.05 stop`, () => {
    const scene = sceneOf(setup);
    const gains = gainsOf(setup);
    let compared = 0;
    for (const point of ["nose", "cheek-left", "cheek-right"] as const) {
      const { position, normal } = pointOf(setup, point);
      const fronts = scene.emitters.map(({ front }) => front);
      const readings = probeLights(packScene(scene), fronts, { position, normal }, { kind: "dome" }, "camera");
      setup.lights.forEach((light, i) => {
        const predicted = straight(setup, light.id, point);
        const { factor, open } = readings[i]!;
        if (predicted === 0 || open < 0.99) return;
        const stops = Math.log2((factor * gains[i]!.output) / predicted);
        assert.ok(Math.abs(stops) < 0.05, `${light.tag} at ${point}: ${stops} stop`);
        compared++;
      });
    }
    assert.ok(compared >= 3, `only ${compared} compared`);
  });
}

test("a patch of backdrop shows ρ·H/H_ref of the solver's own map where nothing shades it, within 0.03 stop (seed 4)", async () => {
  const setup = people.find(({ backdrop, lights }) => backdrop !== null && lights.length === 1) as Setup;
  const picture = await renderSetup(setup, {
    ...{ width: 24, height: 30, noiseStops: 0, mostSamples: 16, bounces: 0, seed: 4, threads: 1 },
    scene: { detail: "low", equipment: "absent" },
  });
  assert.ok(picture);
  const main = setup.lights[0]!;
  const fronts = [picture.scene.emitters[0]!.front];
  const packed = packScene(picture.scene);
  // The first spot of paper that no panel shades from the main: the map knows nothing of what stands between.
  const open = [...Array(24 * 30).keys()].find((i) => {
    const found = spotUnder(picture.guides, i % 24, Math.floor(i / 24));
    const onPaper = found !== null && Math.abs(found.position[2] - setup.backdrop!.zM) < 0.01;
    return onPaper && probeLights(packed, fronts, found, { kind: "disc" }, "normal")[0]!.open === 1;
  });
  assert.ok(open !== undefined, "no open spot of paper");
  const [x, y] = [open % 24, Math.floor(open / 24)];
  const spot = spotUnder(picture.guides, x, y)!;
  const sheet = { origin: spot.position, stepU: [0, 0, 0], stepV: [0, 0, 0], columns: 1, rows: 1 } as const;
  const received = solver.map(setup, main.id, sheet, spot.normal, "disc")[0] as number;
  const expected = (setup.backdrop!.reflectance * received) / setupReference(setup);
  const shown = toneAt(aloneOf(picture, main.id), 24, x, y).y;
  assert.ok(Math.abs(Math.log2(shown / expected)) < 0.03, `${shown} against ${expected}`);
});

test("a dial two stops down darkens that light's share by two stops and traces nothing (seed 4)", async () => {
  const setup = people[0] as Setup;
  const picture = await renderSetup(setup, {
    ...{
      width: 12,
      height: 15,
      noiseStops: 0,
      mostSamples: 2,
      bounces: 0,
      threads: 1,
      seed: 4,
      scene: { detail: "low" },
    },
  });
  assert.ok(picture);
  const turned = { ...setup, lights: setup.lights.map((l, i) => (i === 0 ? { ...l, dialStops: l.dialStops - 2 } : l)) };
  const { gains } = mixOf(turned, picture.layers);
  const change = Math.log2(gains[0]!.output / picture.gains[0]!.output);
  // A dial table or a flash's cut tail may move it by a little.
  assert.ok(Math.abs(change + 2) < 0.15, `${change}`);
  assert.deepEqual(gains.slice(1), picture.gains.slice(1));
});

test("a render that is cancelled before it begins, or while it runs, answers null", async () => {
  const setup = people[0] as Setup;
  const size = { width: 40, height: 50, threads: 1, scene: { detail: "low" } } as const;
  assert.equal(await renderSetup(setup, { ...size, signal: AbortSignal.abort() }), null);
  const stop = new AbortController();
  assert.equal(
    await renderSetup(setup, { ...size, signal: stop.signal, noiseStops: 0, onPass: () => stop.abort() }),
    null,
  );
});

/** lx·s of a light's straight way at a point, dome to the camera. */
function straight(setup: Setup, lightId: string, point: PointName): number {
  const { ledger } = solver.alone(setup, lightId, { point, receptor: "dome", aim: "camera" });
  const first: Ledger = ledger.kind === "sum" ? (ledger.parts[0] as Ledger) : ledger;
  return first.av === null ? 0 : (2 ** first.av * setup.meter.domeC) / setup.exposure.iso;
}
