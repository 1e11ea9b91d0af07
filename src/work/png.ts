/**
 * PNG files (ISO/IEC 15948:2004, W3C PNG Specification 2nd edition) of 8-bit rgba or 16-bit rgb pixels, with the sRGB
 * chunk, and PFM float files (little-endian, rows from the bottom; a plain format without a standard, from memory).
 */

import { deflate, joined } from "./bytes.ts";

/** 8-bit rgba pixels, row by row, to a PNG file. */
export const writePng8 = (pixels: Uint8ClampedArray | Uint8Array, width: number, height: number): Promise<Uint8Array> =>
  writePng(scanLines(pixels, 4 * width, height), width, height, 8, 6);

/** The same pixels without their opacity: what a PDF takes as it is. */
export function writePng8Rgb(rgba: Uint8ClampedArray | Uint8Array, width: number, height: number): Promise<Uint8Array> {
  const rgb = new Uint8Array(3 * width * height);
  for (let i = 0; i < width * height; i++) rgb.set(rgba.subarray(4 * i, 4 * i + 3), 3 * i);
  return writePng(scanLines(rgb, 3 * width, height), width, height, 8, 2);
}

/** 16-bit rgb codes, row by row, to a PNG file. */
export function writePng16(codes: Uint16Array, width: number, height: number): Promise<Uint8Array> {
  const bytes = new Uint8Array(2 * codes.length);
  codes.forEach((code, i) => {
    bytes[2 * i] = code >> 8;
    bytes[2 * i + 1] = code & 255;
  });
  return writePng(scanLines(bytes, 6 * width, height), width, height, 16, 2);
}

/** Linear float rgb, row by row from the top, to a PFM file. */
export function writePfm(rgb: Float32Array, width: number, height: number): Uint8Array {
  const head = new TextEncoder().encode(`PF\n${width} ${height}\n-1.0\n`);
  const file = new Uint8Array(head.length + 12 * width * height);
  file.set(head);
  const view = new DataView(file.buffer);
  for (let y = 0; y < height; y++) {
    for (let i = 0; i < 3 * width; i++) {
      view.setFloat32(head.length + 4 * (3 * width * (height - 1 - y) + i), rgb[3 * width * y + i] as number, true);
    }
  }
  return file;
}

async function writePng(
  lines: Uint8Array<ArrayBuffer>,
  width: number,
  height: number,
  depth: number,
  colourType: number,
): Promise<Uint8Array> {
  const header = new Uint8Array(13);
  const view = new DataView(header.buffer);
  view.setUint32(0, width);
  view.setUint32(4, height);
  header.set([depth, colourType], 8);
  return joined([
    Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a),
    chunk("IHDR", header),
    chunk("sRGB", Uint8Array.of(0)),
    chunk("IDAT", await deflate(lines)),
    chunk("IEND", new Uint8Array(0)),
  ]);
}

/** Each row led by filter 2 (difference to the row above), which suits smooth pictures. */
function scanLines(bytes: Uint8ClampedArray | Uint8Array, row: number, height: number): Uint8Array<ArrayBuffer> {
  const lines = new Uint8Array((row + 1) * height);
  for (let y = 0; y < height; y++) {
    const at = (row + 1) * y;
    lines[at] = 2;
    for (let i = 0; i < row; i++) {
      const above = y > 0 ? (bytes[row * (y - 1) + i] as number) : 0;
      lines[at + 1 + i] = (bytes[row * y + i] as number) - above;
    }
  }
  return lines;
}

/** Length, name, data, CRC-32 of name and data. */
function chunk(name: string, data: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(12 + data.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, data.length);
  bytes.set(new TextEncoder().encode(name), 4);
  bytes.set(data, 8);
  view.setUint32(8 + data.length, crc32(bytes.subarray(4, 8 + data.length)));
  return bytes;
}

const remainders: Uint32Array = /* @__PURE__ */ Uint32Array.from({ length: 256 }, (_, byte) => {
  let c = byte;
  for (let bit = 0; bit < 8; bit++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = (remainders[(c ^ byte) & 255] as number) ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}
