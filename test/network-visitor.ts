/**
 * A visitor of the network side for tests: speaks TLS or plain HTTP as a phone would, to an address of its own
 * choosing, under the name that the certificate is for, and keeps the cookie that it is given.
 */

import { request as httpRequest } from "node:http";
import { request as httpsRequest } from "node:https";
import WebSocket from "ws";
import type * as Y from "yjs";
import { documentName, type RunningServer } from "../src/server/index.ts";
import { LinkClient } from "./link-client.ts";

export interface Answer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string | string[] | undefined>>;
  readonly text: string;
}

export interface Ask {
  readonly method?: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string | Buffer;
}

export class Visitor {
  readonly address: string;
  readonly port: number;
  /** "https://stopwise-….local:47116", or by address over plain HTTP. */
  readonly origin: string;
  /** The authority to trust; without it the certificate is not checked. */
  readonly ca: string | undefined;
  /** Address to come from. */
  readonly from: string | undefined;
  cookie = "";

  constructor(server: RunningServer, address: string, how: { readonly ca?: string; readonly from?: string } = {}) {
    const { origins, port } = server.network.state();
    this.address = address;
    this.port = port;
    this.origin = origins[0] ?? "";
    this.ca = how.ca;
    this.from = how.from;
  }

  get host(): string {
    return new URL(this.origin).host;
  }

  ask(path: string, { method = "GET", headers = {}, body }: Ask = {}): Promise<Answer> {
    const secure = this.origin.startsWith("https:");
    return new Promise((resolve, reject) => {
      const asked = (secure ? httpsRequest : httpRequest)(
        {
          ...{ host: this.address, port: this.port, path, method, agent: false },
          ...(this.from === undefined ? {} : { localAddress: this.from }),
          ...(secure ? { servername: new URL(this.origin).hostname, rejectUnauthorized: this.ca !== undefined } : {}),
          ...(this.ca === undefined ? {} : { ca: this.ca }),
          headers: { host: this.host, ...this.#usual(method), ...headers },
        },
        (response) => {
          const parts: Buffer[] = [];
          response.on("data", (part: Buffer) => parts.push(part));
          response.on("error", reject);
          response.on("end", () => {
            const text = Buffer.concat(parts).toString();
            resolve({ status: response.statusCode ?? 0, headers: response.headers, text });
          });
        },
      );
      asked.on("error", reject);
      asked.end(body);
    });
  }

  /** What a browser sends by itself: our origin with whatever changes something, and the cookie. */
  #usual(method: string): Record<string, string> {
    return {
      ...(method === "GET" || method === "HEAD" ? {} : { origin: this.origin }),
      ...(this.cookie === "" ? {} : { cookie: this.cookie }),
    };
  }

  post(path: string, body: unknown, headers: Readonly<Record<string, string>> = {}): Promise<Answer> {
    return this.ask(path, {
      method: "POST",
      headers: { "content-type": "application/json", ...headers },
      body: JSON.stringify(body),
    });
  }

  /** Gives the code; keeps the cookie when it was right. */
  async pair(code: string, name = "phone (invented)"): Promise<Answer> {
    const answer = await this.post("/pair", { code, name });
    const [given] = [answer.headers["set-cookie"] ?? []].flat();
    if (answer.status === 201) this.cookie = (given ?? "").split(";")[0] ?? "";
    return answer;
  }

  /** A WebSocket of this visitor; what the HTTP answer was when it is refused. */
  socket(path = "/sync", headers: Readonly<Record<string, string>> = {}): WebSocket {
    return new WebSocket(`${this.origin.replace("http", "ws").replace(/\/\/[^:]+/, `//${this.address}`)}${path}`, {
      rejectUnauthorized: false,
      ...(this.from === undefined ? {} : { localAddress: this.from }),
      headers: { host: this.host, origin: this.origin, ...this.#usual("GET"), ...headers },
    });
  }

  /** A device with a shared document open, as this visitor. */
  link(server: RunningServer, document: string, doc?: Y.Doc): LinkClient {
    const headers = { host: this.host, origin: this.origin, cookie: this.cookie };
    class Line extends WebSocket {
      constructor(url: string) {
        super(url, { rejectUnauthorized: false, headers });
      }
    }
    const scheme = this.origin.startsWith("https:") ? "https" : "http";
    const name = documentName(server.store.identity, document);
    return new LinkClient(
      `${scheme}://${this.address}:${this.port}`,
      name,
      doc,
      Line as unknown as typeof globalThis.WebSocket,
    );
  }

  /** 101, or the status that the upgrade was refused with; 0 when the line was cut. */
  handshake(path = "/sync", headers: Readonly<Record<string, string>> = {}): Promise<number> {
    return new Promise((resolve) => {
      const socket = this.socket(path, headers);
      socket.on("open", () => {
        resolve(101);
        socket.terminate();
      });
      socket.on("unexpected-response", (request, response) => {
        resolve(response.statusCode ?? 0);
        request.destroy();
      });
      socket.on("error", () => resolve(0));
    });
  }
}

/** Lets a visitor in with a fresh code. */
export async function letIn(
  server: RunningServer,
  visitor: Visitor,
  permission: "look" | "meter" | "edit",
  name?: string,
): Promise<string> {
  const made = server.network.newCode(permission);
  if (!made.ok) throw new Error(made.faults[0]?.what);
  const answer = await visitor.pair(made.value.words, name);
  if (answer.status !== 201) throw new Error(answer.text);
  return (JSON.parse(answer.text) as { device: { id: string } }).device.id;
}
