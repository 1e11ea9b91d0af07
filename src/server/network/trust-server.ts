/**
 * What the encrypted port says to plain HTTP: how to trust the computer and its certificate, which hold nothing to
 * be kept secret and are needed before a phone trusts anything; every other page is sent on to HTTPS.
 */

import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import type { Authority } from "./authority.ts";
import { pairCss, trustPage } from "./pages.ts";
import { originsOf, type Site, siteHeaders } from "./site.ts";

const patienceMs = 10_000;

export function trustServer(site: () => Site, authority: Authority): Server {
  const limits = { requestTimeout: patienceMs, connectionsCheckingInterval: patienceMs / 4, maxHeaderSize: 8192 };
  return createServer(limits, (request, response) => answer(request, response, site(), authority));
}

function answer(request: IncomingMessage, response: ServerResponse, site: Site, authority: Authority): void {
  const host = (request.headers.host ?? "").toLowerCase();
  const own = originsOf(site).find((origin) => origin === `https://${host}`);
  const path = (request.url ?? "").split("?")[0] ?? "";
  for (const [name, value] of Object.entries(siteHeaders(site))) response.setHeader(name, value);
  response.setHeader("connection", "close");
  response.setHeader("cache-control", "no-store");
  if (own === undefined || request.method !== "GET") {
    send(response, 403, "text/plain; charset=utf-8", "Not here.\n");
  } else if (path === "/trust") {
    const words = { name: authority.name, fingerprint: authority.fingerprint, plain: false };
    send(response, 200, "text/html; charset=utf-8", trustPage({ ...words, origin: originsOf(site)[0] ?? own }));
  } else if (path === "/pair.css") {
    send(response, 200, "text/css; charset=utf-8", pairCss);
  } else if (path === "/authority.crt") {
    send(response, 200, "application/x-x509-ca-cert", authority.download);
  } else {
    response.writeHead(307, { location: `${own}/pair`, "content-length": 0 }).end();
  }
}

function send(response: ServerResponse, status: number, type: string, body: string | Buffer): void {
  response.writeHead(status, { "content-type": type, "content-length": Buffer.byteLength(body) }).end(body);
}
