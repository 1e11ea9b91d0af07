/**
 * Stopwise's server: one HTTP server on 127.0.0.1 for the page, the book and the links. It owns the data
 * directory while it runs.
 */

import type { AddressInfo } from "node:net";
import Fastify, { type FastifyInstance } from "fastify";
import { demoKit, demoSetups, emptyKit } from "../setup/index.ts";
import { kitName, openStore, type Store } from "../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";
import { httpFault, sendFaults } from "./answers.ts";
import { judge, originOf, safeHeaders } from "./gate.ts";
import { type Links, serveLinks } from "./links.ts";
import { sendPage } from "./page-files.ts";
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
  const app = makeApp(
    store,
    options,
    () => port,
    () => links,
  );
  const links = serveLinks(app.server, store, () => port, patienceOf(options) / 2);
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

const smallBodyBytes = 64 * 1024;
const mostConnections = 512;
const patienceOf = ({ patienceMs = 120_000 }: ServerOptions): number => patienceMs;

function makeApp(store: Store, options: ServerOptions, port: () => number, links: () => Links): FastifyInstance {
  const app = Fastify({
    bodyLimit: smallBodyBytes,
    forceCloseConnections: true,
    requestTimeout: patienceOf(options),
    // Node looks for slow requests at intervals.
    http: { requestTimeout: patienceOf(options), connectionsCheckingInterval: patienceOf(options) / 4 },
    routerOptions: { maxParamLength: 200 },
    frameworkErrors: (error, request, reply) => {
      void sendFaults(reply as never, [httpFault(error, shownPath(request.raw.url))]);
    },
    clientErrorHandler: (error, socket) => {
      if (socket.writable) socket.end(rawAnswer(error.code === "ERR_HTTP_REQUEST_TIMEOUT" ? 408 : 400));
    },
  });
  // Text is what a form of another page can send without asking; nothing here is read from it.
  app.removeContentTypeParser("text/plain");
  app.server.maxConnections = mostConnections;
  app.addHook("onRequest", async (request, reply) => {
    reply.headers(safeHeaders(port()));
    const verdict = judge(request.headers, request.method, request.raw.url ?? "/", port());
    if (verdict.kind === "redirect") return reply.redirect(verdict.to, 307);
    if (verdict.kind === "shut") return sendFaults(reply, [verdict.fault]);
    if (isApi(request.raw.url)) reply.header("cache-control", "no-store");
    return undefined;
  });
  app.setErrorHandler((error, request, reply) => sendFaults(reply, [httpFault(error, shownPath(request.raw.url))]));
  app.setNotFoundHandler((request, reply) => {
    if (!isApi(request.raw.url)) return sendPage(request, reply, options.webDir);
    return sendFaults(reply, [
      fault("no-such-path", "There is no such request", shownPath(request.raw.url), "See docs/internals.md."),
    ]);
  });
  addRoutes(app, { store, links, newId: options.newId });
  return app;
}

/** An answer to what is no whole request. */
function rawAnswer(statusCode: 400 | 408): string {
  const body = JSON.stringify({ faults: [httpFault({ statusCode }, "request")] });
  const status = statusCode === 408 ? "408 Request Timeout" : "400 Bad Request";
  const headers = ["Connection: close", "Content-Type: application/json", `Content-Length: ${body.length}`];
  return [`HTTP/1.1 ${status}`, ...headers, "", body].join("\r\n");
}

const isApi = (url: string | undefined): boolean => /^\/api(\/|\?|$)/.test(url ?? "");

/** The path alone: a query may hold what a log should not. */
const shownPath = (url: string | undefined): string => (url ?? "/").split("?")[0]?.slice(0, 200) ?? "/";

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
