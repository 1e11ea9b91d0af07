/**
 * How one frame lies on another: phase correlation (Kuglin and Hines 1975) of the log-gradients of green, so that a
 * change of light level does not count and edges of things do. The cross-power spectrum is weighed with a Gaussian, so
 * that the peak is one too and a parabola through the logarithms of its neighbours finds it to a twentieth of a pixel.
 * Below half a pixel nothing is done; above, whole pixels are taken out; beyond 3 pixels, or where places moved by
 * themselves, the subject or the camera moved (domain 10.4).
 */

import { createFft, type Fft } from "./fft.ts";
import { proxyOf, sameSize } from "./linear.ts";
import { readSigma } from "./noise.ts";
import type { LinearFrame, LocalShift, Shift } from "./types.ts";

/** `clipped` of a pixel that a shift left without a picture. */
export const NOTHING_THERE = 2;

/** Sides of the transforms: the whole picture and its tiles. */
const WHOLE = 512;
const TILE = 64;
/** Half-widths of the peak, pixels: of the Gaussian that weighs the spectrum. */
const PEAK_SIGMA = 1;
/** A second peak nearer than this is the same one. */
const PEAK_ROOM = 5;
const SURE = 1.5;
const TILE_SURE = 2.2;
/** Pixels: taken as in place; beyond, moved. */
const IN_PLACE = 0.5;
const MOVED = 3;
/** A tile that lies this far off the rest has moved by itself. */
const LOCAL_MOVE = 1.5;
/** Overlapping tiles that moved together do so within this. */
const AGREE = 0.75;

/** The shift of `second` against `first`, in pixels of the frames given (of one size); larger ones are compared as proxies. */
export function registerFrames(first: LinearFrame, second: LinearFrame): Shift {
  sameSize(first, second);
  const [a, b] = [proxyOf(first, WHOLE), proxyOf(second, WHOLE)];
  const scale = a.reduction / first.reduction;
  const [ga, gb] = [logGradient(a), logGradient(b)];
  const side = 2 ** Math.ceil(Math.log2(Math.max(a.width, a.height, 8)));
  const found = correlate(createFft(side), ga, gb, a.width, { x: 0, y: 0, width: a.width, height: a.height }, 0, 0);
  const whole = found.peak >= SURE ? found : { x: 0, y: 0, peak: found.peak };
  const local = localShifts(ga, gb, a.width, a.height, whole, scale);
  const [x, y] = [whole.x * scale, whole.y * scale];
  return { x, y, peak: found.peak, verdict: verdictOf(x, y, found.peak, local), local };
}

/** The frame moved by whole pixels, so that its content lies where the first's does; what is uncovered is marked. */
export function shiftedBack(frame: LinearFrame, shift: Pick<Shift, "x" | "y">): LinearFrame {
  const [dx, dy] = [Math.round(shift.x), Math.round(shift.y)];
  if (dx === 0 && dy === 0) return frame;
  const { width, height } = frame;
  const rgb = new Float32Array(frame.rgb.length);
  const clipped = new Uint8Array(frame.clipped.length).fill(NOTHING_THERE);
  const [x0, x1] = [Math.max(0, -dx), Math.min(width, width - dx)];
  for (let y = Math.max(0, -dy); y < Math.min(height, height - dy) && x1 > x0; y++) {
    const [to, from] = [y * width, (y + dy) * width + dx];
    rgb.set(frame.rgb.subarray(3 * (from + x0), 3 * (from + x1)), 3 * (to + x0));
    clipped.set(frame.clipped.subarray(from + x0, from + x1), to + x0);
  }
  return { ...frame, rgb, clipped };
}

/** Size of the gradient of log green; a little light under the noise keeps black places still. */
export function logGradient(frame: LinearFrame): Float32Array {
  const { width, height, rgb } = frame;
  const under = 4 * readSigma(frame.noise) + 1e-4;
  const log = Float32Array.from({ length: width * height }, (_, i) =>
    Math.log(Math.max(0, rgb[3 * i + 1] as number) + under),
  );
  const out = new Float32Array(width * height);
  for (let y = 1; y < height - 1; y++) {
    for (let x = 1; x < width - 1; x++) {
      const i = y * width + x;
      out[i] = Math.hypot(
        (log[i + 1] as number) - (log[i - 1] as number),
        (log[i + width] as number) - (log[i - width] as number),
      );
    }
  }
  return out;
}

interface Peak {
  readonly x: number;
  readonly y: number;
  readonly peak: number;
}

interface Window {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Phase correlation of a window of both pictures; the second's is taken `dx`, `dy` further. */
function correlate(
  fft: Fft,
  a: Float32Array,
  b: Float32Array,
  stride: number,
  at: Window,
  dx: number,
  dy: number,
): Peak {
  const n = fft.side;
  const [are, aim] = [windowed(a, stride, at, n), new Float64Array(n * n)];
  const [bre, bim] = [windowed(b, stride, { ...at, x: at.x + dx, y: at.y + dy }, n), new Float64Array(n * n)];
  fft.forward(are, aim);
  fft.forward(bre, bim);
  for (let v = 0; v < n; v++) {
    const fy = (v < n / 2 ? v : v - n) / n;
    for (let u = 0; u < n; u++) {
      const fx = (u < n / 2 ? u : u - n) / n;
      const i = v * n + u;
      const [ar, ai, br, bi] = [are[i] as number, aim[i] as number, bre[i] as number, bim[i] as number];
      const [re, im] = [ar * br + ai * bi, ar * bi - ai * br];
      const weight = Math.exp(-2 * (Math.PI * PEAK_SIGMA) ** 2 * (fx * fx + fy * fy)) / (Math.hypot(re, im) + 1e-20);
      are[i] = re * weight;
      // The second's content lies at +d where its phase turns by −2π·f·d: the conjugate brings the peak to +d.
      aim[i] = im * weight;
    }
  }
  fft.backward(are, aim);
  return peakOf(are, n);
}

/** Mean taken off, edges faded (Hann), set into a square of zeros. */
function windowed(from: Float32Array, stride: number, at: Window, n: number): Float64Array {
  const out = new Float64Array(n * n);
  let sum = 0;
  for (let y = 0; y < at.height; y++)
    for (let x = 0; x < at.width; x++) sum += from[(at.y + y) * stride + at.x + x] as number;
  const mean = sum / (at.width * at.height);
  for (let y = 0; y < at.height; y++) {
    const wy = 0.5 - 0.5 * Math.cos((2 * Math.PI * (y + 0.5)) / at.height);
    for (let x = 0; x < at.width; x++) {
      const wx = 0.5 - 0.5 * Math.cos((2 * Math.PI * (x + 0.5)) / at.width);
      out[y * n + x] = wx * wy * ((from[(at.y + y) * stride + at.x + x] as number) - mean);
    }
  }
  return out;
}

function peakOf(surface: Float64Array, n: number): Peak {
  let best = 0;
  for (let i = 1; i < surface.length; i++) if ((surface[i] as number) > (surface[best] as number)) best = i;
  const [bx, by] = [best % n, Math.floor(best / n)];
  let second = 1e-12;
  for (let i = 0; i < surface.length; i++) {
    if ((surface[i] as number) <= second) continue;
    const [dx, dy] = [Math.abs((i % n) - bx), Math.abs(Math.floor(i / n) - by)];
    if (Math.min(dx, n - dx) > PEAK_ROOM || Math.min(dy, n - dy) > PEAK_ROOM) second = surface[i] as number;
  }
  const at = (dx: number, dy: number): number => surface[((by + dy + n) % n) * n + ((bx + dx + n) % n)] as number;
  const signed = (v: number): number => (v < n / 2 ? v : v - n);
  return {
    x: signed(bx) + vertex(at(-1, 0), at(0, 0), at(1, 0)),
    y: signed(by) + vertex(at(0, -1), at(0, 0), at(0, 1)),
    peak: (surface[best] as number) / second,
  };
}

/** Where the parabola through three logarithms is highest; 0 where a neighbour is not above 0. */
function vertex(before: number, at: number, after: number): number {
  if (!(before > 0 && at > 0 && after > 0)) return 0;
  const [l, m, r] = [Math.log(before), Math.log(at), Math.log(after)];
  const bend = l - 2 * m + r;
  return bend < 0 ? Math.min(0.5, Math.max(-0.5, (l - r) / (2 * bend))) : 0;
}

/** Tiles that lie otherwise than the whole; noise makes single tiles say so, hence an overlapping one must agree. */
function localShifts(
  a: Float32Array,
  b: Float32Array,
  width: number,
  height: number,
  whole: Pick<Shift, "x" | "y">,
  scale: number,
): readonly LocalShift[] {
  const fft = createFft(TILE);
  const [dx, dy] = [Math.round(whole.x), Math.round(whole.y)];
  const found: LocalShift[] = [];
  for (let y = 0; y + TILE <= height; y += TILE / 2) {
    for (let x = 0; x + TILE <= width; x += TILE / 2) {
      const outside = x + dx < 0 || y + dy < 0 || x + dx + TILE > width || y + dy + TILE > height;
      if (outside) continue;
      const tile = correlate(fft, a, b, width, { x, y, width: TILE, height: TILE }, dx, dy);
      const [ox, oy] = [tile.x + dx - whole.x, tile.y + dy - whole.y];
      if (tile.peak < TILE_SURE || Math.hypot(ox, oy) < LOCAL_MOVE || Math.hypot(ox, oy) > TILE / 4) continue;
      found.push({
        ...{ x: x * scale, y: y * scale, width: TILE * scale, height: TILE * scale },
        ...{ dx: ox * scale, dy: oy * scale },
      });
    }
  }
  const near = (a: LocalShift, b: LocalShift): boolean =>
    Math.max(Math.abs(a.x - b.x), Math.abs(a.y - b.y)) <= (TILE / 2) * scale &&
    Math.hypot(a.dx - b.dx, a.dy - b.dy) <= AGREE * scale;
  return found.filter((tile) => found.some((other) => other !== tile && near(tile, other)));
}

function verdictOf(x: number, y: number, peak: number, local: readonly LocalShift[]): Shift["verdict"] {
  if (local.length > 0) return "moved";
  if (peak < SURE) return "unsure";
  const far = Math.hypot(x, y);
  return far < IN_PLACE ? "none" : far > MOVED ? "moved" : "integer";
}
