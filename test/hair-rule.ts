/**
 * The trade's rule for the hair light (common practice, no source): 1 stop under the main for dark hair, 2 for
 * brown, 3 for blond make hair about equally bright. Here it is rendered: the demo's headshot, framed on the head,
 * the hair light alone, its luminance on hair in the picture. Figures as they come; everything else is the demo's.
 */

import { cameraRay, mixLayers, newRay, renderLayers, soloGains, usualRequest } from "../src/picture/index.ts";
import { buildScene, closestHit, hairAbsorption, newHit, newStack, type Scene } from "../src/scene/index.ts";
import { demoSetups, type HairClass, type Light, type Setup } from "../src/setup/index.ts";
import { predict } from "../src/solve/index.ts";
import { gainsOf, setupReference } from "../src/work/index.ts";

export interface HairRuleOptions {
  readonly width: number;
  readonly samples: number;
  readonly seed: number;
  /** Every strand at this eumelanin, in place of the class's own mixture. */
  readonly eumelanin?: number;
}

/** Luminance on hair with the hair light alone, 0.18 at the card. */
export interface HairFigures {
  readonly mean: number;
  /** From here up the brightest tenth of the pixels. */
  readonly bright: number;
  readonly pixels: number;
}

/** Stops under the working aperture by the rule. */
export const RULE: { readonly dark: 1; readonly mid: 2; readonly fair: 3 } = { dark: 1, mid: 2, fair: 3 };

/** The demo's headshot framed on head and shoulders: nothing but the lens and its aim differ. */
export function closeHeadshot(hair: HairClass, focalLengthMm: number, aimOverNoseM: number): Setup {
  const setup = demoSetups().find(({ id }) => id === "demo-choir") as Setup;
  const { camera, subject } = setup;
  const aim = { ...camera.aim, yM: subject.noseHeightM + aimOverNoseM };
  return { ...setup, camera: { ...camera, focalLengthMm, aim }, subject: { ...subject, hair } };
}

/** The factor that puts the hair light exactly so many stops under at its meter place, as predicted. */
export function hairLightFactor(setup: Setup, under: number): number {
  const { id } = hairLightOf(setup);
  const now = predict(setup).lights.find(({ lightId }) => lightId === id)?.predicted.av ?? null;
  if (now === null) throw new RangeError("the hair light is dark at its meter place");
  return 2 ** (setup.exposure.apertureAv - under - now);
}

export const hairLightOf = (setup: Setup): Light => setup.lights.find(({ role }) => role === "hair") as Light;

/** What the hair light alone makes of hair of a class at 0 stops under; a stop less halves it. */
export function hairFigures(hair: HairClass, options: HairRuleOptions): HairFigures {
  const setup = closeHeadshot(hair, 220, 0.05);
  const scene = tinted(buildScene(setup, { equipment: "hidden" }), options.eumelanin);
  const { width, samples, seed } = options;
  const height = Math.round(width / scene.camera.aspect);
  const light = hairLightOf(setup);
  const index = setup.lights.indexOf(light);
  const { layers } = renderLayers(scene, usualRequest(width, height, [index], seed), samples);
  const gains = soloGains(gainsOf(setup), light.id).map((gain) => ({
    ...gain,
    output: gain.output * hairLightFactor(setup, 0),
  }));
  const linear = mixLayers(layers, gains, setupReference(setup), 0);
  const tones = hairPixels(scene, width, height).map((i) => luminanceAt(linear, i));
  return figuresOf(tones);
}

/** Mean and the brightest tenth. */
export function figuresOf(tones: readonly number[]): HairFigures {
  const sorted = Float64Array.from(tones).sort();
  const mean = sorted.reduce((sum, value) => sum + value, 0) / sorted.length;
  return { mean, bright: sorted[Math.floor(0.9 * sorted.length)] as number, pixels: sorted.length };
}

/** Pixels in whose middle the camera sees hair of the head, past equipment that is hidden from it. */
export function hairPixels(scene: Scene, width: number, height: number): readonly number[] {
  const { firstTriangle, triangleCount } = scene.groups.find(({ kind }) => kind === "hair") as Scene["groups"][number];
  const [ray, hit, stack] = [newRay(), newHit(), newStack(scene.bvh)];
  const seesHair = (i: number): boolean => {
    const [x, y] = [(i % width) + 0.5, Math.floor(i / width) + 0.5];
    cameraRay(scene.camera, width, height, x, y, 0.5, 0.5, ray);
    const { ox, oy, oz, dx, dy, dz } = ray;
    for (let from = 1e-4; closestHit(scene, ox, oy, oz, dx, dy, dz, from, 1e3, hit, stack); from = hit.t + 1e-4) {
      if (scene.hidden[hit.triangle] === 1) continue;
      return hit.triangle >= firstTriangle && hit.triangle < firstTriangle + triangleCount;
    }
    return false;
  };
  return Array.from({ length: width * height }, (_, i) => i).filter(seesHair);
}

export const luminanceAt = (linear: Float32Array, i: number): number =>
  0.2126 * (linear[3 * i] as number) + 0.7152 * (linear[3 * i + 1] as number) + 0.0722 * (linear[3 * i + 2] as number);

function tinted(scene: Scene, eumelanin: number | undefined): Scene {
  if (eumelanin === undefined) return scene;
  const absorption = hairAbsorption(eumelanin, 0);
  const materials = scene.materials.map((m) => (m.kind === "hair" ? { ...m, eumelanin, absorption } : m));
  return { ...scene, materials };
}
