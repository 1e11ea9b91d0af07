/**
 * `render`: what the lights make of the scene, traced until the asked noise, into a new PNG; float layers beside it.
 * The tracing, the mix and the anchor are work's and picture's.
 */

import { encodePixels, encodePixels16, falseColourPixels, stopsLegend } from "../picture/index.ts";
import type { Scene } from "../scene/index.ts";
import type { Light, Setup } from "../setup/index.ts";
import { failure, fault, type Result, success } from "../units/index.ts";
import { aloneOf, mixOf, type Renderer, renderSetup, type SetupPicture, writePng8, writePng16 } from "../work/index.ts";
import { type Answer, type Command, DATA_OPTION, JSON_OPTION } from "./command.ts";
import { digits } from "./figures.ts";
import { writeNewFile } from "./output.ts";
import { quoted, safe } from "./print.ts";
import { type Engine, openEngine, processorEngine } from "./render-engine.ts";
import { checkLayerFiles, layerFileNames, writeLayers } from "./render-layers.ts";
import { type Strip, stripFrames, stripOf, stripSize } from "./render-strip.ts";
import { walked } from "./render-view.ts";
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
    { name: "view", takes: "value", value: "AZ,EL", help: "from elsewhere: degrees round the nose, 0,0 from in front" },
    { name: "false-colour", takes: "nothing", help: "stops from the 18 % card as colours" },
    { name: "sixteen", takes: "nothing", help: "16 bits a channel instead of 8" },
    { name: "no-filter", takes: "nothing", help: "keep every sample as it fell" },
    { name: "layers", takes: "value", value: "DIR", help: "each light's layer too, as PFM floats with layers.json" },
    { name: "exr", takes: "nothing", help: "layers as OpenEXR floats instead" },
    { name: "strip", takes: "nothing", help: "every light alone, then all, side by side with their tags" },
    { name: "processor", takes: "nothing", help: "trace on the processor even where a graphics card could" },
    DATA_OPTION,
    JSON_OPTION,
  ],
  notes: [
    "An 18 % card that reads the working aperture shows as 18 %, a white one just clips. Each light is a layer of its own,",
    "linear, per unit of its output; layers.json says how they make the picture. Noise is an estimate in stops, of the",
    "filtered picture where it is filtered. The same words give the same picture. Ctrl-C ends it and leaves no file. A",
    "picture of another shape than the camera's keeps the frame's height. No file that is there is written over.",
    "A graphics card traces where the optional package webgpu is installed and finds one; its picture differs by rounding",
    "alone. --size is that of each picture of a strip; a strip leaves out lights that are off.",
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
    const free = checkLayerFiles(wanted.layers, layerFileNames(setup, wanted.exr));
    if (!free.ok) return free;
  }
  const count = alone !== null && wanted.layers === null ? 1 : setup.lights.length + (ambient ? 1 : 0);
  const memoryBytes = memoryOf(wanted.width, wanted.height, count) + stripBytes(setup, wanted);
  if (memoryBytes <= world.memoryBytes) return success({ memoryBytes });
  const what = `${count} layers of this size take about ${memoryText(memoryBytes)}, and this machine has ${memoryText(world.memoryBytes)}`;
  return failure(fault("size-memory", what, "--size", "Ask for fewer pixels, or for one light with --alone."));
}

interface Traced {
  readonly picture: SetupPicture;
  readonly engine: Engine;
}

/** On the card where there is one; when it gives up in the middle, the processor begins again. */
async function trace(
  setup: Setup,
  wanted: RenderWords,
  alone: Light | null,
  memoryBytes: number,
  world: World,
): Promise<Result<Traced>> {
  const stop = new AbortController();
  void world.stopAsked().then(() => stop.abort());
  const say = (words: string): void => world.progress(words);
  say(`${wanted.width} × ${wanted.height}, about ${memoryText(memoryBytes)} of memory; building the scene`);
  let engine = wanted.processor ? processorEngine() : await openEngine();
  const run = (renderer: Renderer | null): Promise<SetupPicture | null> => {
    say(`tracing on the ${engine.words}`);
    return traceWith(renderer, setup, wanted, alone, stop.signal, say);
  };
  try {
    const picture = await run(engine.renderer).catch((error: unknown) => {
      if (engine.kind === "processor") throw error;
      engine.end();
      engine = processorEngine();
      say(`the graphics card gave up: ${error instanceof Error ? error.message : String(error)}`);
      return run(null);
    });
    world.progress(null);
    if (picture !== null) return success({ picture, engine });
    const mend = "Nothing was written. Ask again.";
    return failure(fault("stopped", "Stopped before the picture was done", "Ctrl-C", mend));
  } finally {
    engine.end();
  }
}

function traceWith(
  renderer: Renderer | null,
  setup: Setup,
  wanted: RenderWords,
  alone: Light | null,
  signal: AbortSignal,
  say: (words: string) => void,
): Promise<SetupPicture | null> {
  const { width, height, noiseStops, mostSamples, filter, view } = wanted;
  let pass = 0;
  return renderSetup(alone === null ? setup : withOnly(setup, alone), {
    ...{ width, height, noiseStops, mostSamples, denoise: filter, signal },
    ...(renderer === null ? {} : { renderer }),
    ...(view === null ? {} : { look: (built: Scene) => walked(setup, view, built) }),
    ...(alone !== null && wanted.layers === null ? { lightIds: [alone.id] } : {}),
    onPass: ({ samples, noiseStops: noise }) => {
      pass++;
      const reached = Number.isFinite(noise)
        ? `noise ${noise.toFixed(2)} of ${noiseStops} stop`
        : "noise not known yet";
      const paths = `${digits(samples, 4)} ${samples === 1 ? "path" : "paths"} per pixel`;
      say(`pass ${pass}, ${paths}, ${reached}`);
    },
  });
}

/** The noise to stop at is then that of the light asked for. */
const withOnly = (setup: Setup, alone: Light): Setup => ({
  ...setup,
  lights: setup.lights.map((light) => ({ ...light, on: light.id === alone.id })),
});

async function write(
  setup: Setup,
  traced: Traced,
  wanted: RenderWords,
  alone: Light | null,
  memoryBytes: number,
): Promise<Result<Answer>> {
  const picture: SetupPicture = { ...traced.picture, ...mixOf(setup, traced.picture.layers) };
  const strip = wanted.strip ? await stripOf(setup, picture, wanted.width, wanted.height, pixelsOf(wanted)) : null;
  const written = writeNewFile(wanted.out, await pngOf(picture, wanted, alone, strip));
  if (!written.ok) return written;
  const layers = wanted.layers === null ? null : await writeLayers(wanted.layers, setup, picture, wanted);
  if (layers !== null && !layers.ok) {
    const kept = `${safe(wanted.out)} was written, its layers were not`;
    return failure(...layers.faults.map((f) => ({ ...f, what: `${f.what} (${kept})` })));
  }
  const done: Done = { picture, engine: traced.engine, alone, strip, files: layers?.value ?? null, memoryBytes };
  return success({ text: textOf(done, wanted), json: summary(done, wanted) });
}

/** What came of it all. */
interface Done extends Traced {
  readonly alone: Light | null;
  readonly strip: Strip | null;
  /** Layers that were written; null without --layers. */
  readonly files: readonly string[] | null;
  readonly memoryBytes: number;
}

function pngOf(
  picture: SetupPicture,
  wanted: RenderWords,
  alone: Light | null,
  strip: Strip | null,
): Promise<Uint8Array> {
  if (strip !== null) return writePng8(strip.pixels, strip.width, strip.height);
  const linear = alone === null ? picture.together : aloneOf(picture, alone.id);
  const { width, height } = wanted;
  if (wanted.sixteen) return writePng16(encodePixels16(linear), width, height);
  return writePng8(pixelsOf(wanted)(linear), width, height);
}

const pixelsOf =
  ({ falseColour, width }: RenderWords) =>
  (linear: Float32Array): Uint8ClampedArray =>
    falseColour ? falseColourPixels(linear, width) : encodePixels(linear);

/** Pixels of the strip and the file made of them. */
function stripBytes(setup: Setup, { strip, width, height }: RenderWords): number {
  if (!strip) return 0;
  const size = stripSize(width, height, stripFrames(setup));
  return 12 * size.width * size.height;
}

function textOf({ picture, engine, alone, strip, files }: Done, wanted: RenderWords): string {
  const { out, width, height } = wanted;
  const shown =
    strip !== null ? strip.labels.map(safe).join(", ") : alone === null ? "together" : `${safe(alone.tag)} alone`;
  const noise = Number.isFinite(picture.noiseStops) ? `noise ${digits(picture.noiseStops, 2)} stop` : "noise not known";
  const short = picture.noiseStops <= wanted.noiseStops ? "" : `; ${wanted.noiseStops} asked, --samples came first`;
  const lines = [
    `${safe(out)}: ${shown}, ${width} × ${height}, ${digits(picture.samples, 4)} per pixel, ${noise}${short}`,
  ];
  lines.push(`Traced on the ${engine.words}`);
  if (files !== null) lines.push(`${safe(wanted.layers ?? "")}: ${files.map(safe).join(", ")}`);
  if (wanted.falseColour) {
    const bands = stopsLegend().map(({ label, colour, mark }) => `${label} ${mark === null ? hex(colour) : "stripes"}`);
    lines.push(`Stops from the card: ${bands.join(", ")}`);
  }
  return lines.join("\n");
}

/** The documented JSON: docs/schema/render.json. */
function summary({ picture, engine, alone, strip, files, memoryBytes }: Done, wanted: RenderWords): unknown {
  const legend = stopsLegend().map(({ label, colour, stops }) => ({ label, colour: hex(colour), stops }));
  return {
    ...{ format: "stopwise-render", version: 1, out: wanted.out, width: wanted.width, height: wanted.height },
    ...{ bits: wanted.sixteen ? 16 : 8, alone: alone?.tag ?? null, filtered: wanted.filter },
    view: wanted.view,
    strip: strip === null ? null : { width: strip.width, height: strip.height, labels: strip.labels },
    engine: { kind: engine.kind, words: engine.words },
    falseColour: wanted.falseColour ? legend : null,
    samples: picture.samples,
    noiseStops: Number.isFinite(picture.noiseStops) ? picture.noiseStops : null,
    noiseReached: picture.noiseStops <= wanted.noiseStops,
    ...{ rays: picture.rays, memoryBytes, referenceLxS: picture.referenceLxS },
    layers: files === null ? null : { folder: wanted.layers, files },
  };
}

const hex = (colour: readonly number[]): string =>
  `#${colour.map((code) => code.toString(16).padStart(2, "0")).join("")}`;

const memoryText = (bytes: number): string =>
  bytes < 1e9 ? `${Math.max(1, Math.round(bytes / 1e6))} MB` : `${(bytes / 1e9).toFixed(1)} GB`;
