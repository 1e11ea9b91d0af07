/**
 * Stopwise's server: one HTTP server on 127.0.0.1 for the page, the book and the links. It owns the data
 * directory while it runs.
 */

import type { AddressInfo } from "node:net";
import type { FastifyInstance } from "fastify";
import { demoKit, demoSetups, emptyKit } from "../setup/index.ts";
import { kitName, openStore, type Store } from "../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { makeApp } from "./app.ts";
import { loopbackDoor } from "./door.ts";
import { originOf } from "./gate.ts";
import { type Links, makeLinks } from "./links.ts";
import { addRoutes } from "./routes.ts";

/** The one port: browsers keep their stores by address, so it never changes by itself. */
export const defaultPort = 47115;

export interface ServerOptions {
  readonly dataDir: string;
  /** 0 takes any free port, for tests. */
  readonly port?: number;
  /** The built page. */
  readonly webDir: string;
  /** A new book begins with the demo's setups and kit; otherwise it begins empty. */
  readonly seedDemo: boolean;
  readonly now: () => Date;
  /** Fresh ids: letters, digits, "_" and "-" only, for they become parts of names. */
  readonly newId: () => string;
  /** How long a whole request may take to come, in ms; usually two minutes. A link is silent for half of it. */
  readonly patienceMs?: number;
}

export interface RunningServer {
  /** "http://127.0.0.1:47115" */
  readonly address: string;
  readonly port: number;
  readonly store: Store;
  /** Ends all links, finishes what is being written, and lets go of the data directory. */
  close(): Promise<void>;
}

/** Faults: the folder is held or not writable, the port is taken. Nothing is left open after a fault. */
export async function startServer(options: ServerOptions): Promise<Result<RunningServer>> {
  const opened = openStore(options);
  if (!opened.ok) return opened;
  const store = opened.value;
  const begun = beginBook(store, options.seedDemo);
  if (!begun.ok) {
    store.close();
    return begun;
  }
  let port = options.port ?? defaultPort;
  const door = loopbackDoor(() => port);
  const links = makeLinks(store, patienceOf(options) / 2);
  const app = makeApp({ door, webDir: options.webDir, patienceMs: patienceOf(options) });
  addRoutes(app, { store, links: () => links, newId: options.newId });
  links.serve(app.server, door);
  try {
    await app.listen({ host: "127.0.0.1", port });
  } catch (error) {
    await app.close();
    store.close();
    return failure(listenFault(error, port));
  }
  port = (app.server.address() as AddressInfo).port;
  return success({ address: originOf(port), port, store, close: closer(app, links, store) });
}

/** Closes on the signals that ask a program to end. `done` is called when everything is written. */
export function closeOnSignals(server: Pick<RunningServer, "close">, done: () => void): void {
  const end = (): void => void server.close().then(done);
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.once(signal, end);
}

function closer(app: FastifyInstance, links: Links, store: Store): () => Promise<void> {
  let closing: Promise<void> | null = null;
  const close = async (): Promise<void> => {
    await links.close();
    await app.close();
    store.close();
  };
  return () => {
    closing ??= close();
    return closing;
  };
}

/** A book without a kit is new. Then what searches need is read, before anybody asks. */
function beginBook(store: Store, seedDemo: boolean): Result<void> {
  const begun = store.find(kitName) === null ? fillNew(store, seedDemo) : success(undefined);
  return begun.ok ? store.prepareSearch() : begun;
}

function fillNew(store: Store, seedDemo: boolean): Result<void> {
  // The Book lists the last change first: the demo's own main job comes last and stands at the top.
  return seedDemo ? store.addKit(demoKit(), demoSetups().toReversed()) : store.addKit(emptyKit());
}

const patienceOf = ({ patienceMs = 120_000 }: ServerOptions): number => patienceMs;

function listenFault(error: unknown, port: number): Fault {
  const code = (error as { readonly code?: unknown }).code;
  if (code === "EADDRINUSE") {
    return fault(
      "port-taken",
      `Port ${port} is in use`,
      `127.0.0.1:${port}`,
      "Close the other Stopwise or program, or start with -- --port and another number.",
    );
  }
  if (code === "EACCES") {
    return fault(
      "port-refused",
      `The system keeps port ${port} for itself`,
      `127.0.0.1:${port}`,
      "Start with -- --port and a number above 1024.",
    );
  }
  return fault(
    "cannot-listen",
    `The network refused (${String(code)})`,
    `127.0.0.1:${port}`,
    "Check the network settings of this machine.",
  );
}
