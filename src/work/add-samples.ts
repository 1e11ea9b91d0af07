/**
 * One layer out of two renders of the same layer with different seeds: the mean of both, weighed by their paths per
 * pixel. So a picture that was stopped goes on from where it was. Errors of independent halves add in squares.
 */

import { type Layer, noiseOf } from "../picture/index.ts";

/** Throws RangeError where the two are of different lights or sizes. */
export function addSamples(first: Layer, second: Layer): Layer {
  if (first.lightId !== second.lightId || first.rgb.length !== second.rgb.length)
    throw new RangeError("only two renders of one layer add up");
  const samples = first.samples + second.samples;
  const [a, b] = [first.samples / samples, second.samples / samples];
  const rgb = first.rgb.map((value, i) => a * value + b * (second.rgb[i] as number));
  const sigma = first.sigma.map((value, i) => meanSigma(a, value, b, second.sigma[i] as number));
  const { lightId, width, height } = first;
  return { lightId, width, height, rgb, sigma, samples, estimatedNoiseStops: noiseOf(rgb, sigma) };
}

/** A render of one path per pixel knows nothing of its own error: the other's stands for both. */
function meanSigma(a: number, first: number, b: number, second: number): number {
  if (Number.isNaN(second)) return first;
  return Number.isNaN(first) ? second : Math.hypot(a * first, b * second);
}
