/** The HTTP side of a door: limits, headers, the page's files and the book's routes; faults for everything else. */

import type { RequestListener, Server } from "node:http";
import Fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from "fastify";
import { fault } from "../units/index.ts";
import { httpFault, sendFaults } from "./answers.ts";
import type { Door, Entry } from "./door.ts";
import { sendPage } from "./page-files.ts";

export interface AppParts {
  readonly door: Door;
  /** The built page. */
  readonly webDir: string;
  /** How long a whole request may take to come, ms. */
  readonly patienceMs: number;
  /** The server that the app answers for; without it Fastify makes one. */
  readonly serverFor?: (handler: RequestListener) => Server;
  /** Where somebody who was not let in is sent instead of to a page. */
  readonly strangersGoTo?: string;
}

const smallBodyBytes = 64 * 1024;
export const mostConnections = 512;

export function makeApp(parts: AppParts): FastifyInstance {
  const { door, patienceMs, serverFor } = parts;
  const app = Fastify({
    bodyLimit: smallBodyBytes,
    forceCloseConnections: true,
    requestTimeout: patienceMs,
    ...(serverFor === undefined ? {} : { serverFactory: serverFor }),
    // Node looks for slow requests at intervals.
    http: { requestTimeout: patienceMs, connectionsCheckingInterval: patienceMs / 4 },
    routerOptions: { maxParamLength: 200 },
    frameworkErrors: (error, request, reply) => {
      void sendFaults(reply as never, [httpFault(error, shownPath(request.raw.url))]);
    },
    clientErrorHandler: (error, socket) => {
      // A handshake that failed leaves no line to answer on.
      if (/^ERR_(TLS|SSL)_/.test(error.code ?? "")) socket.destroy();
      else if (socket.writable) socket.end(rawAnswer(error.code === "ERR_HTTP_REQUEST_TIMEOUT" ? 408 : 400));
    },
  });
  // Text is what a form of another page can send without asking; nothing here is read from it.
  app.removeContentTypeParser("text/plain");
  app.server.maxConnections = mostConnections;
  app.addHook("onRequest", async (request, reply) => {
    reply.headers(door.headers());
    const entry = door.enter(request.raw, request.method);
    if (isApi(request.raw.url)) reply.header("cache-control", "no-store");
    return answerAtDoor(parts, entry, request, reply);
  });
  app.setErrorHandler((error, request, reply) => sendFaults(reply, [httpFault(error, shownPath(request.raw.url))]));
  app.setNotFoundHandler((request, reply) => {
    if (!isApi(request.raw.url)) return sendPage(request, reply, parts.webDir);
    return sendFaults(reply, [
      fault("no-such-path", "There is no such request", shownPath(request.raw.url), "See docs/internals.md."),
    ]);
  });
  return app;
}

/** Undefined lets the request go on to its route. */
function answerAtDoor(parts: AppParts, entry: Entry, request: FastifyRequest, reply: FastifyReply): unknown {
  if (entry.kind === "redirect") return reply.redirect(entry.to, 307);
  if (entry.kind === "shut") return sendFaults(reply, [entry.fault]);
  const refused = parts.door.refuse(entry, request);
  if (refused === null) return undefined;
  const asksForPage = request.method === "GET" && !isApi(request.raw.url) && wantsHtml(request);
  if (entry.kind === "stranger" && asksForPage && parts.strangersGoTo !== undefined) {
    return reply.redirect(parts.strangersGoTo, 303);
  }
  return sendFaults(reply, [refused]);
}

const wantsHtml = (request: FastifyRequest): boolean => (request.headers.accept ?? "").includes("text/html");

/** An answer to what is no whole request. */
export function rawAnswer(statusCode: 400 | 408): string {
  const body = JSON.stringify({ faults: [httpFault({ statusCode }, "request")] });
  const status = statusCode === 408 ? "408 Request Timeout" : "400 Bad Request";
  const headers = ["Connection: close", "Content-Type: application/json", `Content-Length: ${body.length}`];
  return [`HTTP/1.1 ${status}`, ...headers, "", body].join("\r\n");
}

const isApi = (url: string | undefined): boolean => /^\/api(\/|\?|$)/.test(url ?? "");

/** The path alone: a query may hold what a log should not. */
const shownPath = (url: string | undefined): string => (url ?? "/").split("?")[0]?.slice(0, 200) ?? "/";
