/**
 * Answers for the one `.local` name (multicast DNS, RFC 6762) while the network side is on, on each address with
 * that address. Nothing else is answered and nothing is asked. Where the network keeps multicast from its guests
 * the name is not found, and the address serves.
 */

import makeMdns, { type MulticastDNS } from "multicast-dns";

/** How long others may remember the address, seconds (RFC 6762, 10: names of hosts). */
const rememberSeconds = 120;

export interface NameOptions {
  /** Multicast DNS's own port unless a test asks for another. */
  readonly port?: number;
}

export class LocalName {
  readonly #name: string;
  readonly #options: NameOptions;
  readonly #answering = new Map<string, MulticastDNS>();

  constructor(name: string, options: NameOptions) {
    this.#name = name;
    this.#options = options;
  }

  /** Answers on these addresses from now on and on no others. */
  follow(addresses: readonly string[]): void {
    for (const [address, mdns] of this.#answering) if (!addresses.includes(address)) this.#leave(address, mdns);
    for (const address of addresses) if (!this.#answering.has(address)) this.#join(address);
  }

  close(): void {
    for (const [address, mdns] of this.#answering) this.#leave(address, mdns);
  }

  #join(address: string): void {
    const mdns = makeMdns({ interface: address, bind: "0.0.0.0", ...this.#options } as Parameters<typeof makeMdns>[0]);
    this.#answering.set(address, mdns);
    const say = (seconds: number): void =>
      mdns.respond([{ name: this.#name, type: "A", ttl: seconds, flush: true, data: address }]);
    // A machine that refuses the port, or multicast, is reached by its address.
    mdns.on("error", () => this.#leave(address, mdns));
    mdns.on("warning", () => undefined);
    mdns.on("ready", () => say(rememberSeconds));
    mdns.on("query", (query) => {
      const asked = (query.questions ?? []).some(
        ({ name, type }) => name.toLowerCase() === this.#name && ["A", "ANY"].includes(type),
      );
      if (asked) say(rememberSeconds);
    });
  }

  /** Says good-bye (RFC 6762, 10.1: a lifetime of nothing) and is silent. */
  #leave(address: string, mdns: MulticastDNS): void {
    if (this.#answering.get(address) !== mdns) return;
    this.#answering.delete(address);
    mdns.respond([{ name: this.#name, type: "A", ttl: 0, flush: true, data: address }], () => mdns.destroy());
  }
}
