/**
 * Who may speak to the server. Any web page can reach 127.0.0.1, so the Host must be ours (a rebound name
 * carries another), and an Origin, which every browser sends with a WebSocket and with whatever changes
 * things, must be our own page. Programs outside a browser send no Origin and are let in.
 */

import type { IncomingHttpHeaders } from "node:http";
import { type Fault, fault } from "../units/index.ts";

export type Verdict =
  | { readonly kind: "open" }
  | { readonly kind: "redirect"; readonly to: string }
  | { readonly kind: "shut"; readonly fault: Fault };

/** The one address under which the page is served. */
export const originOf = (port: number): string => (port === 80 ? "http://127.0.0.1" : `http://127.0.0.1:${port}`);

export function judge(headers: IncomingHttpHeaders, method: string, path: string, port: number): Verdict {
  const origin = originOf(port);
  const host = (headers.host ?? "").toLowerCase();
  const ours = origin.slice("http://".length);
  const isLocalhost = host === ours.replace("127.0.0.1", "localhost");
  if (isLocalhost && (method === "GET" || method === "HEAD") && path.startsWith("/")) {
    return { kind: "redirect", to: `${origin}${path}` };
  }
  if (host !== ours)
    return shut("wrong-host", `This server does not go by the name "${shown(host)}"`, `Use ${origin}.`);
  if (headers.origin !== undefined && headers.origin !== origin) {
    return shut("wrong-origin", "Another page asked for this", `Only the page at ${origin} may.`);
  }
  const site = headers["sec-fetch-site"];
  const asksForPage = (method === "GET" || method === "HEAD") && headers["sec-fetch-mode"] === "navigate";
  if ((site === "cross-site" || site === "same-site") && !asksForPage) {
    return shut("wrong-origin", "Another page asked for this", `Only the page at ${origin} may.`);
  }
  return { kind: "open" };
}

const shown = (host: string): string => host.replace(/[^\x20-\x7e]/g, "?").slice(0, 60);

const shut = (code: string, what: string, mend: string): Verdict => ({
  kind: "shut",
  fault: fault(code, what, "request headers", mend),
});

/** Headers of every answer on this machine. */
export const safeHeaders = (port: number): Readonly<Record<string, string>> =>
  pageHeaders([originOf(port).replace("http:", "ws:")], "no-referrer");

/**
 * Headers of every answer, here and over the network: only the page's own files, links to `sockets` alone. Drawings use
 * style attributes, so those alone may stand in line.
 */
export function pageHeaders(sockets: readonly string[], referrerPolicy: string): Readonly<Record<string, string>> {
  const policy = [
    "default-src 'self'",
    "script-src 'self'",
    "style-src 'self'",
    "style-src-attr 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "font-src 'self'",
    `connect-src 'self' ${sockets.join(" ")}`,
    "worker-src 'self'",
    "object-src 'none'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
  ];
  return {
    "content-security-policy": policy.join("; "),
    "x-content-type-options": "nosniff",
    "referrer-policy": referrerPolicy,
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
  };
}
