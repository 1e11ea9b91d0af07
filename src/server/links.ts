/**
 * Shared documents over WebSocket (Hocuspocus). An update is on the disc before it is applied and
 * acknowledged: `beforeSync` is the one hook that is awaited before both. `docs/internals.md`, Saved, is
 * the protocol.
 */

import type { IncomingMessage, Server } from "node:http";
import type { Duplex } from "node:stream";
import { type Connection, type Document, Hocuspocus } from "@hocuspocus/server";
import { type WebSocket, WebSocketServer } from "ws";
import * as Y from "yjs";
import type { Permission, Store } from "../store/index.ts";
import type { Door, Who } from "./door.ts";
import { isMessage } from "./frame.ts";
import { LiveDocument } from "./live-document.ts";
import { type DocumentAddress, documentName, parseDocumentName } from "./names.ts";
import { Presence } from "./presence.ts";
import {
  brokenInside,
  noMessageCode,
  notKeptCode,
  Refusal,
  type RefusalCode,
  refusal,
  refusalReason,
  refusedCode,
} from "./refusal.ts";

/** Most bytes of one message: a whole document that was edited without a network, at its largest. */
const messageCapBytes = 33 * 1024 * 1024;
const mostSockets = 256;
/** Of one device on the network, so that it cannot take the places of all others. */
const mostOfDevice = 24;
/** What a device that was put out gets to say good-bye; then the line is cut. */
const farewellMs = 250;
/** Bytes that may wait for a client that does not read: a whole document at its largest, and some edits. */
const mostWaitingBytes = 40 * 1024 * 1024;
/** Updates kept before a log is shortened when its document is opened. */
const longLog = 500;

/** Message types of y-protocols/sync that carry an update. */
const syncStep2 = 1;
const syncUpdate = 2;

export interface Links {
  /** Serves `/sync` on an HTTP server to whom its door lets in. */
  serve(server: Server, door: Door): void;
  /** Ends the links of one document of this book, or of all, for good. */
  refuse(code: RefusalCode, name?: string): void;
  /** Ends the links of a device that was put out, within a fraction of a second. */
  putOut(device: string): void;
  /** Tells everybody anew who is there: a device was renamed. */
  renamed(): void;
  /** Brings an update that the store wrote itself to whoever has the document open. */
  tell(name: string, update: Uint8Array): void;
  close(): Promise<void>;
}

interface Context {
  readonly socket: WebSocket;
  readonly who: Who;
}

export interface LinkParts {
  readonly store: Store;
  /** A link is silent for this long at most. */
  readonly silenceMs: number;
  /** The device as it is listed now; null when it was put out. */
  readonly deviceOf: (id: string) => { readonly name: string; readonly permission: Permission } | null;
}

export function makeLinks(parts: LinkParts): Links {
  const { store } = parts;
  const live = new WeakMap<Document, LiveDocument>();
  const presence = new Presence((who) => (who.kind === "device" ? parts.deviceOf(who.id)?.name : null) ?? "");
  const hocuspocus = makeHocuspocus(parts, live, presence);
  const sockets = new WebSocketServer({ noServer: true, maxPayload: messageCapBytes });
  /** The open sockets of each device. */
  const ofDevice = new Map<string, Set<WebSocket>>();
  const crowded = (who: Who): boolean => who.kind === "device" && (ofDevice.get(who.id)?.size ?? 0) >= mostOfDevice;
  const welcome = (socket: WebSocket, request: IncomingMessage, who: Who): void => {
    if (who.kind === "device") {
      const open = ofDevice.get(who.id) ?? new Set();
      ofDevice.set(who.id, open.add(socket));
      socket.on("close", () => {
        open.delete(socket);
        if (open.size === 0 && ofDevice.get(who.id) === open) ofDevice.delete(who.id);
      });
    }
    attach(hocuspocus, socket, request, who);
  };
  const serve = (server: Server, door: Door): void => {
    server.on("upgrade", (request: IncomingMessage, socket: Duplex, head: Buffer) => {
      socket.on("error", () => socket.destroy());
      const path = (request.url ?? "").split("?")[0] ?? "";
      const entry = door.enter(request, "CONNECT");
      if (entry.kind !== "in")
        return turnAway(socket, entry.kind === "stranger" ? "401 Unauthorized" : "403 Forbidden");
      if (path !== "/sync") return turnAway(socket, "404 Not Found");
      if (sockets.clients.size >= mostSockets || crowded(entry.who)) return turnAway(socket, "503 Service Unavailable");
      sockets.handleUpgrade(request, socket, head, (webSocket) => welcome(webSocket, request, entry.who));
    });
  };
  const each = (name: string | undefined, visit: (document: Document) => void): void => {
    for (const document of hocuspocus.documents.values()) {
      if (name === undefined || parseDocumentName(document.name)?.name === name) visit(document);
    }
  };
  return {
    serve,
    refuse: (code, name) =>
      each(name, (document) => {
        for (const { webSocket } of document.getConnections()) webSocket.close(refusedCode, refusalReason(code));
      }),
    putOut: (device) => {
      for (const socket of ofDevice.get(device) ?? []) {
        socket.close(refusedCode, refusalReason("put-out"));
        setTimeout(() => socket.terminate(), farewellMs).unref();
      }
    },
    renamed: () => each(undefined, (document) => presence.tell(document)),
    tell: (name, update) => {
      const document = hocuspocus.documents.get(documentName(store.identity, name));
      if (document === undefined) return;
      live.get(document)?.follow(update);
      Y.applyUpdate(document, update, { source: "local", skipStoreHooks: true });
    },
    close: async () => {
      for (const client of sockets.clients) client.close(1001, "Stopwise is closing");
      await closed(sockets);
    },
  };
}

/** Clients get a moment to answer the close, then the line is cut. */
const partingMs = 1000;

function closed(sockets: WebSocketServer): Promise<void> {
  return new Promise((resolve) => {
    const cut = setTimeout(() => {
      for (const client of sockets.clients) client.terminate();
    }, partingMs);
    sockets.close(() => {
      clearTimeout(cut);
      resolve();
    });
  });
}

function turnAway(socket: Duplex, status: string): void {
  socket.end(`HTTP/1.1 ${status}\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`);
}

function attach(hocuspocus: Hocuspocus<Context>, socket: WebSocket, request: IncomingMessage, who: Who): void {
  const headers = new Headers();
  for (const [name, value] of Object.entries(request.headers)) if (typeof value === "string") headers.set(name, value);
  const address = new Request("http://127.0.0.1/sync", { headers });
  const client = hocuspocus.handleConnection(paced(socket), address, { socket, who });
  socket.on("message", (data: Buffer, isBinary: boolean) => {
    // After a close from this side the other may go on for a while.
    if (socket.readyState !== socket.OPEN) return;
    const bytes = new Uint8Array(data);
    if (!isBinary) socket.close(1003, "bytes only");
    else if (!isMessage(bytes)) socket.close(noMessageCode, "bytes that are no message");
    else client.handleMessage(bytes);
  });
  socket.on("close", (code, reason) => client.handleClose({ code, reason: reason.toString() }));
  socket.on("error", () => socket.terminate());
}

type Line = Parameters<Hocuspocus["handleConnection"]>[0];

/** The socket as Hocuspocus writes to it; a client that does not read is cut off before it fills the memory. */
function paced(socket: WebSocket): Line {
  return {
    get readyState() {
      return socket.readyState;
    },
    send: (data: Uint8Array) => {
      if (socket.bufferedAmount > mostWaitingBytes) socket.terminate();
      else socket.send(data);
    },
    close: (code, reason) => socket.close(code, reason),
  };
}

function makeHocuspocus(
  { store, silenceMs, deviceOf }: LinkParts,
  live: WeakMap<Document, LiveDocument>,
  presence: Presence,
): Hocuspocus<Context> {
  /** Connections that sent an early update and have not yet sent the edits before it. */
  const early = new WeakSet<Connection>();
  return new Hocuspocus<Context>({
    quiet: true,
    timeout: silenceMs,
    onAuthenticate: async ({ documentName: name, context }) => {
      refusing(context.socket, () => {
        permissionOf(context.who, deviceOf);
        addressIn(store, name);
      });
    },
    connected: async ({ connection }) => presence.tell(connection.document),
    onDisconnect: async ({ document }) => presence.tell(document),
    onLoadDocument: async ({ documentName: name, document, context }) => {
      refusing(context.socket, () => {
        const address = addressIn(store, name);
        store.compact(address.name, longLog);
        const kept = new LiveDocument(store, address.name);
        live.set(document, kept);
        Y.applyUpdate(document, kept.state());
      });
    },
    beforeSync: async ({ documentName: name, document, context, connection, type, payload }) => {
      if (type !== syncStep2 && type !== syncUpdate) return;
      refusing(context.socket, () => {
        addressIn(store, name);
        const kept = live.get(document);
        if (kept === undefined) throw refusal("no-setup");
        if (kept.keep(payload, permissionOf(context.who, deviceOf)) === "early") {
          early.add(connection);
          // For this one message: Hocuspocus then neither applies nor acknowledges it.
          connection.readOnly = true;
        } else if (type === syncStep2) early.delete(connection);
      });
    },
    afterHandleMessage: async ({ connection }) => {
      connection.readOnly = false;
    },
    onStateless: async ({ connection, payload }) => {
      if (presence.hear(connection, payload) || !/^barrier:\d{1,15}$/.test(payload)) return;
      if (early.has(connection)) connection.webSocket.close(notKeptCode, "not-kept: earlier edits are missing");
      else connection.sendStateless(payload);
    },
  });
}

/** What somebody may do now, or a Refusal. */
function permissionOf(who: Who, deviceOf: LinkParts["deviceOf"]): Permission {
  if (who.kind === "here") return "edit";
  const device = deviceOf(who.id);
  if (device === null) throw refusal("put-out");
  return device.permission;
}

/** Where the document is in this book as it now is, or a Refusal. */
function addressIn(store: Store, name: string): DocumentAddress {
  const address = parseDocumentName(name);
  if (address === null) throw refusal("bad-name");
  const { id, generation } = store.identity;
  if (address.book !== id) throw refusal("other-book");
  if (address.generation !== generation) throw refusal("restored");
  const entry = store.find(address.name);
  if (entry === null) throw refusal("no-setup");
  if (entry.trashed) throw refusal("deleted");
  return address;
}

/** Hocuspocus closes only the document's channel; the page needs the socket's close code to know for good. */
function refusing(socket: WebSocket, work: () => void): void {
  try {
    work();
  } catch (error) {
    const refused = error instanceof Refusal ? error : brokenInside();
    // After the messages that Hocuspocus still writes about it.
    setImmediate(() => socket.close(refused.code, refused.reason));
    throw refused;
  }
}
