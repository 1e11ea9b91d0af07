/**
 * Stopwise's server: one HTTP server on 127.0.0.1 for the page, the book and the links. It owns the data
 * directory while it runs.
 */

import type { AddressInfo } from "node:net";
import type { FastifyInstance } from "fastify";
import { demoKit, demoSetups, emptyKit } from "../setup/index.ts";
import { kitName, openDevices, openStore, type Store } from "../store/index.ts";
import { failure, type Result, success } from "../units/index.ts";
import { makeApp } from "./app.ts";
import { loopbackDoor } from "./door.ts";
import { FrameDesk } from "./frames/desk.ts";
import { addFrameRoutes } from "./frames/frame-routes.ts";
import { originOf } from "./gate.ts";
import { makeLinks } from "./links.ts";
import { listenFault } from "./listen-fault.ts";
import { addControlRoutes } from "./network/control-routes.ts";
import { Devices } from "./network/devices.ts";
import { Network, type NetworkOptions } from "./network/network.ts";
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
  /** How the network side is to be when somebody switches it on; it is off until then. */
  readonly network?: NetworkOptions;
}

export interface RunningServer {
  /** "http://127.0.0.1:47115" */
  readonly address: string;
  readonly port: number;
  readonly store: Store;
  /** The switch that lets devices in over the network. */
  readonly network: Network;
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
  const listed = openList(store, options.now);
  if (!listed.ok) {
    store.close();
    return listed;
  }
  return listen(options, store, listed.value);
}

async function listen(options: ServerOptions, store: Store, devices: Devices): Promise<Result<RunningServer>> {
  let port = options.port ?? defaultPort;
  const { webDir, now, newId, patienceMs = 120_000 } = options;
  const door = loopbackDoor(() => port);
  const links = makeLinks({ store, silenceMs: patienceMs / 2, deviceOf: (id) => devices.get(id) });
  const desk = new FrameDesk(store);
  const addBook = (app: FastifyInstance, isHere = false): void => {
    addRoutes(app, { store, links: () => links, newId, restored: () => void desk.beginAgain() });
    addFrameRoutes(app, { store, desk, isHere });
  };
  const network = new Network({
    ...{ store, links, devices, webDir, now, newId, patienceMs },
    addBook: (app) => addBook(app),
    options: options.network ?? {},
  });
  const app = makeApp({ door, webDir, patienceMs });
  addBook(app, true);
  addControlRoutes(app, { network, devices, renamed: links.renamed });
  links.serve(app.server, door);
  const close = closer(async () => {
    await links.close();
    await network.switchOff();
    await desk.close();
    await app.close();
    devices.close();
    store.close();
  });
  try {
    await app.listen({ host: "127.0.0.1", port });
  } catch (error) {
    await close();
    return failure(listenFault(error, "127.0.0.1", port, "--port"));
  }
  port = (app.server.address() as AddressInfo).port;
  desk.begin();
  return success({ address: originOf(port), port, store, network, close });
}

/** Closes on the signals that ask a program to end. `done` is called when everything is written. */
export function closeOnSignals(server: Pick<RunningServer, "close">, done: () => void): void {
  const end = (): void => void server.close().then(done);
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.once(signal, end);
}

/** Closes once, however often it is asked. */
function closer(close: () => Promise<void>): () => Promise<void> {
  let closing: Promise<void> | null = null;
  return () => {
    closing ??= close();
    return closing;
  };
}

function openList(store: Store, now: () => Date): Result<Devices> {
  const opened = openDevices(store.dataDir);
  return opened.ok ? Devices.open(opened.value, now) : opened;
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
