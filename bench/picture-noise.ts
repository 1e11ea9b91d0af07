/**
 * How far a picture of the four-light demo is from the converged one: the true deviation in stops (95th percentile and
 * median of the mixed picture's, over pixels within 6 stops of the card) at 1, 4, 16 and 64 paths per pixel, filtered
 * and not, one thread, with the seconds; then passes with the filter until the estimate reaches the goal. What every change of the tracer or the filter is judged by.
 *
 *   node bench/picture-noise.ts [--reference 2048] [--paths 1,4,16,64] [--goal 0.1] [--store DIR]
 *
 * 160 × 200 pixels. The reference takes minutes; it is kept in DIR (the system's temporary folder unless told), under
 * a name that changes with the scene, and used again.
 */

import { createHash } from "node:crypto";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { deserialize, serialize } from "node:v8";
import { createFilter, type Layer, packScene, renderLayers, usualRequest } from "../src/picture/index.ts";
import { trueDeviation } from "../src/picture/testing.ts";
import { buildScene } from "../src/scene/index.ts";
import { demoSetups, type Setup } from "../src/setup/index.ts";
import { createRenderer, gainsOf, localPort, setupReference } from "../src/work/index.ts";

const { values: asked } = parseArgs({
  options: {
    reference: { type: "string", default: "2048" },
    goal: { type: "string", default: "0.1" },
    paths: { type: "string", default: "1,4,16,64" },
    store: { type: "string", default: tmpdir() },
  },
});
const [WIDTH, HEIGHT, SEED, REFERENCE_SEED] = [160, 200, 1, 77];

const setup = demoSetups()[0] as Setup;
const packed = packScene(buildScene(setup, { equipment: "hidden" }));
const request = { ...usualRequest(WIDTH, HEIGHT, [...packed.lightIds.keys()], SEED), ambient: true };
const weights = gainsOf(setup).map(({ on, output }) => (on ? output / setupReference(setup) : 0));

const reference = converged(Number(asked.reference));
console.log(`${setup.title}, ${WIDTH} × ${HEIGHT}, against ${asked.reference} paths, seed ${SEED}; stops`);
console.log("paths  CPU s  Mrays/s  95 %   median  filtered 95 %  median  filter s");
for (const paths of asked.paths.split(",").map(Number)) {
  const start = process.cpuUsage();
  const { layers, guides, rays } = renderLayers(packed, request, paths);
  const traced = secondsSince(start);
  const begun = process.cpuUsage();
  const filtered = layers.map(createFilter(guides));
  const row = [
    ...[String(paths).padEnd(6), traced.toFixed(2).padEnd(6), (rays / traced / 1e6).toFixed(2).padEnd(8)],
    ...[deviation(layers, 0.95), deviation(layers, 0.5), deviation(filtered, 0.95).padEnd(14)],
    ...[deviation(filtered, 0.5), secondsSince(begun).toFixed(2)],
  ];
  console.log(row.join(" "));
}

console.log(`passes to ${asked.goal} stop, filtered\npaths  CPU s  estimate  95 %`);
const renderer = createRenderer(1, localPort);
const begin = process.cpuUsage();
const goal = { noiseStops: Number(asked.goal), mostSamples: 4096, weights, filter: true };
await renderer.render(packed, request, goal, ({ samples, noiseStops, filtered = [] }) => {
  const row = [samples.toFixed(1).padEnd(6), secondsSince(begin).toFixed(2).padEnd(6), noiseStops.toFixed(4).padEnd(9)];
  console.log([...row, deviation(filtered, 0.95)].join(" "));
});
renderer.end();

function converged(paths: number): readonly Pick<Layer, "rgb">[] {
  const hash = createHash("sha256").update(serialize(packed)).digest("hex").slice(0, 12);
  const file = join(asked.store, `stopwise-noise-${WIDTH}x${HEIGHT}-${paths}-${hash}.bin`);
  if (existsSync(file)) return deserialize(readFileSync(file)) as readonly Pick<Layer, "rgb">[];
  const { layers } = renderLayers(packed, { ...request, seed: REFERENCE_SEED }, paths);
  writeFileSync(file, serialize(layers.map(({ rgb }) => ({ rgb }))));
  return layers;
}

function deviation(layers: readonly Pick<Layer, "rgb">[], part: number): string {
  return trueDeviation(layers, reference, weights, part).toFixed(4).padEnd(6);
}

function secondsSince(start: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1e6;
}
