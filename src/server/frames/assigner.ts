/**
 * Which lights a setup's frames show, worked out again whenever frames come, go or are corrected: by name, by looking
 * at the pictures predicted for the setup, by order. What a person said stays. Work on small copies of the proxies,
 * kept while the server runs.
 */

import { readFile } from "node:fs/promises";
import { readProxy } from "../../files/index.ts";
import { type Assignment, assignFrames, type LinearFrame, type NamedLight, proxyOf } from "../../frames/index.ts";
import type { FrameAssignment, FrameCard, Store } from "../../store/index.ts";
import { saidByPerson } from "../../store/index.ts";
import { createPredictor, type Predictor } from "./predicted.ts";

/** Longer side of the small copies. */
const SMALL_SIDE = 200;
/** Frames that are kept small in memory: 200 × 133 pixels, 0.35 MB each. */
const MOST_KEPT = 600;
/** A burst is worked on once. */
const PAUSE_MS = 400;

export class Assigner {
  readonly #store: Store;
  readonly #tell: (setupId: string, cards: readonly FrameCard[]) => void;
  readonly #predictor: Predictor = createPredictor();
  readonly #small = new Map<string, LinearFrame>();
  readonly #timers = new Map<string, NodeJS.Timeout>();
  #working: Promise<void> = Promise.resolve();
  #closed = false;

  constructor(store: Store, tell: (setupId: string, cards: readonly FrameCard[]) => void) {
    this.#store = store;
    this.#tell = tell;
  }

  /** Soon, once for a burst. */
  touch(setupId: string): void {
    if (this.#closed || this.#timers.has(setupId)) return;
    const timer = setTimeout(() => {
      this.#timers.delete(setupId);
      this.#working = this.#working.then(() => this.#assign(setupId)).catch(() => {});
    }, PAUSE_MS);
    timer.unref();
    this.#timers.set(setupId, timer);
  }

  async close(): Promise<void> {
    this.#closed = true;
    for (const timer of this.#timers.values()) clearTimeout(timer);
    this.#predictor.close();
    await this.#working;
  }

  async #assign(setupId: string): Promise<void> {
    const listed = this.#store.frames.list(setupId);
    const setup = this.#store.setup(setupId);
    if (!listed.ok || !setup.ok || listed.value.length === 0) return;
    const said = listed.value.filter(saidByPerson);
    const open = listed.value.filter((card) => !saidByPerson(card));
    const frames = await this.#smallFrames(open);
    const lights = setup.value.lights.filter(({ id }) => !said.some((card) => isLight(card, id)));
    const named = lights.map(({ id, tag, role }): NamedLight => ({ id, tag, role }));
    const predicted = frames.length > 0 ? await this.#predictor.predict(setup.value).catch(() => null) : null;
    if (this.#closed || frames.length === 0) return;
    const free = predicted?.filter(({ shows }) => !said.some((card) => isSame(card, shows)));
    const found = assignFrames(frames, { lights: named, ...(free && named.length > 0 ? { predicted: free } : {}) });
    this.#keep(setupId, open, found);
  }

  /** On the disc, then told; only what changed. */
  #keep(setupId: string, cards: readonly FrameCard[], found: readonly Assignment[]): void {
    const changes = found.flatMap(({ frameId, shows, confidence, by, why }) => {
      const assignment: FrameAssignment = { shows, confidence, by, why };
      const card = cards.find(({ id }) => id === frameId);
      if (card === undefined || JSON.stringify(card.assignment) === JSON.stringify(assignment)) return [];
      return [{ id: frameId, assignment }];
    });
    const kept = this.#store.frames.setAssignments(changes);
    if (kept.ok && kept.value.length > 0) this.#tell(setupId, kept.value);
  }

  async #smallFrames(cards: readonly FrameCard[]): Promise<readonly LinearFrame[]> {
    const frames: LinearFrame[] = [];
    for (const card of cards) {
      const known = this.#small.get(card.id) ?? (await this.#readSmall(card));
      if (known === null) continue;
      this.#small.delete(card.id);
      this.#small.set(card.id, known);
      frames.push(known);
    }
    for (const id of this.#small.keys()) {
      if (this.#small.size <= MOST_KEPT) break;
      this.#small.delete(id);
    }
    return frames;
  }

  /** Null when its files are not here. */
  async #readSmall(card: FrameCard): Promise<LinearFrame | null> {
    const files = this.#store.frames.files(card.id);
    if (!files.ok) return null;
    const bytes = await readFile(files.value.proxy).catch(() => null);
    if (bytes === null) return null;
    const read = readProxy(bytes, card.proxy.width, card.proxy.height, card.name);
    if (!read.ok) return null;
    const { id, name, basis, exposure, proxy } = card;
    return proxyOf({ ...proxy, ...read.value, id, name, basis, exposure }, SMALL_SIDE);
  }
}

const isLight = ({ assignment }: FrameCard, lightId: string): boolean =>
  assignment?.shows.kind === "light" && assignment.shows.lightId === lightId;

const isSame = (card: FrameCard, shows: Assignment["shows"]): boolean =>
  shows.kind === "light"
    ? isLight(card, shows.lightId)
    : shows.kind !== "session" && shows.kind !== "aside" && card.assignment?.shows.kind === shows.kind;
