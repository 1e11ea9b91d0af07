/**
 * Time to 0.1-stop noise of the four-light demo on processors: in headless Chromium with module workers, as the page
 * traces here, and in Node with worker threads, as `stopwise render` does. Noise is the true one: the 95th percentile of
 * the filtered mix's deviation from a converged reference (bench/picture-truth.ts), over pixels within 6 stops of the
 * card; beside it the renderer's own estimate. The renderer is asked for `--ask` stops by its estimate, filters every
 * pass and leaves calm tiles out, as in use; a course ends when the true noise is reached or the renderer is content.
 * Building the scene is told beside it. The two take turns. 240 × 300 pixels as a quick count; `--full` is 960 × 1200
 * and takes many minutes.
 *
 *   node bench/picture-time.bench.ts [--full] [--paths 1024] [--ask 0.08] [--rounds 1]
 */

import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { packScene, type RenderGoal, usualRequest } from "../src/picture/index.ts";
import { buildScene } from "../src/scene/index.ts";
import { demoSetups, type Setup } from "../src/setup/index.ts";
import { createRenderer, gainsOf, processorCount, setupReference } from "../src/work/index.ts";
import { withBundledPage } from "../test/browser/bundled-page.ts";
import { printMachine } from "./harness.ts";
import type { PagePass } from "./picture-page.ts";
import { deviation, mixedAt, referenceOf, timeTo } from "./picture-truth.ts";

const { values: asked } = parseArgs({
  options: {
    full: { type: "boolean", default: false },
    paths: { type: "string", default: "1024" },
    ask: { type: "string", default: "0.08" },
    rounds: { type: "string", default: "1" },
  },
});
const [WIDTH, HEIGHT] = asked.full ? [960, 1200] : [240, 300];
const [SEED, LIMIT, MOST] = [1, 0.1, 512];

interface Moment {
  readonly samples: number;
  readonly ms: number;
  readonly stops: number;
  /** The renderer's own estimate. */
  readonly estimate: number;
}

const setup = demoSetups()[0] as Setup;
const building = performance.now();
const packed = packScene(buildScene(setup, { equipment: "hidden" }));
const built = performance.now() - building;
const request = { ...usualRequest(WIDTH, HEIGHT, [...packed.lightIds.keys()], SEED), ambient: true };
const weights = gainsOf(setup).map(({ on, output }) => (on ? output / setupReference(setup) : 0));

printMachine();
console.log(`   ${setup.title}, ${WIDTH} × ${HEIGHT}, ${weights.length} layers, 12 bounces, seed ${SEED}`);
console.log(`   scene built and packed in ${built.toFixed(0)} ms; ${processorCount()} threads`);
const reference = referenceOf(packed, request, weights, { paths: Number(asked.paths), patches: 12, seed: 5 });
console.log(`   reference: ${asked.paths} paths on ${reference.tiles.length} patches of 16 × 16`);

const goal: RenderGoal = { noiseStops: Number(asked.ask), mostSamples: MOST, weights, filter: true };

const entry = fileURLToPath(new URL("./picture-page.ts", import.meta.url));
await withBundledPage(entry, ["--no-sandbox", "--disable-gpu"], async (page) => {
  let course: Moment[] = [];
  await page.exposeFunction("judge", ({ luminance, ...pass }: PagePass): boolean => {
    const mixed = new Float32Array(Uint8Array.from(Buffer.from(luminance, "base64")).buffer);
    const stops = deviation(reference, WIDTH, (i) => mixed[i] as number);
    course.push({ ...pass, stops });
    return stops <= LIMIT;
  });
  for (let round = 0; round < Number(asked.rounds); round++) {
    course = [];
    await page.evaluate(askPage, [setup, request, goal] as const);
    tell("Chromium, module workers", course);
    tell("Node, worker threads", await inNode());
  }
});

/** In the page. */
function askPage(words: readonly [Setup, typeof request, RenderGoal]): Promise<void> {
  return (globalThis as unknown as { tracePasses(...words: readonly unknown[]): Promise<void> }).tracePasses(...words);
}

async function inNode(): Promise<readonly Moment[]> {
  const renderer = createRenderer();
  await renderer.render(packed, { ...request, seed: 9 }, { noiseStops: 0, mostSamples: 1 });
  const course: Moment[] = [];
  let spent = 0;
  const start = performance.now();
  await renderer.render(packed, request, goal, ({ layers, filtered, samples, noiseStops: estimate }) => {
    const heard = performance.now();
    const stops = deviation(reference, WIDTH, (i) => mixedAt(filtered ?? layers, weights, i));
    course.push({ samples, ms: heard - start - spent, stops, estimate });
    if (stops <= LIMIT) renderer.cancel();
    spent += performance.now() - heard;
  });
  renderer.end();
  return course;
}

function tell(name: string, course: readonly Moment[]): void {
  const rows = course.map(
    ({ samples, ms, stops, estimate }) =>
      `${samples.toFixed(1)}: ${stops.toFixed(3)} (${estimate.toFixed(3)}) in ${(ms / 1000).toFixed(1)} s`,
  );
  const time = timeTo(LIMIT, course);
  const verdict = time === null ? "not reached before the renderer was content" : `${(time / 1000).toFixed(1)} s`;
  console.log(`   ${name.padEnd(26)} 0.1 stop: ${verdict}`);
  console.log(`      mean paths: true stops (estimate) in seconds; ${rows.join("; ")}`);
}
