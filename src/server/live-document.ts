/**
 * The server's own copy of an open document, always exactly what the log says. An update is tried on it
 * first: only what decodes, stays within bounds, keeps every reading and leaves a readable setup goes on to
 * the log. After a refused update the copy is built again from the log.
 */

import * as Y from "yjs";
import { type DocumentValue, kitName, type Permission, type Store } from "../store/index.ts";
import { docToKit, docToSetup, keptReadings, readingsLost } from "../sync/index.ts";
import type { Result } from "../units/index.ts";
import { applyAndJudge } from "./metering.ts";
import { notKept, refusal } from "./refusal.ts";

/** Most bytes of one document's state. */
export const documentCapBytes: number = 32 * 1024 * 1024;

export class LiveDocument {
  readonly name: string;
  readonly #store: Store;
  #copy: Y.Doc;
  /** Bytes of the state when it was last measured, and of all updates since. */
  #bytes = 0;

  constructor(store: Store, name: string) {
    this.name = name;
    this.#store = store;
    this.#copy = this.#fromLog();
  }

  state(): Uint8Array {
    return Y.encodeStateAsUpdate(this.#copy);
  }

  /**
   * Puts a client's update on the disc, or throws a Refusal. An update with nothing new costs nothing.
   * "early": it builds on edits that have not come yet (made while the line was being set up; the first
   * exchange brings them again, in one), so it was not kept and must not be applied. Who may only look brings
   * nothing new; who may meter changes what metering changes.
   */
  keep(update: Uint8Array, may: Permission): "kept" | "early" {
    if (!decodes(update)) throw refusal("bad-update");
    if (Y.snapshotContainsUpdate(Y.snapshot(this.#copy), update)) return "kept";
    const readings = keptReadings(this.#copy);
    if (may === "look" || (may === "meter" && this.name === kitName)) throw refusal("not-allowed");
    const value = this.#try(update, readings, may);
    if (value === "early") return "early";
    const kept = this.#store.append(this.name, update, value);
    if (kept.ok) return "kept";
    this.#copy = this.#fromLog();
    throw notKept(kept.faults[0]?.what ?? "The disc refused");
  }

  /** Takes in an update that the store itself has written to the log. */
  follow(update: Uint8Array): void {
    Y.applyUpdate(this.#copy, update);
  }

  destroy(): void {
    this.#copy.destroy();
  }

  #try(update: Uint8Array, readings: ReadonlyMap<string, unknown>, may: Permission): DocumentValue | "early" {
    try {
      const onlyMetering = applyAndJudge(this.#copy, update);
      if (isWaiting(this.#copy)) {
        this.#copy = this.#fromLog();
        return "early";
      }
      if (may !== "edit" && !onlyMetering) throw refusal("not-allowed");
      if (this.#grownTooBig(update.length)) throw refusal("too-big");
      const value = contentOf(this.name, this.#copy);
      if (!value.ok || readingsLost(readings, this.#copy).length > 0) throw refusal("bad-update");
      return value.value;
    } catch (error) {
      this.#copy = this.#fromLog();
      throw error instanceof Error && "reason" in error ? error : refusal("bad-update");
    }
  }

  /** The state is measured again only when the sum of updates says that it might be too big. */
  #grownTooBig(added: number): boolean {
    this.#bytes += added;
    if (this.#bytes <= documentCapBytes) return false;
    this.#bytes = this.state().length;
    return this.#bytes > documentCapBytes;
  }

  #fromLog(): Y.Doc {
    const log = this.#store.load(this.name);
    if (!log.ok) throw notKept(log.faults[0]?.what ?? "The disc refused");
    const doc = new Y.Doc();
    for (const bytes of log.value) Y.applyUpdate(doc, bytes);
    this.#bytes = Y.encodeStateAsUpdate(doc).length;
    return doc;
  }
}

/** Whether the document holds parts of updates that build on others not seen yet. */
const isWaiting = (doc: Y.Doc): boolean => doc.store.pendingStructs !== null || doc.store.pendingDs !== null;

function decodes(update: Uint8Array): boolean {
  try {
    Y.decodeUpdate(update);
    return true;
  } catch {
    return false;
  }
}

function contentOf(name: string, doc: Y.Doc): Result<DocumentValue> {
  if (name === kitName) {
    const kit = docToKit(doc);
    return kit.ok ? { ok: true, value: { kind: "kit", kit: kit.value } } : kit;
  }
  const setup = docToSetup(doc);
  return setup.ok ? { ok: true, value: { kind: "setup", setup: setup.value } } : setup;
}
