/**
 * What the frames' thread does, apart from its messages: frames by id, the layers of a mix at the size that is shown,
 * the sum's check, patches, tones, watch and advice. All arithmetic is the frames room's and the picture's.
 */

import {
  type AloneFrame,
  adviseFromFrame,
  adviseFromPatches,
  asShot,
  checkSum,
  displayOf,
  frameLayers,
  type LinearFrame,
  type MixSetting,
  measurePatch,
  mixFrames,
  type Patch,
  patchTarget,
  proxyOf,
  startWatch,
  type TurnableLight,
  toneOfPatch,
  type WatchResult,
  watchFrame,
  whiteOfPatch,
  withoutAmbient,
} from "../../../frames/index.ts";
import { encodePixels, type Layer, luminanceOf, toneStops } from "../../../picture/index.ts";
import type { Result } from "../../../units/index.ts";
import { differenceMap } from "./difference-map.ts";
import {
  type AdviceTarget,
  FIRST_TONE,
  type FromMixer,
  type MixParts,
  type PatchRow,
  type Shown,
  TONE_COUNT,
  TONE_STEP,
  type ToMixer,
  type Tones,
  type WhiteRow,
} from "./messages.ts";

const NO_PARTS: MixParts = { lights: [], ambientId: null, togetherId: null, togetherLightIds: [], sessionIds: [] };

/** The frames' layers at one size, and the frame of all at the same, ready to show. */
interface Stage {
  readonly longSidePx: number;
  readonly layers: readonly Layer[];
  readonly together: { readonly linear: Float32Array; readonly shown: Shown } | null;
  readonly tones: readonly { readonly lightId: string; readonly counts: Float32Array }[];
  readonly mixed: Float32Array;
}

export class Mixer {
  readonly #tell: (message: FromMixer, transfer?: Transferable[]) => void;
  readonly #frames = new Map<string, LinearFrame>();
  #parts = NO_PARTS;
  #tags: Readonly<Record<string, string>> = {};
  #whiteBalanceK = 5500;
  #stage: Stage | null = null;

  constructor(tell: (message: FromMixer, transfer?: Transferable[]) => void) {
    this.#tell = tell;
  }

  hear(message: ToMixer): void {
    switch (message.kind) {
      case "frame":
        this.#frames.set(message.frame.id, message.frame);
        break;
      case "drop":
        this.#frames.delete(message.frameId);
        break;
      case "parts":
        this.#parts = message.parts;
        this.#tags = message.tags;
        this.#whiteBalanceK = message.whiteBalanceK;
        this.#stage = null;
        this.#check();
        this.#watch();
        break;
      case "mix":
        this.#mix(message);
        break;
      case "advise":
        this.#advise(message.target, message.lights);
        break;
    }
  }

  /** Together against the sum of its lights. */
  #check(): void {
    const { togetherId, togetherLightIds, ambientId } = this.#parts;
    const together = this.#frame(togetherId);
    const alones = this.#alones().filter(({ lightId }) => togetherLightIds.includes(lightId));
    if (together === null || alones.length === 0 || !this.#oneSize([together])) return;
    const nameOf = (id: string): string => this.#tags[id] ?? id;
    const check = checkSum({ together, alones, ambient: this.#frame(ambientId), nameOf });
    this.#tell({ kind: "checked", check, map: differenceMap(check) });
  }

  /** Explains the session's later frames, one after the other, by the lights' own. */
  #watch(): void {
    const alones = this.#alones();
    const { sessionIds, ambientId } = this.#parts;
    if (alones.length === 0 || sessionIds.length === 0 || !this.#oneSize([])) {
      this.#tell({ kind: "watched", results: [] });
      return;
    }
    let state = startWatch(alones, this.#frame(ambientId), { nameOf: (id) => this.#tags[id] ?? id });
    const results: WatchResult[] = [];
    for (const id of sessionIds) {
      const frame = this.#frame(id);
      if (frame === null) continue;
      const next = watchFrame(state, frame);
      state = next.state;
      results.push(next.result);
    }
    this.#tell({ kind: "watched", results });
  }

  #mix({ settings, patches, greyId, longSidePx }: Extract<ToMixer, { kind: "mix" }>): void {
    const began = performance.now();
    const stage = this.#staged(longSidePx);
    const first = stage?.layers[0];
    if (stage === null || first === undefined) {
      this.#tell({ kind: "nothing" });
      return;
    }
    const mixed = must(mixFrames(stage.layers, settings, { whiteBalanceK: this.#whiteBalanceK, out: stage.mixed }));
    const mix: Shown = { width: first.width, height: first.height, rgba: pixelsOf(mixed) };
    const tones: Tones = { mix: histogram(mixed), lights: stage.tones };
    const whole = this.#alones()[0]?.frame as LinearFrame;
    this.#tell(
      {
        kind: "mixed",
        mix,
        together: stage.together?.shown ?? null,
        tones,
        rows: patches.map((patch) => this.#row(patch, settings)),
        whites: this.#whites(patches.find(({ id }) => id === greyId) ?? null),
        size: [whole.width, whole.height],
        ms: performance.now() - began,
      },
      [mix.rgba.buffer],
    );
  }

  /** The patch in the mix and in the frame of all, stops from the card. */
  #row(patch: Patch, settings: readonly MixSetting[]): PatchRow {
    const alones = this.#alones().map(({ lightId, frame }) => ({ lightId, frame: cut(frame, patch) }));
    const room = this.#frame(this.#parts.ambientId);
    const layers = frameLayers(alones, room === null ? null : cut(room, patch));
    const mixed = must(mixFrames(layers, settings, { whiteBalanceK: this.#whiteBalanceK }));
    const together = this.#frame(this.#parts.togetherId);
    const value = together === null ? null : measurePatch(together, patch);
    const read = value?.ok && value.value.usable ? value.value : null;
    return {
      patch,
      mixStops: stopsOrNull(meanOf(mixed)),
      frameStops: read === null || together === null ? null : toneOfPatch(read, together).stopsFromCard,
      sigmaStops: read === null ? null : read.sigma / (read.luminance * Math.LN2),
    };
  }

  /** Each light's white on the grey card, the room's light taken off. */
  #whites(grey: Patch | null): readonly WhiteRow[] {
    if (grey === null) return [];
    const room = this.#frame(this.#parts.ambientId);
    return this.#alones().map(({ lightId, frame }) => {
      const own = withoutAmbient(cut(frame, grey), room === null ? null : cut(room, grey));
      const value = measurePatch(own, { ...grey, x: 0, y: 0 });
      const white = value.ok ? whiteOfPatch(value.value, own, this.#whiteBalanceK) : value;
      if (!white.ok) return { lightId, white: null, why: white.faults.map(({ what }) => what).join("; ") };
      const { kelvin, miredOver, duv } = white.value;
      return { lightId, white: { kelvin, miredOver, duv }, why: "" };
    });
  }

  #advise(target: AdviceTarget, lights: readonly TurnableLight[]): void {
    const alones = this.#alones();
    const room = this.#frame(this.#parts.ambientId);
    if (target.kind === "frame") {
      const frame = this.#frame(target.frameId);
      if (frame === null || !this.#oneSize([frame])) {
        this.#tell({ kind: "failed", what: "the frame to reach is of another size than the frames of the lights" });
        return;
      }
      this.#tell({ kind: "advised", advice: adviseFromFrame(frame, alones, room, lights) });
      return;
    }
    const frames = lights.map(({ lightId }) => (alones.find((one) => one.lightId === lightId) as AloneFrame).frame);
    const everything = asShot(this.#staged(this.#stage?.longSidePx ?? 320)?.layers ?? []);
    const targets = target.wanted.map(({ patch, stops }) => {
      // The file's own light as shot, and by how many stops its tone should change.
      const shot = patchTarget(patch, frames, room, 1);
      const whole = shot.lights.reduce((sum, light) => sum + light, 1 - shot.target);
      const change = stops - (this.#row(patch, everything).mixStops ?? stops);
      return patchTarget(patch, frames, room, whole * 2 ** change);
    });
    this.#tell({ kind: "advised", advice: adviseFromPatches(targets, lights) });
  }

  #staged(longSidePx: number): Stage | null {
    if (this.#stage?.longSidePx === longSidePx) return this.#stage;
    const alones = this.#alones();
    const first = alones[0];
    if (first === undefined || !this.#oneSize([])) return null;
    const small = (frame: LinearFrame): LinearFrame => proxyOf(frame, longSidePx);
    const room = this.#frame(this.#parts.ambientId);
    const layers = frameLayers(
      alones.map(({ lightId, frame }) => ({ lightId, frame: small(frame) })),
      room === null ? null : small(room),
    );
    const all = this.#frame(this.#parts.togetherId);
    const together = all === null || !this.#oneSize([all]) ? null : small(all);
    const linear = together === null ? null : displayOf(together);
    this.#stage = {
      longSidePx,
      layers,
      together:
        together === null || linear === null
          ? null
          : { linear, shown: { width: together.width, height: together.height, rgba: pixelsOf(linear) } },
      tones: layers
        .filter(({ lightId }) => lightId !== "ambient")
        .map(({ lightId, rgb }) => ({ lightId, counts: histogram(rgb) })),
      mixed: new Float32Array((layers[0] as Layer).rgb.length),
    };
    return this.#stage;
  }

  #alones(): readonly AloneFrame[] {
    return this.#parts.lights.flatMap(({ lightId, frameId }) => {
      const frame = this.#frame(frameId);
      return frame === null ? [] : [{ lightId, frame }];
    });
  }

  /** Whether the single frames, the room's and these all have one size. */
  #oneSize(more: readonly LinearFrame[]): boolean {
    const room = this.#frame(this.#parts.ambientId);
    const all = [...this.#alones().map(({ frame }) => frame), ...(room === null ? [] : [room]), ...more];
    const [first] = all;
    return first === undefined || all.every(({ width, height }) => width === first.width && height === first.height);
  }

  #frame(id: string | null): LinearFrame | null {
    return id === null ? null : (this.#frames.get(id) ?? null);
  }
}

/** The patch of a frame as a frame of its own. */
function cut(frame: LinearFrame, patch: Patch): LinearFrame {
  const [x0, y0] = [Math.max(0, patch.x), Math.max(0, patch.y)];
  const width = Math.max(1, Math.min(frame.width - x0, patch.width));
  const height = Math.max(1, Math.min(frame.height - y0, patch.height));
  const rgb = new Float32Array(3 * width * height);
  const clipped = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    const from = (y0 + y) * frame.width + x0;
    rgb.set(frame.rgb.subarray(3 * from, 3 * (from + width)), 3 * y * width);
    clipped.set(frame.clipped.subarray(from, from + width), y * width);
  }
  return { ...frame, width, height, rgb, clipped };
}

function meanOf(rgb: Float32Array): number {
  let sum = 0;
  for (let i = 0; i < rgb.length; i += 3)
    sum += luminanceOf(rgb[i] as number, rgb[i + 1] as number, rgb[i + 2] as number);
  return (3 * sum) / rgb.length;
}

const stopsOrNull = (y: number): number | null => (y > 0 ? toneStops(y) : null);

const pixelsOf = (linear: Float32Array): Uint8ClampedArray<ArrayBuffer> =>
  encodePixels(linear) as Uint8ClampedArray<ArrayBuffer>;

/** At most so many pixels are counted: the shape of the curve needs no more. */
const COUNTED = 60_000;

/** Pixels per tenth of a stop. */
function histogram(linear: Float32Array): Float32Array {
  const counts = new Float32Array(TONE_COUNT);
  const pixels = linear.length / 3;
  const step = Math.max(1, Math.floor(pixels / COUNTED));
  for (let i = 0; i < pixels; i += step) {
    const y = luminanceOf(linear[3 * i] as number, linear[3 * i + 1] as number, linear[3 * i + 2] as number);
    const at = y > 0 ? Math.floor((toneStops(y) - FIRST_TONE) / TONE_STEP) : -1;
    if (at >= 0 && at < TONE_COUNT) counts[at] = (counts[at] as number) + 1;
  }
  return counts;
}

/** A fault here is a mistake of the page: the sliders' ends are within what colours can do. */
function must<T>(result: Result<T>): T {
  if (result.ok) return result.value;
  throw new RangeError(result.faults.map(({ what }) => what).join("; "));
}
