/**
 * The outer form of a message on a link, checked before Hocuspocus sees it: what is no message ends the
 * connection in one place, with a close code and not with an exception. Forms as Hocuspocus 4 writes them:
 * name of the document, type, then what the type carries; numbers are of variable length, 7 bits a byte, the
 * lowest first; texts and bytes are led by their length. Updates themselves are judged in `live-document.ts`.
 */

import * as Y from "yjs";

const types = { sync: 0, awareness: 1, auth: 2, queryAwareness: 3, syncReply: 4, stateless: 5, close: 7 } as const;
const syncStep1 = 0;
const lastSyncStep = 2;
const authToken = 0;

const longestName = 300;
const longestToken = 1000;
const longestStateless = 64 * 1024;
/** Short, so that what is nested in it cannot be deep either: Hocuspocus walks through it by recursion. */
const longestAwareness = 4096;
/** What the last byte of the longest number is multiplied by: eight bytes of 7 bits hold every whole number. */
const lastFactor = 2 ** 49;
const utf8: TextDecoder = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });

/** Whether the bytes have the form of a message that a page sends. Never throws. */
export function isMessage(bytes: Uint8Array): boolean {
  try {
    const reader = new Reader(bytes);
    // Printable, so that a name may stand in a line of a log; "\0" parts the name from a session's id.
    if (!/^[\x20-\x7e]*(\0[\x20-\x7e]*)?$/.test(reader.text(longestName))) return false;
    return readBody(reader) && reader.atEnd;
  } catch {
    return false;
  }
}

function readBody(reader: Reader): boolean {
  switch (reader.number()) {
    case types.sync:
    case types.syncReply:
      return readSync(reader);
    case types.awareness:
      return isAwareness(reader.bytes(longestAwareness));
    case types.auth:
      if (reader.number() !== authToken) return false;
      reader.text(longestToken);
      if (!reader.atEnd) reader.text(longestToken);
      return true;
    case types.stateless:
      reader.text(longestStateless);
      return true;
    case types.queryAwareness:
    case types.close:
      return true;
    default:
      return false;
  }
}

function readSync(reader: Reader): boolean {
  const step = reader.number();
  if (step > lastSyncStep) return false;
  const payload = reader.bytes(Number.POSITIVE_INFINITY);
  if (step === syncStep1) Y.decodeStateVector(payload);
  return true;
}

/** How many states, then of each: whose, its clock, and the state as JSON. */
function isAwareness(bytes: Uint8Array): boolean {
  const reader = new Reader(bytes);
  for (let left = reader.number(); left > 0; left--) {
    reader.number();
    reader.number();
    JSON.parse(reader.text(longestAwareness));
  }
  return reader.atEnd;
}

/** Reads front to back; throws a RangeError or TypeError at what cannot be read. */
class Reader {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  get atEnd(): boolean {
    return this.#at === this.#bytes.length;
  }

  number(): number {
    let value = 0;
    for (let factor = 1; factor <= lastFactor; factor *= 128) {
      const byte = this.#bytes[this.#at++];
      if (byte === undefined) throw new RangeError("ends early");
      value += (byte & 127) * factor;
      if (byte < 128 && value <= Number.MAX_SAFE_INTEGER) return value;
    }
    throw new RangeError("a number too large");
  }

  bytes(most: number): Uint8Array {
    const length = this.number();
    const from = this.#at;
    if (length > most || from + length > this.#bytes.length) throw new RangeError("a length past the end");
    this.#at = from + length;
    return this.#bytes.subarray(from, this.#at);
  }

  text(most: number): string {
    return utf8.decode(this.bytes(most));
  }
}
