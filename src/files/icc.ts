/**
 * The tone curves of an embedded profile (ISO 15076-1:2010, ICC.1): `rTRC`, `gTRC`, `bTRC` of a matrix profile or
 * `kTRC` of a grey one, as `curv` (10.6) or `para` (10.18). Table profiles carry no such curves and are said to be
 * unreadable. The curves alone are used: primaries do not matter to sums and ratios of one camera's frames.
 */

import type { ToneCurve } from "../frames/index.ts";

export interface Profile {
  readonly name: string;
  /** Null when the profile has no curves of its own (a table profile). */
  readonly curve: ToneCurve | null;
}

/** Points of a table made from a formula. */
const TABLE_LENGTH = 4096;
const MOST_TAGS = 100;

/** Null when the bytes are no profile, or a curve in it cannot be read. */
export function readProfile(bytes: Uint8Array): Profile | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 132 || word(view, 36) !== "acsp") return null;
  const tags = new Map<string, Span>();
  const count = Math.min(view.getUint32(128), MOST_TAGS);
  for (let i = 0; i < count && 132 + 12 * (i + 1) <= bytes.length; i++) {
    const at = 132 + 12 * i;
    const span = { at: view.getUint32(at + 4), size: view.getUint32(at + 8) };
    if (span.size >= 12 && span.at + span.size <= bytes.length) tags.set(word(view, at), span);
  }
  const name = description(view, tags.get("desc"));
  const grey = tags.get("kTRC");
  const spans = grey ? [grey, grey, grey] : ["rTRC", "gTRC", "bTRC"].map((each) => tags.get(each));
  if (spans.some((span) => span === undefined)) return { name, curve: null };
  const tables = spans.map((span) => readCurve(view, span as Span));
  if (tables.some((table) => table === null)) return null;
  return { name, curve: { name, tables: tables as unknown as ToneCurve["tables"] } };
}

interface Span {
  readonly at: number;
  readonly size: number;
}

/** Light at evenly spaced codes, made rising; null when it cannot be read. */
function readCurve(view: DataView, { at, size }: Span): Float32Array | null {
  const kind = word(view, at);
  const table = kind === "curv" ? sampledCurve(view, at, size) : kind === "para" ? formulaCurve(view, at, size) : null;
  if (table === null || table.some((value) => !Number.isFinite(value))) return null;
  for (let i = 1; i < table.length; i++) if ((table[i] as number) < (table[i - 1] as number)) return null;
  return (table.at(-1) as number) > 0 ? table : null;
}

/** No entries: straight; one: an exponent, u8Fixed8; more: 16-bit light at even steps. */
function sampledCurve(view: DataView, at: number, size: number): Float32Array | null {
  const count = view.getUint32(at + 8);
  if (count === 0) return Float32Array.of(0, 1);
  if (count > 65_536 || 12 + 2 * count > size) return null;
  if (count === 1) return tabulate((x) => x ** (view.getUint16(at + 12) / 256));
  return Float32Array.from({ length: count }, (_, i) => view.getUint16(at + 12 + 2 * i) / 65_535);
}

/** The five formulas of 10.18, parameters s15Fixed16 in the order g a b c d e f. */
function formulaCurve(view: DataView, at: number, size: number): Float32Array | null {
  const kind = view.getUint16(at + 8);
  const needed = [1, 3, 4, 5, 7][kind];
  if (needed === undefined || 12 + 4 * needed > size) return null;
  const [g = 1, a = 1, b = 0, c = 0, d = 0, e = 0, f = 0] = Array.from(
    { length: needed },
    (_, i) => view.getInt32(at + 12 + 4 * i) / 65_536,
  );
  const power = (x: number): number => Math.max(0, a * x + b) ** g;
  switch (kind) {
    case 0:
      return tabulate((x) => x ** g);
    case 1:
      return tabulate((x) => (a * x + b >= 0 ? power(x) : 0));
    case 2:
      return tabulate((x) => (a * x + b >= 0 ? power(x) + c : c));
    case 3:
      return tabulate((x) => (x >= d ? power(x) : c * x));
    default:
      return tabulate((x) => (x >= d ? power(x) + e : c * x + f));
  }
}

const tabulate = (light: (code: number) => number): Float32Array =>
  Float32Array.from({ length: TABLE_LENGTH }, (_, i) => Math.min(1, Math.max(0, light(i / (TABLE_LENGTH - 1)))));

/** The profile's own name: `desc` as ASCII (version 2) or `mluc` as UTF-16 (version 4). */
function description(view: DataView, span: Span | undefined): string {
  const unnamed = "embedded profile";
  if (span === undefined) return unnamed;
  const kind = word(view, span.at);
  let text = "";
  if (kind === "desc") {
    const length = Math.min(view.getUint32(span.at + 8), span.size - 12, 120);
    for (let i = 0; i < length - 1; i++) text += String.fromCharCode(view.getUint8(span.at + 12 + i));
  } else if (kind === "mluc" && span.size >= 28) {
    const length = view.getUint32(span.at + 20);
    const start = view.getUint32(span.at + 24);
    if (start + length <= span.size) {
      for (let i = 0; i + 1 < Math.min(length, 240); i += 2) {
        text += String.fromCharCode(view.getUint16(span.at + start + i));
      }
    }
  }
  const plain = text.replace(/[^\x20-\x7e]/g, "").trim();
  return plain === "" ? unnamed : `embedded profile ${plain}`;
}

const word = (view: DataView, at: number): string =>
  at + 4 > view.byteLength ? "" : String.fromCharCode(...[0, 1, 2, 3].map((i) => view.getUint8(at + i)));
