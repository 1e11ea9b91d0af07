/**
 * Undo of one device: it takes back this device's own steps and never what another wrote. A step is a list
 * of changes, each the value before and after; taking it back writes the values before, field by field,
 * wherever the document still says what the step wrote. (A log of inverse operations can, after crossed
 * steps on two devices, leave a field without any value; values cannot.) A reading or an as-shot entry is
 * never taken out of the document: undoing the step that added it makes it not count.
 */

import type * as Y from "yjs";

export interface Change<T> {
  readonly before: T;
  readonly after: T;
}

const changeKey = Symbol("change");

/** Attaches a change to the transaction that writes it, for the Undo that listens. */
export function noteChange<T>(transaction: Y.Transaction, change: Change<T>): void {
  transaction.meta.set(changeKey, change);
}

type Step<T> = readonly Change<T>[];

/** Undo over one document for the edits made under one origin. */
export class Undo<T> {
  readonly #doc: Y.Doc;
  readonly #origin: unknown;
  readonly #revert: (doc: Y.Doc, before: T, after: T) => void;
  #done: Step<T>[] = [];
  #undone: Step<T>[] = [];
  #joining = false;

  constructor(doc: Y.Doc, origin: unknown, revert: (doc: Y.Doc, before: T, after: T) => void) {
    this.#doc = doc;
    this.#origin = origin;
    this.#revert = revert;
    doc.on("afterTransaction", this.#listen);
  }

  /** Ends the step: the next edit begins another. Edits without this between them are one step. */
  stopCapturing(): void {
    this.#joining = false;
  }

  /** Takes back the last step; null when there is none. */
  undo(): Step<T> | null {
    const step = this.#done.pop();
    if (step === undefined) return null;
    const back = step.map(({ before, after }) => ({ before: after, after: before })).reverse();
    this.#write(back);
    this.#undone.push(step);
    return step;
  }

  /** Does the last step that was taken back again; null when there is none. */
  redo(): Step<T> | null {
    const step = this.#undone.pop();
    if (step === undefined) return null;
    this.#write(step);
    this.#done.push(step);
    return step;
  }

  get canUndo(): boolean {
    return this.#done.length > 0;
  }

  get canRedo(): boolean {
    return this.#undone.length > 0;
  }

  /** Stops listening to the document. */
  destroy(): void {
    this.#doc.off("afterTransaction", this.#listen);
  }

  #write(step: Step<T>): void {
    this.#joining = false;
    this.#doc.transact(() => {
      for (const { before, after } of step) this.#revert(this.#doc, before, after);
    }, this.#origin);
  }

  readonly #listen = (transaction: Y.Transaction): void => {
    const change = transaction.meta.get(changeKey) as Change<T> | undefined;
    if (change === undefined || transaction.origin !== this.#origin) return;
    const last = this.#joining ? this.#done.pop() : undefined;
    this.#done.push([...(last ?? []), change]);
    this.#undone = [];
    this.#joining = true;
  };
}
