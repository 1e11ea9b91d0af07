/**
 * A folder that other programs write frames into. Files appear half-written, are renamed, come in bursts, twice, or
 * damaged; the folder itself goes away and comes back. Each file is handed on once it has stood still for a while; one
 * that cannot be read yet is tried again until it has stood still for long, then said once, and tried again only when
 * it changes. Nothing here remembers what was kept: whoever takes a file knows its content by its hash. The system's
 * own notices make it quick, looking again at intervals makes it sure. Sub-folders, links, hidden and temporary names
 * and everything whose name is no picture's are passed over. Node.
 */

import { type FSWatcher, watch } from "node:fs";
import { lstat, readdir } from "node:fs/promises";
import { join } from "node:path";
import { type Fault, failure, fault, type Result } from "../units/index.ts";
import { isFrameName } from "./header.ts";
import { systemFault } from "./read-file.ts";

/** What became of a file: a new frame, or the content of one that is there, by its name. */
export type Taken = { readonly kind: "kept" } | { readonly kind: "known"; readonly as: string };

export interface FolderOptions {
  /**
   * Takes one file in. `last`: it will not be offered again as it is, so that what is merely odd should be accepted.
   * A fault of the file is tried again for a while; a fault of this machine (`isOurs`) until it is mended.
   */
  readonly take: (path: string, name: string, last: boolean) => Promise<Result<Taken>>;
  /** What could not be taken in, and duplicates; each once. */
  readonly onFault: (fault: Fault) => void;
  readonly onState: (state: FolderState) => void;
  /** Between looks, ms. */
  readonly pollMs?: number;
  /** How long a file must stand still before it is read, ms. */
  readonly settleMs?: number;
  /** How long a file that cannot be read is tried again while it stands still, ms. */
  readonly patienceMs?: number;
}

export type FolderState = "watching" | "gone";

export interface HotFolder {
  /** Looks now, and comes back when all that stands still has been tried: for tests and for whoever cannot wait. */
  look(): Promise<void>;
  /** No further file is begun; comes back when the one under way is done. */
  close(): Promise<void>;
}

/** Starts at once, with the files that are there. */
export function watchFolder(folder: string, options: FolderOptions): HotFolder {
  return new Watched(folder, options);
}

/** Faults that no change of the file would mend. */
const OURS: ReadonlySet<string> = new Set([
  "disc-full",
  "disc-read-only",
  "disc-error",
  "decoder-missing",
  "decoder-closed",
  "book-busy",
]);

/** How a file stood when it was last looked at. */
interface Seen {
  shape: string;
  readonly mtimeMs: number;
  /** When it first stood so. */
  since: number;
  state: "waiting" | "done" | "given-up";
  /** Not before this moment. */
  nextTry: number;
  tries: number;
  /** Code of the fault already said of it in this shape. */
  said: string | null;
}

class Watched implements HotFolder {
  readonly #folder: string;
  readonly #options: Required<FolderOptions>;
  readonly #seen = new Map<string, Seen>();
  readonly #timer: NodeJS.Timeout;
  #notices: FSWatcher | null = null;
  #state: FolderState | null = null;
  #running: Promise<void> | null = null;
  #again = false;
  #closed = false;

  constructor(folder: string, options: FolderOptions) {
    this.#folder = folder;
    this.#options = { pollMs: 1000, settleMs: 1000, patienceMs: 20_000, ...options };
    this.#timer = setInterval(() => this.#wake(), this.#options.pollMs);
    this.#timer.unref();
    this.#wake();
  }

  async look(): Promise<void> {
    await this.#running;
    if (!this.#closed) await this.#round();
  }

  async close(): Promise<void> {
    this.#closed = true;
    clearInterval(this.#timer);
    this.#notices?.close();
    await this.#running;
  }

  /** One round at a time; a notice during a round asks for another. */
  #wake(): void {
    this.#again = true;
    if (this.#running === null && !this.#closed) void this.#round();
  }

  #round(): Promise<void> {
    this.#running ??= this.#rounds().finally(() => {
      this.#running = null;
    });
    return this.#running;
  }

  async #rounds(): Promise<void> {
    do {
      this.#again = false;
      const names = await this.#names();
      if (names === null) return;
      const now = Date.now();
      await Promise.all(names.map((name) => this.#see(name, now)));
      const there = new Set(names);
      for (const name of this.#seen.keys()) if (!there.has(name)) this.#seen.delete(name);
      await this.#tryAll();
    } while (this.#again && !this.#closed);
  }

  /** The pictures' names; null while the folder cannot be read. */
  async #names(): Promise<readonly string[] | null> {
    try {
      const entries = await readdir(this.#folder, { withFileTypes: true });
      this.#setState("watching");
      return entries.filter((entry) => entry.isFile() && isWanted(entry.name)).map(({ name }) => name);
    } catch (error) {
      this.#setState("gone", error);
      return null;
    }
  }

  #setState(state: FolderState, error?: unknown): void {
    if (state === this.#state) return;
    this.#state = state;
    this.#notices?.close();
    this.#notices = null;
    if (state === "gone") {
      const { what } = systemFault(error, this.#folder);
      const mend = "Put it back where it was, or choose another; frames already taken are kept.";
      this.#options.onFault(fault("folder-gone", `The folder cannot be read: ${what}`, this.#folder, mend));
    } else this.#listen();
    this.#options.onState(state);
  }

  /** Without notices of the system, as on some network drives, looking at intervals does. */
  #listen(): void {
    try {
      this.#notices = watch(this.#folder, { persistent: false }, () => this.#wake());
      this.#notices.on("error", () => this.#notices?.close());
    } catch {
      this.#notices = null;
    }
  }

  async #see(name: string, now: number): Promise<void> {
    try {
      const { size, mtimeMs, ctimeMs, ino } = await lstat(join(this.#folder, name));
      const shape = `${size} ${mtimeMs} ${ctimeMs} ${ino}`;
      const before = this.#seen.get(name);
      if (before?.shape === shape) return;
      this.#seen.set(name, { shape, mtimeMs, since: now, state: "waiting", nextTry: 0, tries: 0, said: null });
    } catch {
      // Gone between the listing and the look: renamed or taken away.
      this.#seen.delete(name);
    }
  }

  /** Those that have stood still, oldest first, one after the other. */
  async #tryAll(): Promise<void> {
    const now = Date.now();
    const ready = [...this.#seen]
      .filter(
        ([, seen]) => seen.state === "waiting" && now - seen.since >= this.#options.settleMs && now >= seen.nextTry,
      )
      .sort(([nameA, a], [nameB, b]) => a.mtimeMs - b.mtimeMs || (nameA < nameB ? -1 : 1));
    for (const [name, seen] of ready) {
      if (this.#closed) return;
      await this.#try(name, seen);
    }
  }

  async #try(name: string, seen: Seen): Promise<void> {
    const last = Date.now() - seen.since >= this.#options.patienceMs;
    const taken = await this.#take(name, last);
    // While it was read it may have changed: then what came of it is of a file that is no more.
    await this.#see(name, Date.now());
    if (this.#seen.get(name) !== seen && !taken.ok) return;
    if (taken.ok) {
      seen.state = "done";
      if (taken.value.kind === "known") this.#sayKnown(name, taken.value.as);
      return;
    }
    const [first] = taken.faults;
    if (first === undefined) throw new RangeError("a failure without faults");
    const ours = OURS.has(first.code);
    if (ours || last) this.#say(seen, first);
    if (last && !ours) seen.state = "given-up";
    // Longer pauses the longer it lasts: 1/10, 2/10, 4/10 … of the patience, at most half of it.
    const pause = this.#options.patienceMs * Math.min(0.5, 0.05 * 2 ** ++seen.tries);
    seen.nextTry = Date.now() + pause;
  }

  /** Whatever breaks on one file must not stop the others. */
  async #take(name: string, last: boolean): Promise<Result<Taken>> {
    try {
      return await this.#options.take(join(this.#folder, name), name, last);
    } catch (error) {
      const said = error instanceof Error ? (error.message.split("\n")[0] ?? "") : "";
      return failure(fault("frame-not-taken", `A mistake of ours: ${said.slice(0, 120)}`, name, "Please report it."));
    }
  }

  #say(seen: Seen, found: Fault): void {
    if (seen.said === found.code) return;
    seen.said = found.code;
    this.#options.onFault(found);
  }

  /** A frame under a second name; a file that was only renamed is no duplicate, nor is a second look at the same one. */
  #sayKnown(name: string, as: string): void {
    if (name === as || !this.#seen.has(as)) return;
    const mend = "Nothing to do: it is kept once. If it should be another picture, copy it again.";
    this.#options.onFault(fault("frame-duplicate", `It is the same picture as ${as}, byte for byte`, name, mend));
  }
}

/** A picture's name, neither hidden nor of a file still being written under a passing name. */
const isWanted = (name: string): boolean => isFrameName(name) && !/^[.~]|^_tmp|\.tmp\.|\.part\./i.test(name);
