/**
 * From layers to a picture: each light's layer times what its dial gives now (lm·s), its colour and its switch, added
 * up in linear light and set against the working aperture. Anchor: a diffuse patch shows ρ·H/H_ref with
 * H_ref = C·N²/S, so that an 18 % card that reads the working aperture is 0.18 and a white one just clips. No ray
 * is traced here. Tone: sRGB of the colour room (IEC 61966-2-1:1999), nothing else between light and screen.
 */

import {
  linearSrgbOfXyz,
  luminance,
  type Rgb,
  shiftedKelvin,
  srgbEncode,
  xyOfWhite,
  xyzOfXy,
} from "../colour/index.ts";
import { type Kelvin, type Mired, type Result, success } from "../units/index.ts";
import type { Layer, LayerId } from "./types.ts";

/** How one layer goes into the mix. */
export interface LayerGain {
  readonly lightId: LayerId;
  readonly on: boolean;
  /** What leaves the front now, lm·s, dial, pops, cloth, gels' losses and learned differences in it; ambient: lx·s. */
  readonly output: number;
  /** Colour against the white balance, luminance 1 (`lightTint`); 1 1 1 is neutral. */
  readonly tint: Rgb;
}

/** H_ref of a working aperture: C·N²/S, lx·s, with N² = 2^Av. */
export const referenceExposure = (apertureAv: number, iso: number, receptorConstant: number): number =>
  (receptorConstant * 2 ** apertureAv) / iso;

/**
 * Adds the layers: display-linear rgb, 0.18 at the card, 1 clips. `cameraOffsetStops` is the camera's own (positive:
 * needs more light, so shows darker). Writes into `out` when given. Layers without a gain stay out.
 */
export function mixLayers(
  layers: readonly Layer[],
  gains: readonly LayerGain[],
  referenceLxS: number,
  cameraOffsetStops = 0,
  out?: Float32Array,
): Float32Array {
  const first = layers[0];
  if (!first) throw new RangeError("a mix needs at least one layer");
  const mixed = out ?? new Float32Array(first.rgb.length);
  const scale = 2 ** -cameraOffsetStops / referenceLxS;
  const parts = layers.flatMap((layer): Part[] => {
    if (layer.rgb.length !== mixed.length) throw new RangeError("layers of one mix have one size");
    const gain = gains.find(({ lightId }) => lightId === layer.lightId);
    if (!gain?.on || gain.output === 0) return [];
    const k = gain.output * scale;
    return [{ rgb: layer.rgb, r: k * gain.tint[0], g: k * gain.tint[1], b: k * gain.tint[2] }];
  });
  for (let from = 0; from < mixed.length; from += BLOCK) {
    const to = Math.min(mixed.length, from + BLOCK);
    mixed.fill(0, from, to);
    for (let k = 0; k < parts.length; k += 4) addFour(mixed, parts, k, from, to);
  }
  return mixed;
}

interface Part {
  readonly rgb: Float32Array;
  readonly r: number;
  readonly g: number;
  readonly b: number;
}

/** Floats mixed at a time, whole pixels: 48 KB stay in a processor's cache while layer after layer is added. */
const BLOCK = 3 * 4096;

/** Four layers a turn, so that the sum is read and written a quarter as often; a turn with fewer counts the last at 0. */
function addFour(mixed: Float32Array, parts: readonly Part[], first: number, from: number, to: number): void {
  const last = parts[parts.length - 1] as Part;
  const nothing: Part = { ...last, r: 0, g: 0, b: 0 };
  const { rgb: rgb1, r: r1, g: g1, b: b1 } = parts[first] as Part;
  const { rgb: rgb2, r: r2, g: g2, b: b2 } = parts[first + 1] ?? nothing;
  const { rgb: rgb3, r: r3, g: g3, b: b3 } = parts[first + 2] ?? nothing;
  const { rgb: rgb4, r: r4, g: g4, b: b4 } = parts[first + 3] ?? nothing;
  for (let i = from; i < to; i += 3) {
    mixed[i]! += r1 * rgb1[i]! + r2 * rgb2[i]! + r3 * rgb3[i]! + r4 * rgb4[i]!;
    mixed[i + 1]! += g1 * rgb1[i + 1]! + g2 * rgb2[i + 1]! + g3 * rgb3[i + 1]! + g4 * rgb4[i + 1]!;
    mixed[i + 2]! += b1 * rgb1[i + 2]! + b2 * rgb2[i + 2]! + b3 * rgb3[i + 2]! + b4 * rgb4[i + 2]!;
  }
}

/** Every layer alone and nothing else: the gains with one light on. */
export const soloGains = (gains: readonly LayerGain[], lightId: LayerId): readonly LayerGain[] =>
  gains.map((gain) => ({ ...gain, on: gain.lightId === lightId }));

/**
 * The colour of a light after gels, as a picture balanced for another white shows it: linear gains of luminance 1.
 * A diagonal change in linear sRGB (von Kries' idea on these primaries), the same a gain of a gel makes between test frames.
 */
export function lightTint(light: Kelvin, gelShift: Mired, whiteBalance: Kelvin, where = "gels"): Result<Rgb> {
  const shifted = gelShift === 0 ? success(light) : shiftedKelvin(light, gelShift, where);
  if (!shifted.ok) return shifted;
  const own = whiteRgb(shifted.value);
  const white = whiteRgb(whiteBalance);
  const ratio: Rgb = [own[0] / white[0], own[1] / white[1], own[2] / white[2]];
  const y = luminance(ratio);
  return success([ratio[0] / y, ratio[1] / y, ratio[2] / y]);
}

/** Linear sRGB of a black body, no part below a thousandth: deep reds lie outside the primaries. */
function whiteRgb(temperature: Kelvin): Rgb {
  const [r, g, b] = linearSrgbOfXyz(xyzOfXy(xyOfWhite(temperature, 0)));
  return [Math.max(0.001, r), Math.max(0.001, g), Math.max(0.001, b)];
}

/** Display-linear rgb to 8-bit sRGB with opaque alpha, as a canvas takes it. */
export function encodePixels(linear: Float32Array, out?: Uint8ClampedArray): Uint8ClampedArray {
  const count = linear.length / 3;
  const pixels = out ?? new Uint8ClampedArray(4 * count);
  for (let i = 0, at = 0; i < count; i++, at += 4) {
    pixels[at] = codeOf(linear[3 * i] as number);
    pixels[at + 1] = codeOf(linear[3 * i + 1] as number);
    pixels[at + 2] = codeOf(linear[3 * i + 2] as number);
    pixels[at + 3] = 255;
  }
  return pixels;
}

/** Display-linear rgb to 16-bit sRGB codes, three per pixel. */
export const encodePixels16 = (linear: Float32Array): Uint16Array =>
  Uint16Array.from(linear, (l) => Math.round(65535 * srgbEncode(Math.min(1, Math.max(0, l)))));

/** Codes of linear 0…1 in 65,536 even steps: a twentieth of a code apart where the curve is steepest. */
const STEPS = 65_536;
const codes: Uint8Array = /* @__PURE__ */ Uint8Array.from({ length: STEPS + 1 }, (_, i) =>
  Math.round(255 * srgbEncode(i / STEPS)),
);

function codeOf(l: number): number {
  if (!(l > 0)) return 0;
  return l >= 1 ? 255 : (codes[(STEPS * l + 0.5) | 0] as number);
}
