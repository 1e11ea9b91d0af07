/**
 * From a setup to its picture: scene, layers, what each light gives now, the anchor, the mix. The command line, the
 * page and thumbnails call this. Output of a light is the solver's own: its map of lx·s over photometry's factor at
 * one spot is the flux that leaves the front, dial, pops, cloth, gels, shutter and calibration in it.
 */

import { frontFactor } from "../photometry/index.ts";
import {
  createFilter,
  type LayerGain,
  layerIds,
  lightTint,
  mixLayers,
  packScene,
  type RenderRequest,
  referenceExposure,
  soloGains,
} from "../picture/index.ts";
import { buildScene, type Scene, type SceneOptions } from "../scene/index.ts";
import { frontOf, type Id, type Light, mainOf, type Setup } from "../setup/index.ts";
import { createSolver } from "../solve/index.ts";
import { addScaled, kelvin, mired, normalize, scale, type Vec3 } from "../units/index.ts";
import { createRenderer, type Renderer } from "./renderer.ts";
import type { Progress } from "./types.ts";

export interface RenderOptions {
  readonly width: number;
  readonly height: number;
  /** Estimated noise to stop at, stops; 0.1 unless told otherwise. */
  readonly noiseStops?: number;
  /** Paths per pixel at most; 4096 unless told otherwise. */
  readonly mostSamples?: number;
  readonly seed?: number;
  readonly bounces?: number;
  /** Filter each layer; false keeps every sample as it fell. */
  readonly denoise?: boolean;
  /** Only these lights' layers; all unless told otherwise. */
  readonly lightIds?: readonly Id[];
  readonly scene?: SceneOptions;
  /** Another camera, or other things hidden from it: the scene as built, changed in `camera` and `hidden` alone. */
  readonly look?: (built: Scene) => Scene;
  readonly threads?: number;
  readonly onPass?: (progress: Progress) => void;
  /** Cancels when it fires; the result is then null. */
  readonly signal?: AbortSignal;
  /** A renderer to use again; one is made and ended otherwise. */
  readonly renderer?: Renderer;
}

export interface SetupPicture extends Progress {
  readonly scene: Scene;
  readonly gains: readonly LayerGain[];
  /** H_ref of the working aperture, lx·s. */
  readonly referenceLxS: number;
  readonly cameraOffsetStops: number;
  /** Display-linear rgb of all lights that are on, 0.18 at the card. */
  readonly together: Float32Array;
}

/** Renders every light's layer of a setup and mixes them. Null when cancelled. */
export async function renderSetup(setup: Setup, options: RenderOptions): Promise<SetupPicture | null> {
  const built = buildScene(setup, { equipment: "hidden", ...options.scene });
  const scene = options.look?.(built) ?? built;
  const packed = packScene(scene);
  const renderer = options.renderer ?? createRenderer(options.threads);
  const cancel = (): void => renderer.cancel();
  options.signal?.addEventListener("abort", cancel);
  try {
    if (options.signal?.aborted) return null;
    const request = requestOf(setup, packed.lightIds, options);
    const weights = weightsOf(setup, layerIds(packed, request));
    const filter = options.denoise === true;
    const goal = { noiseStops: options.noiseStops ?? 0.1, mostSamples: options.mostSamples ?? 4096, weights, filter };
    const raw = await renderer.render(packed, request, goal, options.onPass);
    if (raw === null) return null;
    // A renderer on a card hands out layers as they fell.
    const layers = raw.filtered ?? (filter ? raw.layers.map(createFilter(raw.guides)) : raw.layers);
    return { ...raw, layers, scene, ...mixOf(setup, layers) };
  } finally {
    options.signal?.removeEventListener("abort", cancel);
    if (!options.renderer) renderer.end();
  }
}

/** The same layers with one light alone. */
export const aloneOf = (picture: SetupPicture, lightId: Id): Float32Array =>
  mixLayers(picture.layers, soloGains(picture.gains, lightId), picture.referenceLxS, picture.cameraOffsetStops);

/** What a setup as it stands makes of layers: gains, anchor and mix. No ray is traced: call it after every dial. */
export function mixOf(
  setup: Setup,
  layers: Parameters<typeof mixLayers>[0],
): Pick<SetupPicture, "gains" | "referenceLxS" | "cameraOffsetStops" | "together"> {
  const gains = gainsOf(setup);
  const referenceLxS = setupReference(setup);
  const cameraOffsetStops = setup.camera.meterOffsetStops ?? 0;
  return {
    gains,
    referenceLxS,
    cameraOffsetStops,
    together: mixLayers(layers, gains, referenceLxS, cameraOffsetStops),
  };
}

/** How each light goes into the mix now; and the room's ambient, by what was measured at the nose. */
export function gainsOf(setup: Setup): readonly LayerGain[] {
  const solver = createSolver();
  const lights = setup.lights.map((light): LayerGain => {
    const shift = light.gels.reduce((sum, gel) => sum + gel.miredShift, 0);
    const tint = lightTint(kelvin(light.head.temperatureK), mired(shift), kelvin(setup.exposure.whiteBalanceK));
    const output = outputOf(setup, light, solver);
    return { lightId: light.id, on: light.on, output, tint: tint.ok ? tint.value : [1, 1, 1] };
  });
  const ambient = (setup.room.ambientLx ?? 0) * setup.exposure.shutterS;
  return [...lights, { lightId: "ambient", on: ambient > 0, output: ambient, tint: [1, 1, 1] }];
}

/** H_ref: the working aperture by the receptor that the main is metered with, so that the metered card is 0.18. */
export function setupReference({ exposure, meter, lights }: Pick<Setup, "exposure" | "meter" | "lights">): number {
  const main = mainOf({ lights });
  const constant = main?.meterAt.receptor === "disc" ? meter.discC : meter.domeC;
  return referenceExposure(exposure.apertureAv, exposure.iso, constant);
}

/** What each layer counts in the mix as it stands: output over H_ref, 0 for what is off. */
function weightsOf(setup: Setup, ids: readonly string[]): readonly number[] {
  const gains = new Map(gainsOf(setup).map((gain) => [gain.lightId, gain.on ? gain.output : 0]));
  return ids.map((id) => (gains.get(id) ?? 0) / setupReference(setup));
}

/** lm·s leaving the front. Asked a metre ahead, or slantwise where a measured beam has a dark middle. */
function outputOf(setup: Setup, light: Light, solver: ReturnType<typeof createSolver>): number {
  const front = frontOf(setup, light);
  const ways = [0, 0.2, 0.5].map((lean): Vec3 => normalize(addScaled(front.normal, front.up, lean)));
  for (const way of ways) {
    const origin = addScaled(front.centre, way, 1);
    const axis = scale(way, -1);
    const factor = frontFactor(front, origin, axis, { kind: "disc" });
    if (!(factor > 0)) continue;
    const sheet = { origin, stepU: [0, 0, 0], stepV: [0, 0, 0], columns: 1, rows: 1 } as const;
    return (solver.map(setup, light.id, sheet, axis, "disc")[0] as number) / factor;
  }
  return 0;
}

function requestOf(setup: Setup, lightIds: readonly string[], options: RenderOptions): RenderRequest {
  const wanted = options.lightIds ?? lightIds;
  const emitters = lightIds.flatMap((id, i) => (wanted.includes(id) ? [i] : []));
  const ambient = (setup.room.ambientLx ?? 0) > 0 && options.lightIds === undefined;
  const { width, height } = options;
  return { width, height, emitters, ambient, bounces: options.bounces ?? 12, seed: options.seed ?? 1, shadows: true };
}
