/**
 * Frames as layers of the picture room: each light's frame without the room's light, in display-linear sRGB, so that the
 * same mix, tone path and false colour serve for photographs and for pictures predicted (picture/mix.ts). As shot,
 * 1 is the white level of the file. Out = ambient·a + Σ 2^Δ·(light − ambient) (domain 10.1).
 */

import { type Layer, type LayerGain, lightTint, mixLayers } from "../picture/index.ts";
import { kelvin, mired, type Result, success } from "../units/index.ts";
import type { AloneFrame } from "./gains.ts";
import { withoutAmbient } from "./linear.ts";
import type { LinearFrame, MixSetting, Rgb } from "./types.ts";

/** Layers of the lights and, with an ambient frame, of the room. All of one size (RangeError otherwise). */
export function frameLayers(alones: readonly AloneFrame[], ambient: LinearFrame | null): readonly Layer[] {
  const layers = alones.map(({ lightId, frame }) => layerOf(lightId, withoutAmbient(frame, ambient)));
  return ambient ? [...layers, layerOf("ambient", ambient)] : layers;
}

/** Every light as it was shot: the left side of the wipe. */
export const asShot = (layers: readonly Layer[]): readonly MixSetting[] =>
  layers.map(({ lightId }) => ({ lightId, on: true, stops: 0, miredShift: 0 }));

export interface MixOptions {
  /** The camera's white balance, K: what a gel's shift starts from. */
  readonly whiteBalanceK: number;
  /** Brightness of the whole, stops. */
  readonly exposureStops?: number;
  /** Written into when given. */
  readonly out?: Float32Array;
}

/** The mix, display-linear rgb; feed it to `encodePixels` or `falseColourPixels`. Fault: colour-beyond-blue. */
export function mixFrames(
  layers: readonly Layer[],
  settings: readonly MixSetting[],
  options: MixOptions,
): Result<Float32Array> {
  const gains: LayerGain[] = [];
  for (const { lightId, on, stops, miredShift } of settings) {
    const tint = gelTint(miredShift, options.whiteBalanceK, lightId);
    if (!tint.ok) return tint;
    gains.push({ lightId, on, output: 2 ** stops, tint: tint.value });
  }
  return success(mixLayers(layers, gains, 1, -(options.exposureStops ?? 0), options.out));
}

/** Weight of each frame's rgb in the mix, the frames as they are: for sums at full size through `addCodes`. */
export interface FrameWeight {
  /** "ambient" for the frame of the room. */
  readonly lightId: string;
  readonly weight: Rgb;
}

/**
 * The same mix as weights of whole frames. The room's own weight is a − Σ 2^Δ: negative where lights whose frames hold
 * it too are raised. In the file's own channels: a gel's tint is then a change of these. Fault: colour-beyond-blue.
 */
export function mixWeights(
  settings: readonly MixSetting[],
  hasAmbient: boolean,
  options: Pick<MixOptions, "whiteBalanceK" | "exposureStops">,
): Result<readonly FrameWeight[]> {
  const whole = 2 ** (options.exposureStops ?? 0);
  const rest: [number, number, number] = [0, 0, 0];
  const weights: FrameWeight[] = [];
  for (const { lightId, on, stops, miredShift } of settings) {
    const tint = gelTint(miredShift, options.whiteBalanceK, lightId);
    if (!tint.ok) return tint;
    const own = tint.value.map((part) => (on ? whole * 2 ** stops * part : 0)) as [number, number, number];
    own.forEach((part, c) => {
      rest[c] = (rest[c] as number) + (lightId === "ambient" ? part : -part);
    });
    if (lightId !== "ambient") weights.push({ lightId, weight: own });
  }
  return success(hasAmbient ? [...weights, { lightId: "ambient", weight: rest }] : weights);
}

/** Display-linear sRGB of a frame: balanced and through the camera's matrix where the file gives them. */
export function displayOf(frame: Pick<LinearFrame, "rgb" | "balance" | "toSrgb">): Float32Array {
  const { rgb, balance, toSrgb } = frame;
  if (balance === null && toSrgb === null) return rgb;
  const [br, bg, bb] = balance ?? [1, 1, 1];
  const m = toSrgb ?? [1, 0, 0, 0, 1, 0, 0, 0, 1];
  const [m0, m1, m2, m3, m4, m5, m6, m7, m8] = m as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  const out = new Float32Array(rgb.length);
  for (let i = 0; i < rgb.length; i += 3) {
    const [r, g, b] = [br * (rgb[i] as number), bg * (rgb[i + 1] as number), bb * (rgb[i + 2] as number)];
    out[i] = m0 * r + m1 * g + m2 * b;
    out[i + 1] = m3 * r + m4 * g + m5 * b;
    out[i + 2] = m6 * r + m7 * g + m8 * b;
  }
  return out;
}

function layerOf(lightId: string, frame: LinearFrame): Layer {
  const { width, height } = frame;
  const none = { sigma: new Float32Array(0), samples: 0, estimatedNoiseStops: 0 };
  return { lightId, width, height, rgb: displayOf(frame), ...none };
}

const gelTint = (shift: number, whiteBalanceK: number, where: string): Result<Rgb> =>
  shift === 0 ? success([1, 1, 1]) : lightTint(kelvin(whiteBalanceK), mired(shift), kelvin(whiteBalanceK), where);
