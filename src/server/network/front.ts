/**
 * The sockets of the network side: one listener on each address, never on all of them, so that neither the loopback
 * nor a public address is served by accident. The first byte of a connection says whether it speaks TLS (22, a
 * handshake record, RFC 8446 5.1) or plain HTTP, and hands it to the server for it; whoever opens connections
 * without end, or says nothing, is let go.
 */

import type { Server as HttpServer } from "node:http";
import { type AddressInfo, createServer, type Server, type Socket } from "node:net";

const tlsHandshake = 22;
const mostSockets = 256;
/** Of one visitor's address. */
const mostOfAddress = 48;

export interface FrontParts {
  /** For connections that speak TLS; null refuses them. */
  readonly secure: HttpServer | null;
  readonly plain: HttpServer;
  /** How long somebody may say nothing at the start, ms. */
  readonly patienceMs: number;
}

export class Front {
  readonly #parts: FrontParts;
  readonly #listeners = new Map<string, Server>();
  readonly #sockets = new Set<Socket>();

  constructor(parts: FrontParts) {
    this.#parts = parts;
    // A server that is handed its sockets never listens; this starts its watch over slow requests all the same.
    for (const server of this.#servers) server.emit("listening");
  }

  get addresses(): readonly string[] {
    return [...this.#listeners.keys()];
  }

  /** Listens on one more address; port 0 takes a free one. Gives the port, or throws what the system said. */
  listen(address: string, port: number): Promise<number> {
    const server = createServer((socket) => this.#accept(socket));
    return new Promise((resolve, reject) => {
      server.once("error", reject);
      server.listen({ host: address, port, exclusive: true }, () => {
        server.off("error", reject);
        server.on("error", () => this.leave(address));
        this.#listeners.set(address, server);
        resolve((server.address() as AddressInfo).port);
      });
    });
  }

  /** No longer listens on an address; who came by it is cut off. */
  leave(address: string): void {
    this.#listeners.get(address)?.close();
    this.#listeners.delete(address);
    for (const socket of this.#sockets) if (socket.localAddress === address) socket.destroy();
  }

  async close(): Promise<void> {
    const closing = [...this.#listeners.values()].map((server) => new Promise((done) => server.close(done)));
    this.#listeners.clear();
    for (const socket of this.#sockets) socket.destroy();
    await Promise.all(closing);
    for (const server of this.#servers) server.close();
  }

  get #servers(): readonly HttpServer[] {
    const { secure, plain } = this.#parts;
    return secure === null ? [plain] : [secure, plain];
  }

  #accept(socket: Socket): void {
    const from = socket.remoteAddress;
    const ofAddress = [...this.#sockets].filter((other) => other.remoteAddress === from).length;
    if (this.#sockets.size >= mostSockets || ofAddress >= mostOfAddress) {
      socket.destroy();
      return;
    }
    this.#sockets.add(socket);
    const late = setTimeout(() => socket.destroy(), this.#parts.patienceMs);
    socket.on("close", () => {
      clearTimeout(late);
      this.#sockets.delete(socket);
    });
    socket.on("error", () => socket.destroy());
    socket.once("data", (first: Buffer) => {
      clearTimeout(late);
      const server = first[0] === tlsHandshake ? this.#parts.secure : this.#parts.plain;
      if (server === null) {
        socket.destroy();
        return;
      }
      // Given back, so that the server reads the connection from its beginning.
      socket.pause();
      socket.unshift(first);
      server.emit("connection", socket);
      process.nextTick(() => socket.resume());
    });
  }
}
