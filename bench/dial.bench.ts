/**
 * From a turned dial to new pixels at 1280 × 800 with six lights, on the processor: what the lights give now (the
 * solver), the mix of seven layers (ambient too), the sRGB curve into 8-bit pixels. No ray is traced. Target: one frame
 * of a 60 Hz screen. Beside it the same sums in plain loops over one array per channel without tables, as a scale.
 */

import { srgbEncode } from "../src/colour/index.ts";
import { encodePixels, type Layer, type LayerGain, mixLayers } from "../src/picture/index.ts";
import { demoSetups, type Light, type Setup } from "../src/setup/index.ts";
import { gainsOf, setupReference } from "../src/work/index.ts";
import { printMachine, printRatio, printSink, printTarget, race } from "./harness.ts";

const [WIDTH, HEIGHT, SEED] = [1280, 800, 11];
const FRAME_MS = 1000 / 60;

const setup = sixLights(demoSetups()[0] as Setup);
const layers = [...setup.lights.map(({ id }) => id), "ambient"].map(layerOf);
const gains = gainsOf(setup);
const reference = setupReference(setup);
const mixed = new Float32Array(3 * WIDTH * HEIGHT);
const pixels = new Uint8ClampedArray(4 * WIDTH * HEIGHT);
const plainPixels = new Uint8ClampedArray(4 * WIDTH * HEIGHT);

printMachine();
console.log(`   ${WIDTH} × ${HEIGHT}, ${layers.length} layers, seed ${SEED}`);
const [, mix, , whole, plain] = race(
  [
    { name: "what the lights give now (solver, from nothing)", run: () => gainsOf(turned(0)).length },
    { name: "mix", run: (round) => mixLayers(layers, dialled(round), reference, 0, mixed)[round + 5000] as number },
    { name: "tone curve, 8 bits", run: (round) => encodePixels(mixed, pixels)[4 * (round + 5000)] as number },
    {
      name: "dial to pixels",
      run(round) {
        const linear = mixLayers(layers, gainsOf(turned(round)), reference, 0, mixed);
        return encodePixels(linear, pixels)[4 * (round + 5000)] as number;
      },
    },
    { name: "mix and curve in plain loops", run: (round) => plainly(dialled(round)) },
  ],
  { rounds: 25 },
);
printTarget(mix, FRAME_MS);
printTarget(whole, FRAME_MS);
printRatio(plain, whole);
const unlike = differing(dialled(3));
console.log(`   ${unlike} of ${pixels.length} codes differ from the plain loops by more than one`);
printSink();

/** The demo's four lights and two more in its places. */
function sixLights(demo: Setup): Setup {
  const more = [0, 1].map((i): Light => {
    const light = demo.lights[i] as Light;
    return { ...light, id: `${light.id}-again`, tag: `${light.tag}2`, place: { ...light.place } };
  });
  return { ...demo, lights: [...demo.lights, ...more] };
}

/** The main's dial a tenth of a stop further at every other round. */
function turned(round: number): Setup {
  const lights = setup.lights.map((light, i) =>
    i === 0 ? { ...light, dialStops: light.dialStops - 0.1 * (round & 1) } : light,
  );
  return { ...setup, lights };
}

function dialled(round: number): readonly LayerGain[] {
  return gains.map((gain, i) => (i === 0 ? { ...gain, output: gain.output * 2 ** (-0.1 * (round & 1)) } : gain));
}

function layerOf(lightId: string, k: number): Layer {
  let state = SEED + k;
  const rgb = Float32Array.from({ length: 3 * WIDTH * HEIGHT }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (0.2 * state) / 2 ** 32;
  });
  const [width, height] = [WIDTH, HEIGHT];
  return { lightId, width, height, rgb, sigma: new Float32Array(0), samples: 1, estimatedNoiseStops: 0 };
}

function plainly(now: readonly LayerGain[]): number {
  for (let i = 0; i < WIDTH * HEIGHT; i++) {
    for (let c = 0; c < 3; c++) {
      let sum = 0;
      layers.forEach(({ rgb }, k) => {
        const { on, output, tint } = now[k] as LayerGain;
        if (on) sum += ((rgb[3 * i + c] as number) * output * (tint[c] as number)) / reference;
      });
      plainPixels[4 * i + c] = Math.round(255 * srgbEncode(Math.min(1, Math.max(0, sum))));
    }
    plainPixels[4 * i + 3] = 255;
  }
  return plainPixels[5000] as number;
}

function differing(now: readonly LayerGain[]): number {
  encodePixels(mixLayers(layers, now, reference, 0, mixed), pixels);
  plainly(now);
  return pixels.reduce((n, code, i) => n + Number(Math.abs(code - (plainPixels[i] as number)) > 1), 0);
}
