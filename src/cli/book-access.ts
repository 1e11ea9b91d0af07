/**
 * The book, reached the one right way: through the server that has it open, else straight from the disc. Both give
 * the same answers.
 */

import { createReadStream, existsSync, readdirSync, rmSync, statSync } from "node:fs";
import { open, rename, rm } from "node:fs/promises";
import { join } from "node:path";
import { Readable } from "node:stream";
import { emptyKit, type Kit, parseKit, parseSetup, type Setup } from "../setup/index.ts";
import type {
  BookCard,
  BookFile,
  BookInfo,
  CardFilter,
  CardPage,
  FrameCard,
  FrameList,
  Imported,
  Store,
} from "../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { hasBook } from "./data-dir.ts";
import { openFault } from "./input.ts";
import { checkNewFile } from "./output.ts";
import { findRunning } from "./running.ts";
import type { World } from "./world.ts";

/** What an import brought. */
export type Brought = Pick<Imported, "setups" | "same" | "kitItems" | "ids">;

export interface Book {
  cards(filter: CardFilter): Promise<Result<readonly BookCard[]>>;
  setup(id: string): Promise<Result<Setup>>;
  kit(): Promise<Result<Kit>>;
  /** Test frames of a setup. */
  frames(id: string): Promise<Result<readonly FrameCard[]>>;
  exported(): Promise<Result<BookFile>>;
  imported(book: BookFile): Promise<Result<Brought>>;
  backUp(file: string): Promise<Result<void>>;
  restored(file: string): Promise<Result<BookInfo>>;
}

/**
 * Does `work` with the book in a folder and lets go of it again. Without `begin`, a folder without a book is a
 * fault; with it, the book is begun, and taken away again when the work fails.
 */
export async function withBook<T>(
  dataDir: string,
  world: World,
  begin: boolean,
  work: (book: Book) => Promise<Result<T>>,
): Promise<Result<T>> {
  const address = await findRunning(dataDir);
  if (address !== null) return work(remoteBook(address));
  const here = hasBook(dataDir);
  if (!here && !begin) {
    const mend = "Start Stopwise once, import a book, or name another folder with --data.";
    return failure(fault("no-book", "There is no book in this folder", dataDir, mend));
  }
  const before = existsSync(dataDir) ? new Set(readdirSync(dataDir)) : null;
  // Loaded here: most commands touch no book.
  const { openStore } = await import("../store/index.ts");
  const opened = openStore({ dataDir, now: world.now, newId: world.newId });
  if (!opened.ok) {
    // A folder that another process holds is not ours to tidy.
    if (opened.faults.every(({ code }) => code !== "book-open-elsewhere")) takeAway(dataDir, before);
    return opened;
  }
  const done = await finish(opened.value, work);
  if (!done.ok && !here) takeAway(dataDir, before);
  return done;
}

/** What beginning a book puts into its folder. */
const BOOK_FILES = ["book.sqlite", "book.sqlite-wal", "book.sqlite-shm", "lock.sqlite", "owner.json", "assets"];

/** Removes a book that was begun for nothing, and the folder if that was new too. */
function takeAway(dataDir: string, before: ReadonlySet<string> | null): void {
  if (before === null) rmSync(dataDir, { recursive: true, force: true });
  else
    for (const name of BOOK_FILES) if (!before.has(name)) rmSync(join(dataDir, name), { recursive: true, force: true });
}

async function finish<T>(store: Store, work: (book: Book) => Promise<Result<T>>): Promise<Result<T>> {
  try {
    return await work(localBook(store));
  } finally {
    store.close();
  }
}

/** As many cards as the store gives at once. */
const CARDS_AT_ONCE = 200;

/** All cards that match, page by page. */
async function allCards(
  ask: (offset: number) => Promise<Result<CardPage>> | Result<CardPage>,
): Promise<Result<readonly BookCard[]>> {
  const cards: BookCard[] = [];
  for (;;) {
    const page = await ask(cards.length);
    if (!page.ok) return page;
    cards.push(...page.value.cards);
    if (page.value.cards.length === 0 || cards.length >= page.value.total) return success(cards);
  }
}

function localBook(store: Store): Book {
  return {
    cards: (filter) => allCards((offset) => store.cards({ ...filter, offset, limit: CARDS_AT_ONCE })),
    setup: async (id) => store.setup(id),
    kit: async () => store.kit(),
    frames: async (id) => store.frames.list(id),
    exported: async () => store.exportBook(),
    imported: async (book) => {
      const brought = store.importBook(book);
      if (!brought.ok) return brought;
      // A book without a kit counts as never begun, and would be filled with the demo at the next start.
      if (!store.kit().ok) {
        const kit = store.addKit(emptyKit());
        if (!kit.ok) return kit;
      }
      const { setups, same, kitItems, ids } = brought.value;
      return success({ setups, same, kitItems, ids });
    },
    backUp: async (file) => store.backup(file),
    restored: async (file) => store.restore(file),
  };
}

function remoteBook(address: string): Book {
  return {
    cards: (filter) =>
      allCards((offset) =>
        asked<CardPage>(`${address}/api/${filter.trashed === true ? "trash" : "cards"}?${queryOf(filter, offset)}`),
      ),
    setup: async (id) => {
      const read = await asked<unknown>(`${address}/api/setups/${encodeURIComponent(id)}`);
      return read.ok ? parseSetup(read.value) : read;
    },
    kit: async () => {
      const read = await asked<unknown>(`${address}/api/kit`);
      return read.ok ? parseKit(read.value) : read;
    },
    frames: async (id) => {
      const read = await asked<FrameList>(`${address}/api/setups/${encodeURIComponent(id)}/frames`);
      return read.ok ? success(read.value.frames) : read;
    },
    exported: () => asked<BookFile>(`${address}/api/export`),
    imported: (book) =>
      asked<Brought>(`${address}/api/import`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(book),
      }),
    backUp: (file) => fetchBackup(`${address}/api/backup`, file),
    restored: (file) => sendBackup(`${address}/api/restore`, file),
  };
}

function queryOf(filter: CardFilter, offset: number): string {
  const { roles, trashed: _, ...plain } = filter;
  const query = new URLSearchParams({ offset: String(offset), limit: String(CARDS_AT_ONCE) });
  for (const [name, value] of Object.entries(plain)) {
    query.set(name, typeof value === "boolean" ? (value ? "1" : "0") : String(value));
  }
  for (const role of roles ?? []) query.append("role", role);
  return query.toString();
}

/** One request to the running server; its faults come back as they are. */
async function asked<T>(url: string, init: RequestInit = {}): Promise<Result<T>> {
  try {
    const answer = await fetch(url, init);
    const body = (await answer.json()) as unknown;
    return answer.ok ? success(body as T) : failure(...faultsOf(body, url));
  } catch (error) {
    return failure(lost(error, url));
  }
}

function faultsOf(body: unknown, url: string): readonly Fault[] {
  const given = (body as { readonly faults?: unknown } | null)?.faults;
  const known = Array.isArray(given) ? given.filter(isFault) : [];
  return known.length > 0 ? known : [lost(null, url)];
}

const isFault = (value: unknown): value is Fault =>
  ["code", "what", "where", "mend"].every(
    (key) => typeof (value as Record<string, unknown> | null)?.[key] === "string",
  );

function lost(error: unknown, url: string): Fault {
  // What `fetch` throws is a TypeError; anything else would be a mistake of ours.
  if (
    error !== null &&
    !(error instanceof TypeError || error instanceof SyntaxError || error instanceof DOMException)
  ) {
    throw error;
  }
  const mend = "Look whether Stopwise is still running there, then try again.";
  return fault("server-lost", "The running Stopwise did not answer in full", new URL(url).origin, mend);
}

/** The server's backup, written beside its name first, then moved there. */
async function fetchBackup(url: string, file: string): Promise<Result<void>> {
  const checked = checkNewFile(file);
  if (!checked.ok) return checked;
  const partial = `${checked.value}.${process.pid}.partial`;
  try {
    const answer = await fetch(url);
    if (!answer.ok || answer.body === null) return failure(...faultsOf(await answer.json(), url));
    const handle = await open(partial, "wx");
    try {
      for await (const part of answer.body) await handle.write(part);
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(partial, checked.value);
    return success(undefined);
  } catch (error) {
    const isSystem = typeof (error as { readonly code?: unknown }).code === "string" && !(error instanceof TypeError);
    return failure(isSystem ? openFault(error, file) : lost(error, url));
  } finally {
    await rm(partial, { force: true });
  }
}

async function sendBackup(url: string, file: string): Promise<Result<BookInfo>> {
  const body = Readable.toWeb(createReadStream(file)) as ReadableStream<Uint8Array>;
  const headers = { "content-type": "application/octet-stream", "content-length": String(statSync(file).size) };
  return asked(url, { method: "POST", headers, body, duplex: "half" } as RequestInit);
}
