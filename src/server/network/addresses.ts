/**
 * Which of this machine's addresses phones may be let in under: IPv4 addresses that belong to a private network
 * (RFC 1918), a carrier's or venue's shared one (RFC 6598) or a link without any server (RFC 3927). A public
 * address is never served. The same blocks bound the certificate authority.
 */

import { networkInterfaces } from "node:os";

/** Network and prefix length. */
export const servedBlocks: readonly (readonly [string, number])[] = [
  ["10.0.0.0", 8],
  ["172.16.0.0", 12],
  ["192.168.0.0", 16],
  ["100.64.0.0", 10],
  ["169.254.0.0", 16],
];

/** An IPv4 address as a whole number; null when it is none. */
export function ipv4Number(text: string): number | null {
  const parts = text.split(".");
  if (parts.length !== 4 || !parts.every((part) => /^(0|[1-9]\d{0,2})$/.test(part) && Number(part) <= 255)) return null;
  return parts.reduce((sum, part) => sum * 256 + Number(part), 0);
}

export function isServed(address: string): boolean {
  const number = ipv4Number(address);
  if (number === null) return false;
  return servedBlocks.some(([network, bits]) => {
    const size = 2 ** (32 - bits);
    return Math.floor(number / size) === Math.floor((ipv4Number(network) ?? 0) / size);
  });
}

/** The addresses of this machine that may be served, as they are now, each once and in a fixed order. */
export function networkAddresses(): readonly string[] {
  const all = Object.values(networkInterfaces()).flatMap((list) => list ?? []);
  const served = all.filter(({ family, internal, address }) => family === "IPv4" && !internal && isServed(address));
  return [...new Set(served.map(({ address }) => address))].sort();
}
