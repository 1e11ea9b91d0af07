/** A device for tests: a real provider on a real socket, and the barrier that says what is kept. */

import { HocuspocusProvider, HocuspocusProviderWebsocket } from "@hocuspocus/provider";
import * as Y from "yjs";
import type { Setup } from "../src/setup/index.ts";
import { docToSetup, writeSetup } from "../src/sync/index.ts";
import { expectOk } from "../src/units/index.ts";

export interface Closing {
  readonly code: number;
  readonly reason: string;
}

export class LinkClient {
  readonly doc: Y.Doc;
  readonly closings: Closing[] = [];
  denied = "";
  /** Stateless messages, in order. */
  readonly heard: string[] = [];
  readonly #socket: HocuspocusProviderWebsocket;
  readonly #provider: HocuspocusProvider;
  readonly #waiting = new Map<number, () => void>();
  #barrier = 0;
  #isSynced = false;
  #onSynced: (() => void)[] = [];
  #onClosed: (() => void)[] = [];

  /** `socket`: how the line is opened, where it takes more than an address. */
  constructor(address: string, name: string, doc: Y.Doc = new Y.Doc(), socket?: typeof WebSocket) {
    this.doc = doc;
    this.#socket = new HocuspocusProviderWebsocket({
      url: `${address.replace("http", "ws")}/sync`,
      delay: 50,
      minDelay: 50,
      jitter: false,
      ...(socket === undefined ? {} : { WebSocketPolyfill: socket }),
    });
    this.#provider = new HocuspocusProvider({
      websocketProvider: this.#socket,
      name,
      document: doc,
      onSynced: () => {
        this.#isSynced = true;
        for (const go of this.#onSynced.splice(0)) go();
      },
      onStateless: ({ payload }) => {
        this.heard.push(payload);
        const n = Number(/^barrier:(\d+)$/.exec(payload)?.[1]);
        this.#waiting.get(n)?.();
        this.#waiting.delete(n);
      },
      onAuthenticationFailed: ({ reason }) => {
        this.denied = reason;
      },
      onClose: ({ event }) => {
        this.#isSynced = false;
        this.#waiting.clear();
        this.closings.push({ code: event.code, reason: event.reason });
        if (event.code === 4403) this.#socket.disconnect();
        for (const go of this.#onClosed.splice(0)) go();
      },
    });
    this.#provider.attach();
  }

  get isSynced(): boolean {
    return this.#isSynced;
  }

  synced(): Promise<void> {
    return this.#isSynced ? Promise.resolve() : new Promise((resolve) => this.#onSynced.push(resolve));
  }

  closed(): Promise<void> {
    return new Promise((resolve) => this.#onClosed.push(resolve));
  }

  /** Until the close with this code; the last one is given. */
  async closedWith(code: number): Promise<Closing> {
    for (;;) {
      const found = this.closings.find((closing) => closing.code === code);
      if (found !== undefined) return found;
      await this.closed();
    }
  }

  /** Resolves when the server says that every edit so far is on the disc; never, when the line is cut before. */
  kept(): Promise<void> {
    this.#barrier += 1;
    const n = this.#barrier;
    this.#provider.sendStateless(`barrier:${n}`);
    return new Promise((resolve) => this.#waiting.set(n, resolve));
  }

  setup(): Setup {
    return expectOk(docToSetup(this.doc));
  }

  edit(change: (setup: Setup) => Setup): void {
    const before = this.setup();
    writeSetup(this.doc, before, change(before), this);
  }

  /** Leaves the network until `join`; resolves when the line is cut. */
  part(): Promise<void> {
    const cut = this.closed();
    this.#socket.disconnect();
    return cut;
  }

  join(): void {
    void this.#socket.connect();
  }

  stateless(payload: string): void {
    this.#provider.sendStateless(payload);
  }

  close(): void {
    this.#provider.destroy();
    this.#socket.destroy();
  }
}

/** Waits until `holds`, looking every few milliseconds. */
export async function until(holds: () => boolean, what: string, withinMs = 10_000): Promise<void> {
  const end = Date.now() + withinMs;
  while (!holds()) {
    if (Date.now() > end) throw new Error(`waited too long for: ${what}`);
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
}
