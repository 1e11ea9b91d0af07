/**
 * The frames of one setup as the page holds them: the server's cards, kept up to date by its events, and what is
 * under way (files being sent, faults). Pixels live in the worker (mix-job.ts).
 */

import type { Shows } from "../../../frames/index.ts";
import type { FrameCard, FrameFolder } from "../../../store/types.ts";
import { type Fault, fault, type Result } from "../../../units/index.ts";
import { ask, askBytes } from "../../data/book.ts";

export interface FramesState {
  /** In the order they came; null until the server has answered. */
  readonly cards: readonly FrameCard[] | null;
  readonly folder: FrameFolder;
  /** Names of files on their way to the server. */
  readonly sending: readonly string[];
  readonly faults: readonly Fault[];
  /** The server's events arrive. */
  readonly live: boolean;
}

const NOTHING: FramesState = {
  cards: null,
  folder: { path: null, state: "off", faults: [] },
  sending: [],
  faults: [],
  live: false,
};

/** So many faults are shown at most; the newest ones. */
const MOST_FAULTS = 12;

export class FrameSession {
  readonly setupId: string;
  readonly #base: string;
  readonly #listeners = new Set<() => void>();
  #state: FramesState = NOTHING;
  #events: EventSource | null = null;
  #queue: File[] = [];

  constructor(setupId: string) {
    this.setupId = setupId;
    this.#base = `/api/setups/${encodeURIComponent(setupId)}`;
  }

  watch = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  state = (): FramesState => this.#state;

  /** Asks for what is there and listens for what comes. */
  open(): void {
    void this.#load();
    const events = new EventSource(`${this.#base}/frames/events`);
    this.#events = events;
    events.addEventListener("open", () => {
      // After a gap everything is asked for anew: events of the gap are lost.
      if (this.#state.cards !== null) void this.#load();
      this.#set({ live: true });
    });
    events.addEventListener("error", () => this.#set({ live: false }));
    this.#on<readonly FrameCard[]>(events, "frames", (cards) => {
      for (const card of cards) this.#put(card);
    });
    this.#on<{ readonly id: string }>(events, "removed", ({ id }) => this.#drop(id));
    this.#on<Fault>(events, "fault", (one) => this.#fault([one]));
    this.#on<FrameFolder>(events, "folder", (folder) => this.#set({ folder }));
  }

  close(): void {
    this.#events?.close();
    this.#events = null;
  }

  /** Sends files one after the other; each becomes a card or a fault. */
  add(files: readonly File[]): void {
    const idle = this.#queue.length === 0;
    this.#queue.push(...files);
    this.#set({ sending: this.#queue.map(({ name }) => name) });
    if (idle) void this.#send();
  }

  /** A person says what a frame shows; null gives it back to the machine. */
  async assign(id: string, shows: Shows | null): Promise<void> {
    this.#take(await ask<FrameCard>("PUT", `/api/frames/${encodeURIComponent(id)}/shows`, { shows }));
  }

  async remove(id: string): Promise<void> {
    const gone = await ask<unknown>("DELETE", `/api/frames/${encodeURIComponent(id)}`);
    if (gone.ok) this.#drop(id);
    else this.#fault(gone.faults);
  }

  /** Watches a folder of this machine; null lets go of it. */
  async watchFolder(path: string | null): Promise<void> {
    const answer = await ask<FrameFolder>("PUT", `${this.#base}/frame-folder`, { path });
    if (answer.ok) this.#set({ folder: answer.value });
    else this.#fault(answer.faults);
  }

  forgetFaults(): void {
    this.#set({ faults: [] });
  }

  /** Shows a fault that was met elsewhere. */
  tell(faults: readonly Fault[]): void {
    this.#fault(faults);
  }

  async #load(): Promise<void> {
    const answer = await ask<{ frames: readonly FrameCard[]; folder: FrameFolder }>("GET", `${this.#base}/frames`);
    if (answer.ok) this.#set({ cards: answer.value.frames, folder: answer.value.folder });
    else this.#fault(answer.faults);
  }

  async #send(): Promise<void> {
    for (let file = this.#queue[0]; file !== undefined; file = this.#queue[0]) {
      this.#take(await askBytes<FrameCard>("POST", `${this.#base}/frames?name=${encodeURIComponent(file.name)}`, file));
      this.#queue.shift();
      this.#set({ sending: this.#queue.map(({ name }) => name) });
    }
  }

  #take(answer: Result<FrameCard>): void {
    if (answer.ok) this.#put(answer.value);
    else this.#fault(answer.faults);
  }

  #put(card: FrameCard): void {
    const cards = this.#state.cards ?? [];
    const known = cards.some(({ id }) => id === card.id);
    this.#set({ cards: known ? cards.map((one) => (one.id === card.id ? card : one)) : [...cards, card] });
  }

  #drop(id: string): void {
    this.#set({ cards: (this.#state.cards ?? []).filter((card) => card.id !== id) });
  }

  #fault(faults: readonly Fault[]): void {
    this.#set({ faults: [...this.#state.faults, ...faults].slice(-MOST_FAULTS) });
  }

  #on<T>(events: EventSource, name: string, hear: (data: T) => void): void {
    events.addEventListener(name, (event: MessageEvent<string>) => {
      try {
        hear(JSON.parse(event.data) as T);
      } catch {
        this.#fault([
          fault("bad-event", "The server sent something that cannot be read", name, "Load the page again."),
        ]);
      }
    });
  }

  #set(change: Partial<FramesState>): void {
    this.#state = { ...this.#state, ...change };
    for (const listener of this.#listeners) listener();
  }
}
