/**
 * Our tracer and three-gpu-pathtracer (a general-purpose path tracer from the npm registry, its WebGL 2 renderer) on the
 * same scene in the same headless Chromium: the demo's bust and studio with every surface matt and four rectangular
 * lights (bench/diffuse-scene.ts). Both sample rectangles directly and follow the same number of surfaces. The error is the 95th percentile
 * of the mixed luminance's deviation over pixels within 6 stops under the card, on the same pixels for both. Ours is
 * against our converged reference. Theirs weighs a pixel by a tent, ours by a box, so theirs is against its own longest
 * run, with the share of that run's own noise taken out: dev² = σ²·(1 − n/N). That both show the same picture is
 * told by the median and the mean of theirs over ours.
 *
 *   node bench/tracers.bench.ts [--size 64x80] [--paths 512] [--ours 64] [--theirs 1,2,4,8,16,32,64,128]
 */

import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { packScene, usualRequest } from "../src/picture/index.ts";
import { demoSetups, type Setup } from "../src/setup/index.ts";
import { gainsOf, setupReference } from "../src/work/index.ts";
import { withBundledPage } from "../test/browser/bundled-page.ts";
import { diffuseScene } from "./diffuse-scene.ts";
import { printMachine } from "./harness.ts";
import { deviation, deviations, type Reference, referenceOf, timeTo } from "./picture-truth.ts";
import type { Step } from "./tracers-page.ts";

const { values: asked } = parseArgs({
  options: {
    size: { type: "string", default: "64x80" },
    paths: { type: "string", default: "512" },
    ours: { type: "string", default: "64" },
    theirs: { type: "string", default: "1,2,4,8,16,32,64,128" },
  },
});
const [width, height] = asked.size.split("x").map(Number) as [number, number];
const counts = asked.theirs.split(",").map(Number);
const LIMIT = 0.1;

type Request = ReturnType<typeof usualRequest>;
interface Page {
  traceOurs(setup: Setup, request: Request, weights: readonly number[], most: number): Promise<readonly Step[]>;
  traceTheirs(
    setup: Setup,
    request: Request,
    weights: readonly number[],
    counts: readonly number[],
  ): Promise<{ readonly renderer: string; readonly compileMs: number; readonly steps: readonly Step[] }>;
}

const setup = demoSetups()[0] as Setup;
const scene = packScene(diffuseScene(setup));
const request: Request = { ...usualRequest(width, height, [...scene.lightIds.keys()], 1), bounces: 4 };
const weights = gainsOf(setup)
  .slice(0, setup.lights.length)
  .map(({ output }) => output / setupReference(setup));

printMachine();
console.log(
  `   ${width} × ${height}, ${scene.mesh.indices.length / 3} triangles, ${weights.length} rectangles, 5 surfaces`,
);
const reference = referenceOf(scene, request, weights, { paths: Number(asked.paths), patches: 24, seed: 3 });
console.log(`   reference: ${asked.paths} paths on ${reference.tiles.length} patches of 16 × 16`);

const args = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-gpu-watchdog"];
const entry = fileURLToPath(new URL("./tracers-page.ts", import.meta.url));
await withBundledPage(entry, args, async (page) => {
  const words = [setup, request, weights] as const;
  const ours = await page.evaluate(([[s, r, w], most]) => (globalThis as unknown as Page).traceOurs(s, r, w, most), [
    words,
    Number(asked.ours),
  ] as const);
  tell(
    "ours, no filter",
    ours.map((step) => ({ ...step, stops: against(reference, step.luminance) })),
  );
  tell(
    "ours, filtered",
    ours.map((step) => ({ ...step, ms: step.filteredMs, stops: against(reference, step.filtered as string) })),
  );
  const theirs = await page.evaluate(
    ([[s, r, w], list]) => (globalThis as unknown as Page).traceTheirs(s, r, w, list),
    [words, counts] as const,
  );
  console.log(
    `   WebGL: ${theirs.renderer}; its shader and scene were ready in ${(theirs.compileMs / 1000).toFixed(1)} s`,
  );
  tell("three-gpu-pathtracer", judged(theirs.steps));
  const last = pixelsOf((theirs.steps.at(-1) as Step).luminance);
  const off = [...deviations(reference, width, (i) => last[i] as number)].sort((a, b) => a - b);
  const mean = Math.log2(off.reduce((sum, stops) => sum + 2 ** stops, 0) / off.length);
  console.log(
    `   its longest over our reference: median ${(off[off.length >> 1] as number).toFixed(3)}, mean ${mean.toFixed(3)} stop`,
  );
});

/** Against its own longest run, that run's noise taken out; the longest itself is left out. */
function judged(steps: readonly Step[]): readonly Moment[] {
  const last = steps.at(-1) as Step;
  const pixels = pixelsOf(last.luminance);
  const own: Reference = {
    tiles: reference.tiles,
    luminance: Float32Array.from(
      reference.tiles.flatMap(({ x, y, width: w, height: h }) =>
        Array.from({ length: w * h }, (_, i) => pixels[(y + Math.floor(i / w)) * width + x + (i % w)] as number),
      ),
    ),
  };
  return steps.slice(0, -1).map((step) => ({
    ...step,
    stops: against(own, step.luminance) / Math.sqrt(1 - step.samples / last.samples),
  }));
}

interface Moment {
  readonly samples: number;
  readonly ms: number;
  readonly stops: number;
}

function against(to: Reference, luminance: string): number {
  const pixels = pixelsOf(luminance);
  return deviation(to, width, (i) => pixels[i] as number);
}

function pixelsOf(luminance: string): Float32Array {
  return new Float32Array(Uint8Array.from(Buffer.from(luminance, "base64")).buffer);
}

function tell(name: string, course: readonly Moment[]): void {
  const rows = course.map(({ samples, ms, stops }) => `${samples}: ${stops.toFixed(3)} in ${(ms / 1000).toFixed(1)} s`);
  const time = timeTo(LIMIT, course);
  const last = course.at(-1) as Moment;
  // Beyond the last step noise falls with the root of the paths.
  const verdict =
    time === null
      ? `${((last.ms * (last.stops / LIMIT) ** 2) / 1000).toFixed(0)} s (beyond what was run, by the root of the paths)`
      : `${(time / 1000).toFixed(1)} s`;
  console.log(`   ${name.padEnd(22)} 0.1 stop in ${verdict}  (paths: stops; ${rows.join("; ")})`);
}
