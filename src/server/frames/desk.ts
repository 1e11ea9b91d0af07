/**
 * Where frames come in: from the page or from a hot folder, received to the disc, decoded in a thread, kept, told to
 * whoever has the setup open. A file that cannot be read is not kept; its faults say why.
 */

import { createReadStream } from "node:fs";
import { rm, stat } from "node:fs/promises";
import { isAbsolute, relative, resolve } from "node:path";
import type { Readable } from "node:stream";
import { writeProxy } from "../../files/index.ts";
import {
  createDecoder,
  type Decoder,
  type HotFolder,
  type LookAnswer,
  type Taken,
  watchFolder,
} from "../../files/node.ts";
import {
  type FrameCard,
  type FrameFolder,
  type FrameList,
  guardedLong,
  type KeptFrame,
  type NewFrame,
  type Store,
} from "../../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../../units/index.ts";
import { Assigner } from "./assigner.ts";
import { FrameNews } from "./events.ts";
import { receive } from "./receive.ts";

/** Faults of one folder that are kept for whoever asks later. */
const MOST_FAULTS = 100;

interface Watched {
  readonly path: string;
  readonly folder: HotFolder;
  state: FrameFolder["state"];
  faults: readonly Fault[];
}

export class FrameDesk {
  readonly news: FrameNews = new FrameNews();
  readonly decoder: Decoder;
  readonly #store: Store;
  readonly #watched = new Map<string, Watched>();
  readonly #assigner: Assigner;

  constructor(store: Store, decoder: Decoder = createDecoder()) {
    this.#store = store;
    this.decoder = decoder;
    this.#assigner = new Assigner(store, (setupId, cards) => this.news.tell(setupId, "frames", cards));
  }

  /** Takes up the hot folders that were on. */
  begin(): void {
    const folders = this.#store.frames.folders();
    if (folders.ok) for (const { setupId, path } of folders.value) this.#watch(setupId, path);
  }

  /** After the book was replaced: its folders, not those of the one before. */
  async beginAgain(): Promise<void> {
    await this.#letGo();
    this.begin();
  }

  async close(): Promise<void> {
    this.news.close();
    await Promise.all([this.decoder.close(), this.#assigner.close(), this.#letGo()]);
  }

  list(setupId: string): Result<FrameList> {
    const frames = this.#store.frames.list(setupId);
    return frames.ok ? success({ frames: frames.value, folder: this.folder(setupId) }) : frames;
  }

  folder(setupId: string): FrameFolder {
    const watched = this.#watched.get(setupId);
    if (watched === undefined) return { path: null, state: "off", faults: [] };
    return { path: watched.path, state: watched.state, faults: watched.faults };
  }

  /** Takes a file in. The same bytes again give the frame that is there. */
  async add(
    setupId: string,
    name: string,
    body: Readable,
    accept: "odd" | "sound" = "odd",
  ): Promise<Result<KeptFrame>> {
    const listed = this.#store.frames.list(setupId);
    if (!listed.ok) return drained(body, listed.faults);
    const path = this.#store.frames.newPartial();
    if (!path.ok) return drained(body, path.faults);
    const added = await guardedLong(name, () => this.#take(setupId, name, body, path.value, accept));
    return added.ok ? added.value : added;
  }

  remove(id: string): Result<FrameCard> {
    const removed = this.#store.frames.remove(id);
    if (removed.ok) {
      this.news.tell(removed.value.setupId, "removed", { id });
      this.#assigner.touch(removed.value.setupId);
    }
    return removed;
  }

  /** A new or changed card, told to all; what the others show is worked out again. */
  changed(card: FrameCard): void {
    this.news.tell(card.setupId, "frames", [card]);
    this.#assigner.touch(card.setupId);
  }

  /** Switches a setup's hot folder on, to another, or off. Faults: no absolute path, no folder, the book's own. */
  async setFolder(setupId: string, path: string | null): Promise<Result<FrameFolder>> {
    if (path !== null) {
      const refused = await this.#folderFault(path);
      if (refused !== null) return failure(refused);
    }
    const set = this.#store.frames.setFolder(setupId, path);
    if (!set.ok) return set;
    await this.#watched.get(setupId)?.folder.close();
    this.#watched.delete(setupId);
    if (path !== null) this.#watch(setupId, path);
    this.news.tell(setupId, "folder", this.folder(setupId));
    return success(this.folder(setupId));
  }

  async #take(
    setupId: string,
    name: string,
    body: Readable,
    path: string,
    accept: "odd" | "sound",
  ): Promise<Result<KeptFrame>> {
    try {
      const received = await receive(body, path, name);
      if (!received.ok) return received;
      const known = this.#store.frames.find(setupId, received.value.sha256);
      if (!known.ok) return known;
      if (known.value !== null) return success({ card: known.value, isNew: false });
      const look = await this.decoder.look(path, name, { thumb: true });
      if (!look.ok) return look;
      const odd = accept === "sound" ? look.value.sample.notes.find(({ code }) => code === "frame-odd") : undefined;
      if (odd !== undefined) return failure(odd);
      const kept = this.#store.frames.keep(setupId, path, newFrame(look.value, name));
      if (kept.ok && kept.value.isNew) this.changed(kept.value.card);
      return kept;
    } finally {
      await rm(path, { force: true });
    }
  }

  async #folderFault(path: string): Promise<Fault | null> {
    const mend = "Give the folder's whole path, such as the one that the camera's program saves into.";
    if (!isAbsolute(path) || path.includes("\0") || path.length > 4096) {
      return fault("folder-path", "This is no whole path of a folder", "path", mend);
    }
    const inside = relative(this.#store.dataDir, resolve(path));
    if (inside === "" || (!inside.startsWith("..") && !isAbsolute(inside))) {
      return fault("folder-path", "This is the book's own folder", "path", mend);
    }
    try {
      if ((await stat(path)).isDirectory()) return null;
    } catch {
      // Not there, or not to be opened: the fault below.
    }
    return fault("no-folder", "There is no such folder, or it may not be opened", "path", mend);
  }

  #watch(setupId: string, path: string): void {
    const folder = watchFolder(path, {
      take: (file, name, last) => this.#takeFrom(setupId, file, name, last),
      onFault: (said) => this.#say(setupId, said),
      onState: (state) => this.#setState(setupId, state),
    });
    this.#watched.set(setupId, { path, folder, state: "watching", faults: [] });
  }

  /** From our own copy, so that a file that is still being written cannot change while it is decoded. */
  async #takeFrom(setupId: string, file: string, name: string, last: boolean): Promise<Result<Taken>> {
    const added = await this.add(setupId, name, createReadStream(file), last ? "odd" : "sound");
    if (!added.ok) return added;
    const { card, isNew } = added.value;
    return success(isNew ? { kind: "kept" } : { kind: "known", as: card.name });
  }

  #say(setupId: string, said: Fault): void {
    const watched = this.#watched.get(setupId);
    if (watched !== undefined) watched.faults = [...watched.faults, said].slice(-MOST_FAULTS);
    this.news.tell(setupId, "fault", said);
  }

  #setState(setupId: string, state: "watching" | "gone"): void {
    const watched = this.#watched.get(setupId);
    if (watched === undefined) return;
    watched.state = state;
    this.news.tell(setupId, "folder", this.folder(setupId));
  }

  async #letGo(): Promise<void> {
    const all = [...this.#watched.values()];
    this.#watched.clear();
    await Promise.all(all.map(({ folder }) => folder.close()));
  }
}

/** A body that nobody wants is read to its end, so that the answer is heard. */
function drained(body: Readable, faults: readonly Fault[]): Result<never> {
  body.on("error", () => {});
  body.resume();
  return failure(...faults);
}

function newFrame(look: LookAnswer, name: string): NewFrame {
  const { proxy, sample, width, height, thumb, bytes } = look;
  const { bits, source } = sample.image;
  const noise = { ...proxy.noise, steps: null };
  const { reduction, balance, toSrgb } = proxy;
  return {
    card: {
      ...{ name, sha256: sample.sha256, bytes, width, height, bits, source, basis: proxy.basis },
      ...{ exposure: sample.exposure, notes: sample.notes },
      proxy: { width: proxy.width, height: proxy.height, reduction, balance, toSrgb, noise },
    },
    proxy: writeProxy(proxy),
    thumb,
  };
}
