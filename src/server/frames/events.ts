/**
 * What happens to a setup's frames, pushed to whoever has them open (server-sent events, WHATWG HTML, "Server-sent
 * events"), under the same gate as every request. Who does not read is let go.
 */

import type { ServerResponse } from "node:http";
import type { FrameCard, FrameFolder } from "../../store/index.ts";
import type { Fault } from "../../units/index.ts";

/** Names of events and what each carries, as JSON. */
export interface FrameEvents {
  readonly frames: readonly FrameCard[];
  readonly removed: { readonly id: string };
  readonly fault: Fault;
  readonly folder: FrameFolder;
}

interface Listener {
  readonly setupId: string;
  /** At this machine, not a device that was let in. */
  readonly isHere: boolean;
}

/** The hot folder as devices on the network are told of it: whether it is watched, not where it lies nor what was said of its files. */
export const folderFromAfar = ({ state }: FrameFolder): FrameFolder => ({ path: null, state, faults: [] });

/** Null: not for devices on the network. */
function fromAfar<Name extends keyof FrameEvents>(name: Name, data: FrameEvents[Name]): unknown {
  if (name === "fault") return null;
  return name === "folder" ? folderFromAfar(data as FrameFolder) : data;
}

/** Listeners of all setups together. */
const MOST_LISTENERS = 128;
/** What may wait for one that does not read, bytes. */
const MOST_WAITING = 1024 * 1024;
/** A line that says nothing, so that a lost connection is noticed. */
const STILL_HERE_MS = 25_000;

export class FrameNews {
  readonly #listeners = new Map<ServerResponse, Listener>();
  readonly #timer: NodeJS.Timeout;

  constructor() {
    this.#timer = setInterval(() => {
      for (const response of this.#listeners.keys()) this.#write(response, ": still here\n\n");
    }, STILL_HERE_MS);
    this.#timer.unref();
  }

  /** False when there are too many already. `headers` are those of every answer. */
  listen(
    setupId: string,
    response: ServerResponse,
    headers: Readonly<Record<string, string>>,
    isHere: boolean,
  ): boolean {
    if (this.#listeners.size >= MOST_LISTENERS) return false;
    this.#listeners.set(response, { setupId, isHere });
    response.on("close", () => this.#listeners.delete(response));
    response.writeHead(200, { ...headers, "content-type": "text/event-stream; charset=utf-8" });
    this.#write(response, ": here\n\n");
    return true;
  }

  tell<Name extends keyof FrameEvents>(setupId: string, name: Name, data: FrameEvents[Name]): void {
    for (const [response, listener] of this.#listeners) {
      if (listener.setupId !== setupId) continue;
      const shown = listener.isHere ? data : fromAfar(name, data);
      if (shown !== null) this.#write(response, `event: ${name}\ndata: ${JSON.stringify(shown)}\n\n`);
    }
  }

  close(): void {
    clearInterval(this.#timer);
    for (const response of this.#listeners.keys()) response.end();
    this.#listeners.clear();
  }

  #write(response: ServerResponse, text: string): void {
    response.write(text);
    if (response.writableLength > MOST_WAITING) response.destroy();
  }
}
