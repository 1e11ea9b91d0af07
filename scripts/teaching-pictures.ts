/**
 * Writes docs/pictures/: the headshot of the demo with each light alone, all together, and with and without the hair
 * light on dark, mid and fair hair; and measures how bright the hair then is, for the table of docs/pictures/README.md.
 * Only hair class and hair light change. One thread, about a minute and a half: nice -n 15 node scripts/teaching-pictures.ts
 */

import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { cameraRay, denoiseLayer, encodePixels, type LayerGain, mixLayers, newRay } from "../src/picture/index.ts";
import { closestHit, newHit, newStack, type Scene } from "../src/scene/index.ts";
import { demoSetups, type HairClass, type Light, type Setup } from "../src/setup/index.ts";
import { predict } from "../src/solve/index.ts";
import { renderSetup, type SetupPicture, writePng8 } from "../src/work/index.ts";

const WIDTH = 300;
const HEIGHT = 450;
const SAMPLES = 12;
const SEED = 1;
/** The trade's rule for the hair light, stops under the working aperture (common practice, no source). */
const RULE = { dark: 1, mid: 2, fair: 3 } as const satisfies Partial<Record<HairClass, number>>;

const folder: string = join(import.meta.dirname, "..", "docs", "pictures");

/** Pictures and rows of the table of one class of hair. */
async function renderClass(from: Setup, hair: HairClass & keyof typeof RULE): Promise<readonly string[]> {
  const setup: Setup = { ...from, subject: { ...from.subject, hair } };
  const light = setup.lights.find(({ role }) => role === "hair") as Light;
  const began = performance.now();
  const size = { width: WIDTH, height: HEIGHT, noiseStops: 0, mostSamples: SAMPLES, seed: SEED, threads: 1 };
  const onPass = ({ samples }: { readonly samples: number }): void => console.log(`${hair} hair, ${samples} paths`);
  const raw = (await renderSetup(setup, { ...size, denoise: false, onPass })) as SetupPicture;
  const noise = `noise ${raw.noiseStops.toFixed(2)} stop before the filter`;
  console.log(
    `${hair} hair: ${SAMPLES} paths per pixel, ${noise}, ${Math.round((performance.now() - began) / 1000)} s`,
  );
  const smooth = raw.layers.map((layer) => denoiseLayer(layer, raw.guides));
  const gains = gainsAt(setup, raw, light, RULE[hair]);
  await save(`${hair}-with-hair-light`, mix(raw, smooth, gains));
  await save(
    `${hair}-without-hair-light`,
    mix(
      raw,
      smooth,
      switched(gains, (id) => id !== light.id),
    ),
  );
  if (hair === from.subject.hair) {
    for (const { id, role } of setup.lights) {
      await save(
        `${role}-alone`,
        mix(
          raw,
          smooth,
          switched(gains, (each) => each === id),
        ),
      );
    }
  }
  const pixels = hairPixels(raw.scene);
  return [1, 2, 3].map((under) => tableRow(setup, raw, light, hair, under, pixels));
}

/** Figures from layers as traced: the filter moves light between pixels. Luminance, 0.18 at the card. */
function tableRow(
  setup: Setup,
  raw: SetupPicture,
  light: Light,
  hair: HairClass & keyof typeof RULE,
  under: number,
  pixels: readonly number[],
): string {
  const gains = gainsAt(setup, raw, light, under);
  const lit = (on: (id: string) => boolean): Float64Array => {
    const linear = mix(raw, raw.layers, switched(gains, on));
    return Float64Array.from(pixels, (i) => luminanceAt(linear, i)).sort();
  };
  const alone = lit((id) => id === light.id);
  const [without, all] = [lit((id) => id !== light.id), lit(() => true)];
  const bright = alone[Math.floor(0.9 * alone.length)] as number;
  const figures = [mean(alone), bright, mean(without), mean(all)].map((value) => value.toFixed(4));
  const rule = RULE[hair] === under ? " (the rule)" : "";
  return `| ${hair} | ${under} under${rule} | ${figures.join(" | ")} |`;
}

/** Gains with the hair light exactly so many stops under the working aperture at its meter place, as predicted. */
function gainsAt(setup: Setup, raw: SetupPicture, light: Light, under: number): readonly LayerGain[] {
  const now = predict(setup).lights.find(({ lightId }) => lightId === light.id)?.predicted.av ?? null;
  if (now === null) throw new RangeError("the hair light is dark at its meter place");
  const change = 2 ** (setup.exposure.apertureAv - under - now);
  return raw.gains.map((gain) => (gain.lightId === light.id ? { ...gain, output: gain.output * change } : gain));
}

const switched = (gains: readonly LayerGain[], on: (id: string) => boolean): readonly LayerGain[] =>
  gains.map((gain) => ({ ...gain, on: gain.on && on(gain.lightId) }));

const mix = (picture: SetupPicture, layers: SetupPicture["layers"], gains: readonly LayerGain[]): Float32Array =>
  mixLayers(layers, gains, picture.referenceLxS, picture.cameraOffsetStops);

/** Pixels in whose middle the camera sees hair of the head, past equipment that is hidden from it. */
function hairPixels(scene: Scene): readonly number[] {
  const { firstTriangle, triangleCount } = scene.groups.find(({ kind }) => kind === "hair") as Scene["groups"][number];
  const [ray, hit, stack] = [newRay(), newHit(), newStack(scene.bvh)];
  const seesHair = (i: number): boolean => {
    const [x, y] = [(i % WIDTH) + 0.5, Math.floor(i / WIDTH) + 0.5];
    cameraRay(scene.camera, WIDTH, HEIGHT, x, y, 0.5, 0.5, ray);
    const { ox, oy, oz, dx, dy, dz } = ray;
    for (let from = 1e-4; closestHit(scene, ox, oy, oz, dx, dy, dz, from, 1e3, hit, stack); from = hit.t + 1e-4) {
      if (scene.hidden[hit.triangle] === 1) continue;
      return hit.triangle >= firstTriangle && hit.triangle < firstTriangle + triangleCount;
    }
    return false;
  };
  return Array.from({ length: WIDTH * HEIGHT }, (_, i) => i).filter(seesHair);
}

const luminanceAt = (linear: Float32Array, i: number): number =>
  0.2126 * (linear[3 * i] as number) + 0.7152 * (linear[3 * i + 1] as number) + 0.0722 * (linear[3 * i + 2] as number);

const mean = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0) / values.length;

async function save(name: string, linear: Float32Array): Promise<void> {
  const png = await writePng8(encodePixels(linear), WIDTH, HEIGHT);
  writeFileSync(join(folder, `${name}.png`), png);
  console.log(`docs/pictures/${name}.png, ${Math.round(png.length / 1000)} kB`);
}

const demo: Setup | undefined = demoSetups().find(({ id }) => id === "demo-choir");
if (demo === undefined) throw new RangeError("the demo has no headshot");
mkdirSync(folder, { recursive: true });
const rows: string[] = [];
for (const hair of ["fair", "dark", "mid"] as const) rows.push(...(await renderClass(demo, hair)));
console.log("\n| hair | hair light | alone: mean | alone: brightest tenth from | without | all: mean |");
console.log(`|---|---|---|---|---|---|\n${rows.join("\n")}`);
