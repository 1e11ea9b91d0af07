/**
 * The page's end of the mixing worker: hands it frames and what they show, asks for one mix at a time (the newest
 * wish wins), and holds what came back.
 */

import type {
  Advice,
  LinearFrame,
  MixSetting,
  Patch,
  SumCheck,
  TurnableLight,
  WatchResult,
} from "../../../frames/index.ts";
import type { AdviceTarget, FromMixer, MixParts, PatchRow, Shown, ToMixer, Tones, WhiteRow } from "./messages.ts";

export interface MixState {
  readonly mix: Shown | null;
  readonly together: Shown | null;
  readonly tones: Tones | null;
  readonly rows: readonly PatchRow[];
  readonly whites: readonly WhiteRow[];
  readonly check: SumCheck | null;
  readonly map: Shown | null;
  readonly watched: readonly WatchResult[];
  readonly advice: Advice | null;
  /** Size of the frames that patches count in. */
  readonly size: readonly [width: number, height: number] | null;
  /** Milliseconds of the last mix in the worker. */
  readonly ms: number | null;
  readonly failed: string | null;
}

const EMPTY: MixState = {
  mix: null,
  together: null,
  tones: null,
  rows: [],
  whites: [],
  check: null,
  map: null,
  watched: [],
  advice: null,
  size: null,
  ms: null,
  failed: null,
};

interface Wish {
  readonly settings: readonly MixSetting[];
  readonly patches: readonly Patch[];
  readonly greyId: string | null;
  readonly longSidePx: number;
}

export class MixJob {
  readonly #worker = new Worker(new URL("./mixer-worker.ts", import.meta.url), { type: "module" });
  readonly #listeners = new Set<() => void>();
  #state: MixState = EMPTY;
  #busy = false;
  #next: Wish | null = null;

  constructor() {
    this.#worker.onmessage = (event: MessageEvent<FromMixer>) => this.#hear(event.data);
    this.#worker.onerror = (event) => this.#set({ failed: event.message });
  }

  watch = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  state = (): MixState => this.#state;

  /** Gives the worker a frame for good; its arrays go over. */
  give(frame: LinearFrame): void {
    this.#post({ kind: "frame", frame }, [frame.rgb.buffer as ArrayBuffer, frame.clipped.buffer as ArrayBuffer]);
  }

  drop(frameId: string): void {
    this.#post({ kind: "drop", frameId });
  }

  /** Says what the frames show. Sum, watch and patches are worked out anew. */
  parts(parts: MixParts, tags: Readonly<Record<string, string>>, whiteBalanceK: number): void {
    this.#set({ check: null, map: null, watched: [] });
    this.#post({ kind: "parts", parts, tags, whiteBalanceK });
  }

  /** Mixes; while one is under way only the newest wish waits. */
  mix(wish: Wish): void {
    if (this.#busy) {
      this.#next = wish;
      return;
    }
    this.#busy = true;
    this.#post({ kind: "mix", ...wish });
  }

  advise(target: AdviceTarget, lights: readonly TurnableLight[]): void {
    this.#set({ advice: null });
    this.#post({ kind: "advise", target, lights });
  }

  end(): void {
    this.#worker.terminate();
  }

  #hear(message: FromMixer): void {
    switch (message.kind) {
      case "mixed": {
        const { mix, together, tones, rows, whites, size, ms } = message;
        this.#set({ mix, together, tones, rows, whites, size, ms, failed: null });
        this.#goOn();
        break;
      }
      case "checked":
        this.#set({ check: message.check, map: message.map });
        break;
      case "watched":
        this.#set({ watched: message.results });
        break;
      case "advised":
        this.#set({ advice: message.advice });
        break;
      case "nothing":
        this.#set({ mix: null, together: null, tones: null, rows: [], whites: [], size: null });
        this.#goOn();
        break;
      case "failed":
        this.#set({ failed: message.what });
        this.#goOn();
        break;
    }
  }

  #goOn(): void {
    this.#busy = false;
    const next = this.#next;
    this.#next = null;
    if (next !== null) this.mix(next);
  }

  #post(message: ToMixer, transfer: Transferable[] = []): void {
    this.#worker.postMessage(message, transfer);
  }

  #set(change: Partial<MixState>): void {
    this.#state = { ...this.#state, ...change };
    for (const listener of this.#listeners) listener();
  }
}
