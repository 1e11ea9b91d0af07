/**
 * One shared document of the book, held in three places: in memory (Yjs), in this browser (IndexedDB) and
 * on the machine that serves the page (Hocuspocus). The link says at every moment where an edit is. "Kept
 * on this machine" is said only when the server's answer to a barrier came back, which it sends after the
 * edits before it are on disc (docs/internals.md, Saved).
 */

import { HocuspocusProvider } from "@hocuspocus/provider";
import { IndexeddbPersistence } from "y-indexeddb";
import * as Y from "yjs";

export type KeepPlace =
  | "opening" // nothing loaded yet
  | "machine" // every edit is on the machine's disc
  | "sending" // the network is there, the last edits are on their way
  | "browser" // no network: edits are kept in this browser
  | "memory" // the browser refuses to keep anything and there is no network
  | "refused"; // the server will not take this document (restored book, newer version)

export interface Keep {
  readonly place: KeepPlace;
  /** Edits not yet confirmed by the machine. */
  readonly waiting: number;
  /** When the machine last confirmed everything. */
  readonly at: Date | null;
  /** Why it was refused: the server's code ("restored", "deleted") and its words. */
  readonly code: string;
  readonly reason: string;
}

/** Somebody who has the document open, as the server says: a device by its id, or "here" for the machine itself. */
export interface Present {
  readonly id: string;
  readonly name: string;
  readonly lightId: string | null;
}

const BARRIER_DELAY_MS = 60;
const nobody: readonly Present[] = [];

export class DocumentLink {
  readonly doc: Y.Doc = new Y.Doc();
  /** Resolves when the document holds something to show: from this browser or from the machine. */
  readonly ready: Promise<void>;
  readonly name: string;
  #presence: readonly Present[] = nobody;
  #metering: string | null = null;
  #keep: Keep = { place: "opening", waiting: 0, at: null, code: "", reason: "" };
  #listeners = new Set<() => void>();
  #provider: HocuspocusProvider;
  #persistence: IndexeddbPersistence | null = null;
  #browserKeeps = true;
  #synced = false;
  #edits = 0;
  #confirmed = 0;
  #barrier = 0;
  #barrierEdits = new Map<number, number>();
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(name: string) {
    this.name = name;
    const kept = this.#openBrowserStore();
    let served: () => void = () => {};
    const fromServer = new Promise<void>((resolve) => {
      served = resolve;
    });
    this.#provider = new HocuspocusProvider({
      url: `${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/sync`,
      name,
      document: this.doc,
      onSynced: () => {
        this.#synced = true;
        served();
        this.#askBarrier();
        if (this.#metering !== null) this.#sayMetering();
      },
      onStatus: ({ status }) => {
        if (status !== "connected") {
          this.#synced = false;
          this.#presence = nobody;
        }
        this.#refresh();
      },
      onStateless: ({ payload }) => this.#answer(payload),
      onClose: ({ event }) => this.#closed(event.code, event.reason),
    });
    this.#edits = readWaiting(name);
    this.doc.on("update", (_update: Uint8Array, origin: unknown) => this.#edited(origin));
    this.ready = Promise.race([fromServer, kept.then((full) => (full ? undefined : fromServer))]);
    void this.ready.then(() => this.#refresh());
  }

  keep = (): Keep => this.#keep;

  /** Who has the document open, oneself among them; nobody while the server is away. */
  presence = (): readonly Present[] => this.#presence;

  /** Tells the others which light is being metered here; null for none. Said again after every reconnect. */
  meter(lightId: string | null): void {
    if (lightId === this.#metering) return;
    this.#metering = lightId;
    if (this.#synced) this.#sayMetering();
  }

  watch = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  /** Ends the link: network and browser store are let go, nothing is deleted. */
  async close(): Promise<void> {
    clearTimeout(this.#timer);
    this.#provider.destroy();
    await this.#persistence?.destroy();
  }

  /** True when this browser already holds the document. */
  async #openBrowserStore(): Promise<boolean> {
    try {
      this.#persistence = new IndexeddbPersistence(this.name, this.doc);
      await this.#persistence.whenSynced;
      return this.doc.store.clients.size > 0;
    } catch {
      this.#browserKeeps = false;
      return false;
    }
  }

  #edited(origin: unknown): void {
    if (origin === this.#provider || origin === this.#persistence) return;
    this.#edits += 1;
    writeWaiting(this.name, this.#edits - this.#confirmed);
    this.#refresh();
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#askBarrier(), BARRIER_DELAY_MS);
  }

  #askBarrier(): void {
    if (!this.#synced) {
      this.#refresh();
      return;
    }
    this.#barrier += 1;
    this.#barrierEdits.set(this.#barrier, this.#edits);
    this.#provider.sendStateless(`barrier:${this.#barrier}`);
    this.#refresh();
  }

  #sayMetering(): void {
    this.#provider.sendStateless(`metering:${this.#metering ?? ""}`);
  }

  #answer(payload: string): void {
    if (payload.startsWith("presence:")) {
      this.#presence = JSON.parse(payload.slice("presence:".length)) as readonly Present[];
      this.#set({});
      return;
    }
    const match = /^barrier:(\d+)$/.exec(payload);
    if (match === null) return;
    const edits = this.#barrierEdits.get(Number(match[1]));
    if (edits === undefined) return;
    this.#barrierEdits.delete(Number(match[1]));
    this.#confirmed = Math.max(this.#confirmed, edits);
    writeWaiting(this.name, this.#edits - this.#confirmed);
    this.#set({ at: new Date() });
    this.#refresh();
  }

  #closed(code: number, reason: string): void {
    this.#synced = false;
    this.#barrierEdits.clear();
    if (code === REFUSED) {
      this.#provider.disconnect();
      const [, refusal = "", words = reason] = /^([a-z-]+): (.*)$/.exec(reason) ?? [];
      this.#set({ place: "refused", code: refusal, reason: words });
      return;
    }
    this.#refresh();
  }

  #refresh(): void {
    if (this.#keep.place === "refused") return;
    const waiting = this.#edits - this.#confirmed;
    const place: KeepPlace = this.#synced
      ? waiting > 0 || this.#keep.at === null
        ? "sending"
        : "machine"
      : this.doc.store.clients.size === 0
        ? "opening"
        : this.#browserKeeps
          ? "browser"
          : "memory";
    this.#set({ place, waiting });
  }

  #set(change: Partial<Keep>): void {
    this.#keep = { ...this.#keep, ...change };
    for (const listener of this.#listeners) listener();
  }
}

/** The close code with which the server refuses a document for good (docs/internals.md). */
const REFUSED = 4403;

const waitingKey = (name: string): string => `stopwise.waiting.${name}`;

/** Edits that an earlier page made offline still count as waiting when the page is opened again. */
function readWaiting(name: string): number {
  try {
    return Number(localStorage.getItem(waitingKey(name)) ?? 0);
  } catch {
    return 0;
  }
}

function writeWaiting(name: string, count: number): void {
  try {
    if (count === 0) localStorage.removeItem(waitingKey(name));
    else localStorage.setItem(waitingKey(name), String(count));
  } catch {
    // Counting is a courtesy; the edits themselves are in IndexedDB.
  }
}
