/**
 * The page's text files packed for the way (gzip, RFC 1952): a third of the bytes, which a phone on a slow network feels.
 * Each file is packed once and kept in memory until it changes on the disc; there are as many as the built page has.
 */

import { readFile } from "node:fs/promises";
import { promisify } from "node:util";
import { gzip } from "node:zlib";

const pack = promisify(gzip);

/** What is worth packing: text, and no more than so many bytes. */
const packable = /\.(html|js|css|json|webmanifest|svg|txt)$/;
const leastBytes = 1024;
const mostBytes = 8 * 1024 * 1024;

interface Packed {
  readonly stamp: string;
  readonly bytes: Promise<Buffer>;
}

const kept = new Map<string, Packed>();

/** Whether who asks takes gzip (RFC 9110, 12.5.3): named, or by a star, and not with a weight of nothing. */
export function takesGzip(acceptEncoding: string | undefined): boolean {
  const parts = (acceptEncoding ?? "").toLowerCase().split(",");
  const weightOf = (name: string): number | null => {
    const own = parts.map((part) => part.trim().split(";")).find(([coding]) => coding?.trim() === name);
    if (own === undefined) return null;
    const weight = own.slice(1).find((word) => word.trim().startsWith("q="));
    return weight === undefined ? 1 : Number(weight.trim().slice(2));
  };
  return (weightOf("gzip") ?? weightOf("*") ?? 0) > 0;
}

export const isPackable = (path: string, size: number): boolean =>
  packable.test(path) && size >= leastBytes && size <= mostBytes;

/** The file packed. Rejects when it cannot be read. */
export function packedFile(path: string, stat: { readonly size: number; readonly mtimeMs: number }): Promise<Buffer> {
  const stamp = `${stat.size} ${stat.mtimeMs}`;
  const known = kept.get(path);
  if (known?.stamp === stamp) return known.bytes;
  const bytes = readFile(path).then((plain) => pack(plain, { level: 9 }));
  kept.set(path, { stamp, bytes });
  bytes.catch(() => kept.delete(path));
  return bytes;
}
