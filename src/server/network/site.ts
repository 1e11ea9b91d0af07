/**
 * Who may speak to the network side, and what it says of itself. The Host must be the `.local` name or an address
 * that is served now (a rebound name carries another); whatever changes something, and every link, must carry our own
 * Origin; a browser that marks a request as another site's is refused unless somebody follows a link to a page.
 */

import type { IncomingMessage } from "node:http";
import { fault } from "../../units/index.ts";
import type { Entry } from "../door.ts";
import { pageHeaders } from "../gate.ts";

/** How the network side is reached at this moment. */
export interface Site {
  /** The `.local` name; null over plain HTTP, which has the addresses alone. */
  readonly name: string | null;
  readonly addresses: readonly string[];
  readonly port: number;
  readonly plain: boolean;
}

/** All origins of the site: the name's first. */
export const originsOf = (site: Site): readonly string[] =>
  [...(site.name === null ? [] : [site.name]), ...site.addresses].map(
    (host) => `${site.plain ? "http" : "https"}://${hostWithPort(site, host)}`,
  );

const hostWithPort = (site: Site, host: string): string => {
  const usual = site.plain ? 80 : 443;
  return site.port === usual ? host : `${host}:${site.port}`;
};

const safeMethods: ReadonlySet<string> = new Set(["GET", "HEAD"]);

/** Null when the request is for us and from our own pages. */
export function judgeSite(
  request: IncomingMessage,
  method: string,
  site: Site,
): Extract<Entry, { kind: "shut" }> | null {
  const { headers } = request;
  const host = (headers.host ?? "").toLowerCase();
  const origins = originsOf(site);
  const own = origins.find((origin) => origin.slice(origin.indexOf("//") + 2) === host);
  if (own === undefined) {
    const shown = host.replace(/[^\x20-\x7e]/g, "?").slice(0, 60);
    return shut(
      "wrong-host",
      `This server does not go by the name "${shown}"`,
      `Use ${origins[0] ?? "the address on the computer's screen"}.`,
    );
  }
  const changes = !safeMethods.has(method);
  if (headers.origin === undefined ? changes : headers.origin !== own) {
    return shut("wrong-origin", "Another page asked for this", `Only the page at ${own} may.`);
  }
  const from = headers["sec-fetch-site"];
  const followsLink = !changes && headers["sec-fetch-mode"] === "navigate" && headers["sec-fetch-dest"] === "document";
  if ((from === "cross-site" || from === "same-site") && !followsLink) {
    return shut("wrong-origin", "Another page asked for this", `Only the page at ${own} may.`);
  }
  return null;
}

const shut = (code: string, what: string, mend: string): Extract<Entry, { kind: "shut" }> => ({
  kind: "shut",
  fault: fault(code, what, "request headers", mend),
});

/**
 * Headers of every answer; links go to the same host. Not "no-referrer": a form would then be sent with the origin "null"
 * (Fetch Standard, 3.2).
 */
export const siteHeaders = (site: Site): Readonly<Record<string, string>> =>
  pageHeaders(
    originsOf(site).map((origin) => origin.replace("http", "ws")),
    "same-origin",
  );
