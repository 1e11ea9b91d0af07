/**
 * One open setup: the shared document, the parsed setup, and what the solver and the care rules say of it.
 * Screens read values and make edits; nobody else writes the document. A drag previews edits without
 * writing them, and writes once when it ends.
 */

import type { Caution } from "../../care/index.ts";
import type { Edit, Kit, Setup } from "../../setup/index.ts";
import { applyEdits } from "../../setup/index.ts";
import type { SetupReport, Solver } from "../../solve/index.ts";
import { createSolver } from "../../solve/index.ts";
import { docToSetup, setupUndo, writeSetup } from "../../sync/index.ts";
import type { Fault, Result } from "../../units/index.ts";
import { failure, fault, success } from "../../units/index.ts";
import { DocumentLink } from "./document-link.ts";

/** What a screen draws: a consistent set of values, new whenever any of them changed. */
export interface SetupView {
  readonly setup: Setup;
  readonly report: SetupReport;
  /** The word for what Undo would take back; null when there is nothing. */
  readonly undo: string | null;
  readonly redo: string | null;
}

export class SetupSession {
  readonly link: DocumentLink;
  readonly id: string;
  readonly #solver: Solver = createSolver();
  readonly #undo: ReturnType<typeof setupUndo>;
  readonly #origin: object = {};
  #listeners = new Set<() => void>();
  #setup: Setup | null = null;
  #preview: Setup | null = null;
  #faults: readonly Fault[] = [];
  #view: SetupView | null = null;
  #labels = { undo: [] as string[], redo: [] as string[] };
  #check: typeof import("../../care/index.ts").checkSetup | null = null;
  #writing = false;
  #checkTimer: ReturnType<typeof setTimeout> | undefined;
  #checking: { readonly of: Setup; readonly kit: Kit | null } | null = null;
  #cautions: { readonly of: Setup; readonly kit: Kit | null; readonly list: readonly Caution[] } | null = null;

  constructor(id: string, documentName: string) {
    this.id = id;
    this.link = new DocumentLink(documentName);
    this.#undo = setupUndo(this.link.doc, this.#origin);
    this.link.doc.on("afterTransaction", (transaction) => {
      // Our own writes are read once, when their labels are in place; one that changed nothing is not read at all.
      if (!this.#writing && transaction.changed.size > 0) this.#read();
    });
    void this.link.ready.then(() => this.#read());
  }

  watch = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  /** The values to draw, or null while the document is still opening. */
  view = (): SetupView | null => {
    const setup = this.#preview ?? this.#setup;
    if (setup === null) return null;
    if (this.#view === null || this.#view.setup !== setup) {
      this.#view = {
        setup,
        report: this.#solver.report(setup),
        undo: this.#labels.undo.at(-1) ?? null,
        redo: this.#labels.redo.at(-1) ?? null,
      };
    }
    return this.#view;
  };

  faults = (): readonly Fault[] => this.#faults;

  /**
   * Cautions with their mends, each mend proved by carrying it out; null until they are known. Much heavier than
   * the report: their rules are fetched when first asked for (the phone's Meter does without), they are of the
   * written setup, so that a drag does not wait for them, and after an edit the earlier ones stand until the
   * numbers are drawn and the hands at rest.
   */
  cautions(kit: Kit | null): readonly Caution[] | null {
    const setup = this.#setup;
    if (setup === null) return null;
    if (this.#check === null) {
      void import("../../care/index.ts").then(({ checkSetup }) => {
        this.#check = checkSetup;
        this.#changed();
      });
      return null;
    }
    const known = this.#cautions;
    const asked = this.#checking ?? known;
    if (asked?.of !== setup || asked.kit !== kit) {
      clearTimeout(this.#checkTimer);
      this.#checking = { of: setup, kit };
      this.#checkTimer = setTimeout(() => this.#checkNow(kit), known === null ? 0 : CHECK_AFTER_MS);
    }
    return known?.list ?? null;
  }

  /** The solver of this setup, for answers beside the report (another point, a what-if). */
  solver(): Solver {
    return this.#solver;
  }

  /** Carries out edits and writes them to the shared document as one step of Undo. */
  change(label: string, edits: readonly Edit[]): Result<Setup> {
    this.#preview = null;
    if (this.#setup === null) return failure(notOpen(this.id));
    const before = this.#setup;
    const edited = applyEdits(before, edits);
    if (!edited.ok) {
      this.#changed();
      return edited;
    }
    this.#undo.stopCapturing();
    this.#labels.undo.push(label);
    this.#labels.redo = [];
    this.#write(() => writeSetup(this.link.doc, before, edited.value, this.#origin));
    return success(edited.value);
  }

  /** Shows edits without writing them; null ends the preview. */
  preview(edits: readonly Edit[] | null): Result<Setup> {
    if (this.#setup === null) return failure(notOpen(this.id));
    if (edits === null) {
      this.#preview = null;
      this.#changed();
      return success(this.#setup);
    }
    const edited = applyEdits(this.#setup, edits);
    if (edited.ok) {
      this.#preview = edited.value;
      this.#changed();
    }
    return edited;
  }

  undo(): void {
    const label = this.#labels.undo.pop();
    if (label === undefined) return;
    this.#write(() => {
      if (this.#undo.undo() !== null) this.#labels.redo.push(label);
    });
  }

  redo(): void {
    const label = this.#labels.redo.pop();
    if (label === undefined) return;
    this.#write(() => {
      if (this.#undo.redo() !== null) this.#labels.undo.push(label);
    });
  }

  close(): Promise<void> {
    clearTimeout(this.#checkTimer);
    this.#undo.destroy();
    return this.link.close();
  }

  #checkNow(kit: Kit | null): void {
    this.#checking = null;
    if (this.#setup === null || this.#check === null) return;
    const report = (changed: Setup): SetupReport => this.#solver.report(changed);
    this.#cautions = { of: this.#setup, kit, list: this.#check(this.#setup, report(this.#setup), kit, report) };
    this.#changed();
  }

  #write(carryOut: () => void): void {
    this.#writing = true;
    try {
      carryOut();
    } finally {
      this.#writing = false;
    }
    this.#read();
  }

  #read(): void {
    const parsed = docToSetup(this.link.doc);
    if (parsed.ok) {
      this.#setup = parsed.value;
      this.#faults = [];
    } else {
      this.#faults = parsed.faults;
    }
    this.#changed();
  }

  #changed(): void {
    this.#view = null;
    for (const listener of this.#listeners) listener();
  }
}

/** The cautions of an edit are worked out this long after it, so that its numbers are on the screen first. */
const CHECK_AFTER_MS = 120;

const notOpen = (id: string): Fault =>
  fault("not-open", "The setup is still opening", id, "Wait until it is shown, then try again.");
