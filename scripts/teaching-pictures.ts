/**
 * Writes docs/pictures/: the headshot of the demo, framed on head and shoulders, with each light alone, all together,
 * and with and without the hair light on dark, brown and fair hair; and measures how bright the hair then is, for the
 * table of docs/pictures/README.md. Every light is set exactly to its target at its meter place, as predicted. A light
 * that is 2 or 3 stops under is nearly black alone: it is shown a second time, brighter by exactly that.
 * A graphics card traces where there is one, else the processor: nice -n 15 node scripts/teaching-pictures.ts [paths] [folder]
 */

import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { openEngine } from "../src/cli/render-engine.ts";
import { denoiseLayer, encodePixels, type LayerGain, mixLayers } from "../src/picture/index.ts";
import type { HairClass, Id, Light, Setup } from "../src/setup/index.ts";
import { predict } from "../src/solve/index.ts";
import { type RenderOptions, renderSetup, type SetupPicture, writePng8 } from "../src/work/index.ts";
import {
  closeHeadshot,
  figuresOf,
  hairLightFactor,
  hairLightOf,
  hairPixels,
  luminanceAt,
  RULE,
} from "../test/hair-rule.ts";

const WIDTH = 480;
const HEIGHT = 720;
const SEED = 1;
/** Frames head and shoulders. */
const FOCAL_MM = 185;
const AIM_OVER_NOSE_M = -0.03;

/** Takes a finished picture: its name and RGBA, 8 bits each. */
type Save = (name: string, rgba: Uint8ClampedArray) => Promise<void>;

type Class = HairClass & keyof typeof RULE;

/** Stops under the working aperture at which each light of the demo stands. */
const under = (light: Light, hair: Class): number =>
  light.role === "hair" ? RULE[hair] : light.target.kind === "under" ? light.target.stops : 0;

/** Pictures and rows of the table of one class of hair. */
async function renderClass(
  hair: Class,
  drawAlone: boolean,
  more: Partial<RenderOptions>,
  save: Save,
): Promise<readonly string[]> {
  const setup = closeHeadshot(hair, FOCAL_MM, AIM_OVER_NOSE_M);
  const began = performance.now();
  const size = { width: WIDTH, height: HEIGHT, noiseStops: 0, seed: SEED, denoise: false };
  const raw = (await renderSetup(setup, { ...size, ...more })) as SetupPicture;
  const seconds = Math.round((performance.now() - began) / 1000);
  console.log(`${hair}: ${raw.samples} paths, noise ${raw.noiseStops.toFixed(2)} stop before the filter, ${seconds} s`);
  const smooth = raw.layers.map((layer) => denoiseLayer(layer, raw.guides));
  const gains = gainsAtTargets(setup, raw, hair);
  const { id } = hairLightOf(setup);
  const show = (name: string, linear: Float32Array, brighterStops = 0): Promise<void> =>
    save(name, encodePixels(linear.map((value) => value * 2 ** brighterStops)));
  const withoutHairLight = only(gains, (each) => each !== id);
  await show(`${hair}-with-hair-light`, mix(raw, smooth, gains));
  await show(`${hair}-without-hair-light`, mix(raw, smooth, withoutHairLight));
  for (const light of drawAlone ? setup.lights : []) {
    const alone = mix(
      raw,
      smooth,
      only(gains, (each) => each === light.id),
    );
    await show(`${light.role}-alone`, alone);
    const stops = under(light, hair);
    if (stops > 0) await show(`${light.role}-alone-${stops}-stops-brighter`, alone, stops);
  }
  const pixels = hairPixels(raw.scene, WIDTH, HEIGHT);
  return [1, 2, 3].map((stops) => tableRow(setup, raw, hair, stops, pixels));
}

/** Figures from layers as traced: the filter moves light between pixels. Luminance, 0.18 at the card. */
function tableRow(setup: Setup, raw: SetupPicture, hair: Class, stops: number, pixels: readonly number[]): string {
  const { id } = hairLightOf(setup);
  const change = 2 ** (RULE[hair] - stops);
  const gains = gainsAtTargets(setup, raw, hair).map((gain) =>
    gain.lightId === id ? { ...gain, output: gain.output * change } : gain,
  );
  const lit = (on: (id: Id) => boolean) => {
    const linear = mix(raw, raw.layers, only(gains, on));
    return figuresOf(pixels.map((i) => luminanceAt(linear, i)));
  };
  const [alone, without, all] = [lit((each) => each === id), lit((each) => each !== id), lit(() => true)];
  const rule = RULE[hair] === stops ? " (the rule)" : "";
  const figures = [alone.mean, alone.bright, without.mean, all.mean].map((value) => value.toFixed(4));
  return `| ${hair} | ${stops} under${rule} | ${figures.join(" | ")} |`;
}

/** Gains with every light exactly at its target where it is metered, by the predictor. */
function gainsAtTargets(setup: Setup, raw: SetupPicture, hair: Class): readonly LayerGain[] {
  const predicted = new Map(predict(setup).lights.map((each) => [each.lightId, each.predicted.av]));
  return raw.gains.map((gain) => {
    const light = setup.lights.find(({ id }) => id === gain.lightId);
    if (light === undefined) return gain;
    if (light.role === "hair") return { ...gain, output: gain.output * hairLightFactor(setup, RULE[hair]) };
    const av = predicted.get(light.id) ?? null;
    if (av === null) throw new RangeError(`${light.tag} is dark at its meter place`);
    return { ...gain, output: gain.output * 2 ** (setup.exposure.apertureAv - under(light, hair) - av) };
  });
}

const only = (gains: readonly LayerGain[], on: (id: Id) => boolean): readonly LayerGain[] =>
  gains.map((gain) => ({ ...gain, on: gain.on && on(gain.lightId) }));

const mix = (picture: SetupPicture, layers: SetupPicture["layers"], gains: readonly LayerGain[]): Float32Array =>
  mixLayers(layers, gains, picture.referenceLxS, picture.cameraOffsetStops);

/** All pictures, and the rows of the table. */
export async function teachingPictures(more: Partial<RenderOptions>, save: Save): Promise<readonly string[]> {
  const rows: string[] = [];
  for (const hair of ["fair", "dark", "mid"] as const)
    rows.push(...(await renderClass(hair, hair === "fair", more, save)));
  return rows;
}

async function main(): Promise<void> {
  const folder = process.argv[3] ?? join(import.meta.dirname, "..", "docs", "pictures");
  mkdirSync(folder, { recursive: true });
  const engine = await openEngine();
  console.log(engine.words);
  const by = engine.renderer === null ? { threads: 1 } : { renderer: engine.renderer };
  const rows = await teachingPictures({ ...by, mostSamples: Number(process.argv[2] ?? 16) }, async (name, rgba) => {
    const png = await writePng8(rgba, WIDTH, HEIGHT);
    writeFileSync(join(folder, `${name}.png`), png);
    console.log(`${name}.png, ${Math.round(png.length / 1000)} kB`);
  });
  console.log("\n| hair | hair light | alone: mean | alone: brightest tenth from | without | all: mean |");
  console.log(`|---|---|---|---|---|---|\n${rows.join("\n")}`);
  engine.end();
}

if (import.meta.main) await main();
