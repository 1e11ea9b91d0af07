/** The lines that each device came by, to be cut when it is put out: links, streams and whatever is kept open. */

import type { Socket } from "node:net";

/** What a device gets to read the good-bye; then its lines are cut. */
const farewellMs = 250;

export class Lines {
  readonly #open = new Map<string, Set<Socket>>();

  met(id: string, line: Socket): void {
    const lines = this.#open.get(id) ?? new Set();
    this.#open.set(id, lines);
    if (lines.has(line)) return;
    lines.add(line);
    line.once("close", () => {
      lines.delete(line);
      if (lines.size === 0 && this.#open.get(id) === lines) this.#open.delete(id);
    });
  }

  cut(id: string): void {
    for (const line of this.#open.get(id) ?? []) setTimeout(() => line.destroy(), farewellMs).unref();
  }
}
