/**
 * Who has a setup open and which light each is metering. A page says `metering:LIGHTID` (or `metering:` for none);
 * everybody with the document open is told `presence:[{ id, name, lightId }]` whenever that changes. The name is
 * the one that the device was let in under, never one that a page claims.
 */

import type { Connection, Document } from "@hocuspocus/server";
import type { Who } from "./door.ts";

export interface Present {
  /** The device's id; "here" for the machine that keeps the book. */
  readonly id: string;
  readonly name: string;
  readonly lightId: string | null;
}

const hereName = "the computer";

export class Presence {
  readonly #nameOf: (who: Who) => string;
  readonly #lights = new WeakMap<Connection, string>();

  /** `nameOf` is asked for devices only. */
  constructor(nameOf: (who: Who) => string) {
    this.#nameOf = (who) => (who.kind === "here" ? hereName : nameOf(who));
  }

  /** Takes what a page said, if it speaks of presence; true when it did. */
  hear(connection: Connection, payload: string): boolean {
    const said = /^metering:([A-Za-z0-9_.:-]{0,64})$/.exec(payload)?.[1];
    if (said === undefined) return false;
    if (said === "") this.#lights.delete(connection);
    else this.#lights.set(connection, said);
    this.tell(connection.document);
    return true;
  }

  /** Tells everybody who has the document open. */
  tell(document: Document): void {
    document.broadcastStateless(`presence:${JSON.stringify(this.list(document))}`);
  }

  /** Each device once, however many pages it has open; one that meters before one that looks. */
  list(document: Document): readonly Present[] {
    const present = new Map<string, Present>();
    for (const connection of document.getConnections()) {
      const { who } = connection.context as { readonly who: Who };
      const id = who.kind === "here" ? "here" : who.id;
      const lightId = this.#lights.get(connection) ?? present.get(id)?.lightId ?? null;
      present.set(id, { id, name: this.#nameOf(who), lightId });
    }
    return [...present.values()].sort((a, b) => (a.id < b.id ? -1 : 1));
  }
}
