/**
 * A small sRGB profile of our own to embed in files (ISO 15076-1:2010, version 4 display profile: matrix and
 * parametric curve; primaries and curve of IEC 61966-2-1:1999, colorants adapted to D50 by Bradford, as usual,
 * from memory), so that a reader never has to guess.
 */

/** Colorants in the connection space, columns X Y Z. */
const COLORANTS = {
  rXYZ: [0.43607, 0.22249, 0.01392],
  gXYZ: [0.38515, 0.71687, 0.09708],
  bXYZ: [0.14307, 0.06061, 0.7141],
} as const;
const D50 = [0.9642, 1, 0.8249] as const;
/** Y = (aX + b)^g for X ≥ d, else cX: formula 3 of the parametric curve. */
const CURVE = [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045] as const;

export function srgbProfile(): Uint8Array {
  const xyz = (values: readonly number[]): Uint8Array => element("XYZ ", new Uint8Array(0), values);
  const curve = element("para", Uint8Array.of(0, 3, 0, 0), CURVE);
  const entries: readonly (readonly [string, Uint8Array])[] = [
    ["desc", text("sRGB")],
    ["cprt", text("No copyright, use freely")],
    ["wtpt", xyz(D50)],
    ...Object.entries(COLORANTS).map(([name, values]) => [name, xyz(values)] as const),
    ...["rTRC", "gTRC", "bTRC"].map((name) => [name, curve] as const),
  ];
  return assembled(entries);
}

function assembled(entries: readonly (readonly [string, Uint8Array])[]): Uint8Array {
  const table = 128 + 4 + 12 * entries.length;
  // The three curves are one and stand once.
  const bodies = [...new Set(entries.map(([, body]) => body))];
  const size = bodies.reduce((sum, body) => sum + body.length, table);
  const bytes = new Uint8Array(size);
  const view = new DataView(bytes.buffer);
  header(view, size);
  view.setUint32(128, entries.length);
  entries.forEach(([name, body], i) => {
    const at = bodies.slice(0, bodies.indexOf(body)).reduce((sum, each) => sum + each.length, table);
    word(view, 132 + 12 * i, name);
    view.setUint32(136 + 12 * i, at);
    view.setUint32(140 + 12 * i, body.length);
    bytes.set(body, at);
  });
  return bytes;
}

/** Size, version 4.3, display class, rgb over XYZ, the file mark, the connection space's white; the date is a fixed one. */
function header(view: DataView, size: number): void {
  view.setUint32(0, size);
  view.setUint32(8, 0x04300000);
  word(view, 12, "mntr");
  word(view, 16, "RGB ");
  word(view, 20, "XYZ ");
  [2026, 1, 1].forEach((part, i) => {
    view.setUint16(24 + 2 * i, part);
  });
  word(view, 36, "acsp");
  D50.forEach((value, i) => {
    fixed(view, 68 + 4 * i, value);
  });
}

/** A type's name, four zero bytes, what leads, then s15Fixed16 numbers. */
function element(type: string, lead: Uint8Array, values: readonly number[]): Uint8Array {
  const bytes = new Uint8Array(8 + lead.length + 4 * values.length);
  const view = new DataView(bytes.buffer);
  word(view, 0, type);
  bytes.set(lead, 8);
  values.forEach((value, i) => {
    fixed(view, 8 + lead.length + 4 * i, value);
  });
  return bytes;
}

/** Multi-localised text with one English record. */
function text(words: string): Uint8Array {
  const length = 28 + 2 * words.length;
  const bytes = new Uint8Array(4 * Math.ceil(length / 4));
  const view = new DataView(bytes.buffer);
  word(view, 0, "mluc");
  view.setUint32(8, 1);
  view.setUint32(12, 12);
  word(view, 16, "enGB");
  view.setUint32(20, 2 * words.length);
  view.setUint32(24, 28);
  for (let i = 0; i < words.length; i++) view.setUint16(28 + 2 * i, words.charCodeAt(i));
  return bytes;
}

const fixed = (view: DataView, at: number, value: number): void => view.setInt32(at, Math.round(65_536 * value));

function word(view: DataView, at: number, letters: string): void {
  for (let i = 0; i < 4; i++) view.setUint8(at + i, letters.charCodeAt(i));
}
