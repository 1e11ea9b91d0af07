/**
 * `render`: what the lights make of the scene, traced until the asked noise, into a new PNG; float layers beside it.
 * The tracing, the mix and the anchor are work's and picture's.
 */

import { encodePixels, encodePixels16, falseColourPixels, stopsLegend } from "../picture/index.ts";
import type { Light, Setup } from "../setup/index.ts";
import { failure, fault, type Result, success } from "../units/index.ts";
import { aloneOf, mixOf, renderSetup, type SetupPicture, writePng8, writePng16 } from "../work/index.ts";
import { type Answer, type Command, DATA_OPTION, JSON_OPTION } from "./command.ts";
import { digits } from "./figures.ts";
import { writeNewFile } from "./output.ts";
import { quoted, safe } from "./print.ts";
import { checkLayerFiles, layerFileNames, writeLayers } from "./render-layers.ts";
import { DEFAULTS, MOST_PIXELS, memoryOf, type RenderWords, readRenderWords } from "./render-words.ts";
import { readSetup } from "./setup-input.ts";
import type { Words } from "./words.ts";
import type { World } from "./world.ts";

export const renderCommand: Command = {
  name: "render",
  usage: "FILE.json | SETUP-ID --out FILE.png",
  positionals: { least: 1, most: 1, mend: "Name a setup's file, its id in the book, or - for standard input." },
  options: [
    { name: "out", takes: "value", value: "FILE", help: "the new picture, a .png" },
    { name: "size", takes: "value", value: "WxH", help: `pixels; ${DEFAULTS.width}x${DEFAULTS.height} unless said` },
    { name: "noise", takes: "value", value: "STOPS", help: `stop at this noise; ${DEFAULTS.noiseStops} unless said` },
    {
      name: "samples",
      takes: "value",
      value: "N",
      help: `paths per pixel at most; ${DEFAULTS.mostSamples} unless said`,
    },
    { name: "alone", takes: "value", value: "TAG", help: "one light and nothing else, even if it is off" },
    { name: "false-colour", takes: "nothing", help: "stops from the 18 % card as colours" },
    { name: "sixteen", takes: "nothing", help: "16 bits a channel instead of 8" },
    { name: "no-filter", takes: "nothing", help: "keep every sample as it fell" },
    { name: "layers", takes: "value", value: "DIR", help: "each light's layer too, as PFM floats with layers.json" },
    DATA_OPTION,
    JSON_OPTION,
  ],
  notes: [
    "An 18 % card that reads the working aperture shows as 18 %, a white one just clips. Each light is a layer of its own,",
    "linear, per unit of its output; layers.json says how they make the picture. Noise is an estimate in stops, before",
    "the filter. The same words give the same picture. Ctrl-C ends it and leaves no file. A picture of another shape than",
    "the camera's keeps the frame's height. No file that is there is written over.",
    `At most ${MOST_PIXELS / 1e6} megapixels, and no more than fits this machine: a run says what it will take.`,
  ],
  run: (words, world) => render(words, world),
};

async function render(words: Words, world: World): Promise<Result<Answer>> {
  const wanted = readRenderWords(words);
  if (!wanted.ok) return wanted;
  const read = await readSetup(words, world);
  if (!read.ok) return read;
  const { setup } = read.value;
  const light = lightOf(setup, wanted.value.alone);
  if (!light.ok) return light;
  const ready = checkSetup(setup, wanted.value, light.value, world);
  if (!ready.ok) return ready;
  const traced = await trace(setup, wanted.value, light.value, ready.value.memoryBytes, world);
  if (!traced.ok) return traced;
  return write(setup, traced.value, wanted.value, light.value, ready.value.memoryBytes);
}

/** The light that --alone names; null without. */
function lightOf(setup: Setup, tag: string | null): Result<Light | null> {
  if (tag === null) return success(null);
  const same = (light: Light): boolean => light.tag === tag;
  const found = setup.lights.find(same) ?? setup.lights.find((each) => each.tag.toUpperCase() === tag.toUpperCase());
  if (found !== undefined) return success(found);
  const known = setup.lights.map((each) => safe(each.tag)).join(", ");
  const mend = known === "" ? "Leave --alone out: it has no lights." : `Name one of: ${known}.`;
  return failure(fault("tag-unknown", `No light of this setup is tagged ${quoted(tag)}`, "--alone", mend));
}

/** What must hold before a ray is traced: something shines, the names are free, the memory is there. */
function checkSetup(
  setup: Setup,
  wanted: RenderWords,
  alone: Light | null,
  world: World,
): Result<{ readonly memoryBytes: number }> {
  const ambient = (setup.room.ambientLx ?? 0) > 0;
  if (setup.lights.length === 0 && !ambient) {
    return failure(fault("picture-dark", "This setup has no lights", "lights", "Add a light to it."));
  }
  if (alone === null && !ambient && !setup.lights.some(({ on }) => on)) {
    return failure(fault("picture-dark", "Every light is off", "lights", "Switch one on, or name one with --alone."));
  }
  if (wanted.layers !== null) {
    const free = checkLayerFiles(wanted.layers, layerFileNames(setup));
    if (!free.ok) return free;
  }
  const count = alone !== null && wanted.layers === null ? 1 : setup.lights.length + (ambient ? 1 : 0);
  const memoryBytes = memoryOf(wanted.width, wanted.height, count);
  if (memoryBytes <= world.memoryBytes) return success({ memoryBytes });
  const what = `${count} layers of this size take about ${memoryText(memoryBytes)}, and this machine has ${memoryText(world.memoryBytes)}`;
  return failure(fault("size-memory", what, "--size", "Ask for fewer pixels, or for one light with --alone."));
}

async function trace(
  setup: Setup,
  wanted: RenderWords,
  alone: Light | null,
  memoryBytes: number,
  world: World,
): Promise<Result<SetupPicture>> {
  const { width, height, noiseStops, mostSamples, filter } = wanted;
  const stop = new AbortController();
  void world.stopAsked().then(() => stop.abort());
  world.progress(`${width} × ${height}, about ${memoryText(memoryBytes)} of memory; building the scene`);
  let pass = 0;
  const picture = await renderSetup(alone === null ? setup : withOnly(setup, alone), {
    ...{ width, height, noiseStops, mostSamples, denoise: filter, signal: stop.signal },
    ...(alone !== null && wanted.layers === null ? { lightIds: [alone.id] } : {}),
    onPass: ({ samples, noiseStops: noise }) => {
      pass++;
      const reached = Number.isFinite(noise)
        ? `noise ${noise.toFixed(2)} of ${noiseStops} stop`
        : "noise not known yet";
      const paths = `${samples} ${samples === 1 ? "path" : "paths"} per pixel`;
      world.progress(`pass ${pass}, ${paths}, ${reached}`);
    },
  });
  world.progress(null);
  if (picture !== null) return success(picture);
  return failure(fault("stopped", "Stopped before the picture was done", "Ctrl-C", "Nothing was written. Ask again."));
}

/** The noise to stop at is then that of the light asked for. */
const withOnly = (setup: Setup, alone: Light): Setup => ({
  ...setup,
  lights: setup.lights.map((light) => ({ ...light, on: light.id === alone.id })),
});

async function write(
  setup: Setup,
  traced: SetupPicture,
  wanted: RenderWords,
  alone: Light | null,
  memoryBytes: number,
): Promise<Result<Answer>> {
  const picture: SetupPicture = { ...traced, ...mixOf(setup, traced.layers) };
  const linear = alone === null ? picture.together : aloneOf(picture, alone.id);
  const png = await pngOf(linear, wanted);
  const written = writeNewFile(wanted.out, png);
  if (!written.ok) return written;
  const layers = wanted.layers === null ? null : writeLayers(wanted.layers, setup, picture, wanted.filter);
  if (layers !== null && !layers.ok) {
    const kept = `${safe(wanted.out)} was written, its layers were not`;
    return failure(...layers.faults.map((f) => ({ ...f, what: `${f.what} (${kept})` })));
  }
  const folder = layers === null ? null : { folder: wanted.layers, files: layers.value };
  const json = summary(picture, wanted, alone, memoryBytes, folder);
  return success({ text: textOf(picture, wanted, alone, layers?.value ?? []), json });
}

function pngOf(linear: Float32Array, { width, height, sixteen, falseColour }: RenderWords): Promise<Uint8Array> {
  if (sixteen) return writePng16(encodePixels16(linear), width, height);
  return writePng8(falseColour ? falseColourPixels(linear, width) : encodePixels(linear), width, height);
}

function textOf(picture: SetupPicture, wanted: RenderWords, alone: Light | null, files: readonly string[]): string {
  const { out, width, height } = wanted;
  const shown = alone === null ? "together" : `${safe(alone.tag)} alone`;
  const noise = Number.isFinite(picture.noiseStops) ? `noise ${digits(picture.noiseStops, 2)} stop` : "noise not known";
  const short = picture.noiseStops <= wanted.noiseStops ? "" : `; ${wanted.noiseStops} asked, --samples came first`;
  const lines = [`${safe(out)}: ${shown}, ${width} × ${height}, ${picture.samples} per pixel, ${noise}${short}`];
  if (files.length > 0) lines.push(`${safe(wanted.layers ?? "")}: ${files.map(safe).join(", ")}`);
  if (wanted.falseColour) {
    const bands = stopsLegend().map(({ label, colour, mark }) => `${label} ${mark === null ? hex(colour) : "stripes"}`);
    lines.push(`Stops from the card: ${bands.join(", ")}`);
  }
  return lines.join("\n");
}

/** The documented JSON: docs/schema/render.json. */
function summary(
  picture: SetupPicture,
  wanted: RenderWords,
  alone: Light | null,
  memoryBytes: number,
  layers: { readonly folder: string | null; readonly files: readonly string[] } | null,
): unknown {
  const legend = stopsLegend().map(({ label, colour, stops }) => ({ label, colour: hex(colour), stops }));
  return {
    ...{ format: "stopwise-render", version: 1, out: wanted.out, width: wanted.width, height: wanted.height },
    ...{ bits: wanted.sixteen ? 16 : 8, alone: alone?.tag ?? null, filtered: wanted.filter },
    falseColour: wanted.falseColour ? legend : null,
    samples: picture.samples,
    noiseStops: Number.isFinite(picture.noiseStops) ? picture.noiseStops : null,
    noiseReached: picture.noiseStops <= wanted.noiseStops,
    ...{ rays: picture.rays, memoryBytes, referenceLxS: picture.referenceLxS, layers },
  };
}

const hex = (colour: readonly number[]): string =>
  `#${colour.map((code) => code.toString(16).padStart(2, "0")).join("")}`;

const memoryText = (bytes: number): string =>
  bytes < 1e9 ? `${Math.max(1, Math.round(bytes / 1e6))} MB` : `${(bytes / 1e9).toFixed(1)} GB`;
