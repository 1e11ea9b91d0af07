/** The pool: same bits as one thread, cancels at once, a hundred drags leave no queue, failures are told; files. */

import assert from "node:assert/strict";
import test from "node:test";
import { inflateSync } from "node:zlib";
import { rectangleFront } from "../photometry/index.ts";
import { packScene, renderLayers, usualRequest } from "../picture/index.ts";
import { meshMaker, testCamera, trueDeviation } from "../picture/testing.ts";
import type { Material } from "../scene/index.ts";
import { writePfm, writePng8, writePng16 } from "./png.ts";
import { localPort, openPort } from "./ports.ts";
import { createRenderer } from "./renderer.ts";
import type { FromWorker, Port, Progress } from "./types.ts";

function sphere() {
  const maker = meshMaker();
  maker.room([-2, 0, -1], [2, 2.6, 2], [0, 0, 0, 0, 0, 0]);
  maker.sphere([0, 1.2, 0], 0.25, 0, 16);
  const lights = [rectangleFront({ centre: [1, 1.8, 0.8], normal: [-1, -0.8, -0.8] }, 0.6, 0.9)];
  return packScene(
    maker.build(
      [{ kind: "diffuse", name: "wall", reflectance: [0.5, 0.5, 0.5] }],
      lights,
      testCamera([0, 1.2, 1.9], [0, 1.2, 0], 30),
    ),
  );
}

test("two worker threads give the layer of one thread within rounding, twice the same bits", async () => {
  const scene = sphere();
  const request = usualRequest(70, 50, [0], 5);
  const renderer = createRenderer(2, openPort);
  try {
    const goal = { noiseStops: 0, mostSamples: 16 };
    const first = await renderer.render(scene, request, goal);
    const second = await renderer.render(scene, request, goal);
    assert.ok(first && second);
    assert.deepEqual(first.layers[0]!.rgb, second.layers[0]!.rgb);
    assert.equal(first.samples, 16);
    const alone = renderLayers(scene, request, 16);
    alone.layers[0]!.rgb.forEach((value, i) => {
      assert.ok(Math.abs(value - (first.layers[0]!.rgb[i] as number)) <= 1e-5 * value + 1e-9);
    });
    assert.deepEqual(first.guides.depth, alone.guides.depth);
    assert.equal(first.rays, alone.rays);
  } finally {
    renderer.end();
  }
});

test("passes come at 1, 2, 4, 8 paths with falling noise, and stop at the asked noise", async () => {
  const renderer = createRenderer(1, localPort);
  const heard: number[] = [];
  const last = await renderer.render(
    sphere(),
    usualRequest(24, 24, [0], 5),
    { noiseStops: 0.4, mostSamples: 512 },
    (p) => heard.push(p.samples),
  );
  assert.ok(last && last.noiseStops <= 0.4 && last.samples < 512);
  assert.deepEqual(heard.slice(0, 3), [1, 2, 4]);
  renderer.end();
});

test("a hundred fast drags leave no queue: every older one ends with null at once, at most a tile per thread is stray", async () => {
  const scene = sphere();
  const renderer = createRenderer(2, openPort);
  try {
    const goal = { noiseStops: 0, mostSamples: 1 };
    const ended: (number | null)[] = [];
    const jobs = Array.from({ length: 100 }, (_, i) =>
      renderer.render(scene, usualRequest(96, 96, [0], i), goal).then((p) => ended.push(p ? i : null)),
    );
    assert.ok(renderer.strays() <= 2);
    await Promise.all(jobs);
    assert.equal(ended.filter((i) => i !== null).length, 1);
    assert.equal(ended.at(-1), 99);
    // A thread may still be at a dropped tile when the last job ends on the other one.
    for (let wait = 0; wait < 500 && renderer.strays() > 0; wait++) await new Promise((go) => setTimeout(go, 10));
    assert.equal(renderer.strays(), 0);
  } finally {
    renderer.end();
  }
});

test("cancelling ends the job with null before any thread answers", async () => {
  const silent: Port = { post: () => {}, listen: () => {}, end: () => {} };
  const renderer = createRenderer(1, () => silent);
  const job = renderer.render(sphere(), usualRequest(8, 8, [0], 1), { noiseStops: 0, mostSamples: 1 });
  renderer.cancel();
  assert.equal(await job, null);
});

test("a thread that fails rejects the job with its message", async () => {
  let hear: (message: FromWorker) => void = () => {};
  const broken: Port = {
    post: (message) =>
      message.kind === "trace" &&
      queueMicrotask(() => hear({ kind: "failed", jobId: message.jobId, message: "out of memory" })),
    listen: (listener) => {
      hear = listener;
    },
    end: () => {},
  };
  const renderer = createRenderer(1, () => broken);
  await assert.rejects(
    renderer.render(sphere(), usualRequest(8, 8, [0], 1), { noiseStops: 0, mostSamples: 1 }),
    /out of memory/,
  );
});

test("PNG: signature, header, rows as an independent inflate reads them (ISO/IEC 15948)", async () => {
  const file = await writePng8(Uint8Array.of(1, 2, 3, 255, 4, 5, 6, 255), 1, 2);
  assert.deepEqual([...file.slice(0, 8)], [137, 80, 78, 71, 13, 10, 26, 10]);
  const at = Buffer.from(file).indexOf("IDAT");
  const length = Buffer.from(file).readUInt32BE(at - 4);
  // Filter 2: the second row is the difference to the first.
  assert.deepEqual([...inflateSync(file.slice(at + 4, at + 4 + length))], [2, 1, 2, 3, 255, 2, 3, 3, 3, 0]);
  // CRC-32 of an empty IEND is the published constant.
  assert.deepEqual([...file.slice(-4)], [0xae, 0x42, 0x60, 0x82]);
  const deep = await writePng16(Uint16Array.of(0x0102, 0x0304, 0xffff), 1, 1);
  assert.equal(deep[24], 16);
  assert.equal(deep[25], 2);
});

test("PFM: rows from the bottom, little-endian floats", () => {
  const file = writePfm(Float32Array.of(1, 2, 3, 4, 5, 6), 1, 2);
  const head = "PF\n1 2\n-1.0\n";
  assert.equal(new TextDecoder().decode(file.slice(0, head.length)), head);
  const view = new DataView(file.buffer);
  assert.deepEqual(
    [0, 1, 2, 3, 4, 5].map((i) => view.getFloat32(head.length + 4 * i, true)),
    [4, 5, 6, 1, 2, 3],
  );
});

test("after eight paths only noisy tiles go on, and the picture keeps the asked noise: true within a factor 2 of estimated (seed 5)", async () => {
  // A ball with a penumbra on a wall: half of the picture is plain wall under an open front.
  const maker = meshMaker();
  maker.quad([-3, -3, 0], [3, -3, 0], [3, 3, 0], [-3, 3, 0], 0);
  maker.sphere([0.12, 0, 0.2], 0.1, 0, 24);
  const front = rectangleFront({ centre: [0.8, 0.6, 1.2], normal: [-0.7, -0.5, -1] }, 0.5, 0.5);
  const white: Material = { kind: "diffuse", name: "wall", reflectance: [0.5, 0.5, 0.5] };
  const scene = packScene(maker.build([white], [front], testCamera([0, 0, 3], [0, 0, 0], 12)));
  const request = { ...usualRequest(64, 48, [0], 5), bounces: 1 };
  const renderer = createRenderer(2, localPort);
  const goal = { noiseStops: 0.12, mostSamples: 512, weights: [1] };
  const last = (await renderer.render(scene, request, goal)) as Progress;
  renderer.end();
  const paths = last.guides.paths;
  assert.ok(Math.min(...paths) === 8 && Math.max(...paths) > 16, `${Math.min(...paths)} to ${Math.max(...paths)}`);
  assert.ok(last.samples > 8 && last.samples < Math.max(...paths) / 2);
  assert.ok(last.noiseStops <= 0.12);
  const reference = renderLayers(scene, { ...request, seed: 99 }, 512).layers;
  const weights = [0.18 / meanOf(reference[0]!.rgb)];
  const truth = trueDeviation(last.layers, reference, weights);
  assert.ok(truth < 2 * last.noiseStops && truth > last.noiseStops / 2, `${truth} against ${last.noiseStops}`);
});

test("a filtered goal hands out both, and its estimate is within a factor 2 of the true deviation (seed 5)", async () => {
  const scene = sphere();
  const renderer = createRenderer(2, localPort);
  const request = usualRequest(64, 48, [0], 5);
  const last = (await renderer.render(scene, request, { noiseStops: 0, mostSamples: 8, filter: true })) as Progress;
  renderer.end();
  assert.ok(last.filtered && last.filtered[0]!.rgb !== last.layers[0]!.rgb);
  const reference = renderLayers(scene, { ...request, seed: 99 }, 512).layers;
  const weights = [0.18 / meanOf(reference[0]!.rgb)];
  const [raw, truth] = [last.layers, last.filtered].map((layers) => trueDeviation(layers, reference, weights)) as [
    number,
    number,
  ];
  assert.ok(truth < 0.5 * raw, `${truth} of ${raw}`);
  assert.ok(truth < 2 * last.noiseStops && truth > last.noiseStops / 2, `${truth} against ${last.noiseStops}`);
});

const meanOf = (values: Float32Array): number => values.reduce((sum, value) => sum + value, 0) / values.length;
