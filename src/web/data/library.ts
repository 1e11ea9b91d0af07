/**
 * The open sessions of this page. Documents are named by the book's id and generation, so that another data
 * directory on the same port, or a restored backup, never mixes with what this browser keeps.
 */

import type { Result } from "../../units/index.ts";
import { failure, fault, success } from "../../units/index.ts";
import { type BookInfo, bookInfo } from "./book.ts";
import type { DocumentLink } from "./document-link.ts";
import { KitSession } from "./kit-session.ts";
import { SetupSession } from "./setup-session.ts";

let info: Promise<Result<BookInfo>> | null = null;
let kitSession: KitSession | null = null;
const setups = new Map<string, SetupSession>();

/** Which book this is: asked of the server, remembered for pages opened without it. */
export function book(): Promise<Result<BookInfo>> {
  info ??= askBook();
  return info;
}

export async function openSetup(id: string): Promise<Result<SetupSession>> {
  const open = setups.get(id);
  if (open !== undefined) return success(open);
  const which = await book();
  if (!which.ok) return which;
  const known = setups.get(id);
  if (known !== undefined) return success(known);
  const session = new SetupSession(id, documentName(which.value, `setup.${id}`));
  setups.set(id, session);
  whenRefused(session.link, () => setups.delete(id));
  return success(session);
}

export async function openKit(): Promise<Result<KitSession>> {
  if (kitSession !== null) return success(kitSession);
  const which = await book();
  if (!which.ok) return which;
  if (kitSession === null) {
    kitSession = new KitSession(documentName(which.value, "kit"));
    whenRefused(kitSession.link, () => {
      kitSession = null;
    });
  }
  return success(kitSession);
}

/**
 * A refused session is never handed out again: the screen that shows it keeps it, the next one opens anew.
 * When the book itself is another one now (restored, or another data directory), it is asked for again.
 */
function whenRefused(link: DocumentLink, drop: () => void): void {
  const stop = link.watch(() => {
    const { place, code } = link.keep();
    if (place !== "refused") return;
    stop();
    drop();
    if (code !== "restored" && code !== "other-book") return;
    info = null;
    kitSession = null;
    setups.clear();
  });
}

/** Lets go of a setup that was deleted or is no longer looked at. */
export async function closeSetup(id: string): Promise<void> {
  const session = setups.get(id);
  setups.delete(id);
  await session?.close();
}

const documentName = (which: BookInfo, rest: string): string => `${which.id}.${which.generation}.${rest}`;

const REMEMBERED = "stopwise.book";

async function askBook(): Promise<Result<BookInfo>> {
  const answer = await bookInfo();
  if (answer.ok) {
    remember(answer.value);
    return answer;
  }
  info = null;
  const kept = recall();
  return kept === null
    ? failure(
        ...answer.faults,
        fault(
          "no-book",
          "This browser has not met a book here before",
          location.origin,
          "Start Stopwise with npm start, then load the page again.",
        ),
      )
    : success(kept);
}

function remember(which: BookInfo): void {
  try {
    localStorage.setItem(REMEMBERED, JSON.stringify(which));
  } catch {
    // A private window: the page then needs the server at every start.
  }
}

function recall(): BookInfo | null {
  try {
    return JSON.parse(localStorage.getItem(REMEMBERED) ?? "null") as BookInfo | null;
  } catch {
    return null;
  }
}
