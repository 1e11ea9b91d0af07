/**
 * The built page. A path is taken apart and only plain names are let through, so that nothing outside the
 * folder can be named. Files whose names carry a hash are kept for ever, the page itself is always asked for
 * anew, so that a new version is seen at the next load.
 */

import { createReadStream, statSync } from "node:fs";
import { extname, join } from "node:path";
import type { FastifyReply, FastifyRequest } from "fastify";
import { fault } from "../units/index.ts";
import { sendFaults } from "./answers.ts";
import { isPackable, packedFile, takesGzip } from "./packed-files.ts";

const types: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".webmanifest": "application/manifest+json; charset=utf-8",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".ico": "image/x-icon",
  ".woff2": "font/woff2",
  ".ttf": "font/ttf",
  ".txt": "text/plain; charset=utf-8",
};

/** Addresses of the page itself: no dot in the last part. */
const isPage = (path: string): boolean => !/\.[^/]*$/.test(path);

/** Answers a GET outside /api/: a file of the page, or the page; text goes packed to who takes it so. */
export async function sendPage(request: FastifyRequest, reply: FastifyReply, webDir: string): Promise<FastifyReply> {
  const path = (request.raw.url ?? "/").split(/[?#]/)[0] ?? "/";
  if (request.method !== "GET" && request.method !== "HEAD") return sendFaults(reply, [noPath(path)]);
  const name = isPage(path) ? "index.html" : plainPath(path);
  const file = name === null ? null : existing(join(webDir, name));
  if (file === null || name === null) return sendFaults(reply, [name === "index.html" ? notBuilt : noPath(path)]);
  reply.header("cache-control", caching(name));
  reply.type(types[extname(name)] ?? "application/octet-stream");
  if (isPackable(name, file.size)) {
    reply.header("vary", "accept-encoding");
    if (request.method === "GET" && takesGzip(request.headers["accept-encoding"])) {
      return reply.header("content-encoding", "gzip").send(await packedFile(file.path, file));
    }
  }
  reply.header("content-length", file.size);
  return request.method === "HEAD" ? reply.send("") : reply.send(createReadStream(file.path));
}

const plainPart = /^[A-Za-z0-9_@-][A-Za-z0-9_.@-]*$/;

/** The path as plain names below the folder; null for anything else, encoded or not. */
function plainPath(path: string): string | null {
  const parts = path.split("/").slice(1);
  return parts.every((part) => plainPart.test(part)) ? parts.join("/") : null;
}

function existing(path: string): { readonly path: string; readonly size: number; readonly mtimeMs: number } | null {
  const stat = statSync(path, { throwIfNoEntry: false });
  return stat?.isFile() === true ? { path, size: stat.size, mtimeMs: stat.mtimeMs } : null;
}

function caching(name: string): string {
  if (name === "index.html") return "no-store";
  return name.startsWith("assets/") ? "public, max-age=31536000, immutable" : "no-cache";
}

const noPath = (path: string): ReturnType<typeof fault> =>
  fault("no-such-path", "There is nothing here", path.slice(0, 200), "Go to the Book at /.");

const notBuilt = fault("not-built", "The page is not built yet", "/", "Run npm start in the project's folder.");
