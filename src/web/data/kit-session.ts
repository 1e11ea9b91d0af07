/** The kit of this book: a shared document of its own, edited in Kit & room and read everywhere. */

import type { Kit } from "../../setup/index.ts";
import { docToKit, writeKit } from "../../sync/index.ts";
import type { Fault } from "../../units/index.ts";
import { DocumentLink } from "./document-link.ts";

export class KitSession {
  readonly link: DocumentLink;
  #kit: Kit | null = null;
  #faults: readonly Fault[] = [];
  #listeners = new Set<() => void>();

  constructor(documentName: string) {
    this.link = new DocumentLink(documentName);
    this.link.doc.on("afterTransaction", () => this.#read());
    void this.link.ready.then(() => this.#read());
  }

  watch = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  kit = (): Kit | null => this.#kit;

  faults = (): readonly Fault[] => this.#faults;

  /** Replaces the kit by an edited copy; only what differs is written. */
  change(edit: (kit: Kit) => Kit): void {
    if (this.#kit === null) return;
    writeKit(this.link.doc, this.#kit, edit(this.#kit), this);
    this.#read();
  }

  #read(): void {
    const parsed = docToKit(this.link.doc);
    if (parsed.ok) this.#kit = parsed.value;
    this.#faults = parsed.ok ? [] : parsed.faults;
    for (const listener of this.#listeners) listener();
  }
}
