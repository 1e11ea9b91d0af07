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

/** Listeners of all setups together. */
const MOST_LISTENERS = 128;
/** What may wait for one that does not read, bytes. */
const MOST_WAITING = 1024 * 1024;
/** A line that says nothing, so that a lost connection is noticed. */
const STILL_HERE_MS = 25_000;

export class FrameNews {
  readonly #listeners = new Map<ServerResponse, string>();
  readonly #timer: NodeJS.Timeout;

  constructor() {
    this.#timer = setInterval(() => {
      for (const response of this.#listeners.keys()) this.#write(response, ": still here\n\n");
    }, STILL_HERE_MS);
    this.#timer.unref();
  }

  /** False when there are too many already. `headers` are those of every answer. */
  listen(setupId: string, response: ServerResponse, headers: Readonly<Record<string, string>>): boolean {
    if (this.#listeners.size >= MOST_LISTENERS) return false;
    this.#listeners.set(response, setupId);
    response.on("close", () => this.#listeners.delete(response));
    response.writeHead(200, { ...headers, "content-type": "text/event-stream; charset=utf-8" });
    this.#write(response, ": here\n\n");
    return true;
  }

  tell<Name extends keyof FrameEvents>(setupId: string, name: Name, data: FrameEvents[Name]): void {
    const text = `event: ${name}\ndata: ${JSON.stringify(data)}\n\n`;
    for (const [response, wanted] of this.#listeners) if (wanted === setupId) this.#write(response, text);
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
