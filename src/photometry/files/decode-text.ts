/**
 * Bytes of a photometric file to text. LM-63 is ASCII and EULUMDAT names no encoding; files in the wild
 * are ASCII, UTF-8 or UTF-16 with a byte-order mark, or Windows-1252 (a superset of Latin-1). Written out
 * by hand because floors 0 to 2 know no platform decoder.
 */

import { failure, fault, type Result, success } from "../../units/index.ts";
import { maxPhotometricFileSize } from "./web.ts";

/** Windows-1252, 0x80 to 0x9F; the five unassigned codes stay control characters. */
const windows1252 =
  "\u20ac\u0081\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\u008d\u017d\u008f" +
  "\u0090\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\u009d\u017e\u0178";

/**
 * The text of a photometric file, without a byte-order mark. Valid UTF-8 is read as UTF-8, anything else
 * byte by byte as Windows-1252. Faults: `file-too-large`, `file-empty`.
 */
export function decodePhotometricText(bytes: Uint8Array, where = "file"): Result<string> {
  if (bytes.length > maxPhotometricFileSize) {
    return failure(
      fault(
        "file-too-large",
        `The file has ${bytes.length} bytes`,
        where,
        "Photometric files stay under 8 MB; give the right file.",
      ),
    );
  }
  if (bytes.length === 0) {
    return failure(fault("file-empty", "The file is empty", where, "Fetch or copy the file again."));
  }
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return success(decodeUtf16(bytes, true));
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return success(decodeUtf16(bytes, false));
  const marked = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
  const body = marked ? bytes.subarray(3) : bytes;
  return success(decodeUtf8(body) ?? decodeWindows1252(body));
}

function decodeUtf16(bytes: Uint8Array, littleEndian: boolean): string {
  const text = new TextCollector();
  for (let i = 2; i + 1 < bytes.length; i += 2) {
    const first = bytes[i] as number;
    const second = bytes[i + 1] as number;
    text.push(littleEndian ? first | (second << 8) : (first << 8) | second);
  }
  return text.finish();
}

function decodeWindows1252(bytes: Uint8Array): string {
  const text = new TextCollector();
  for (const byte of bytes) text.push(byte >= 0x80 && byte < 0xa0 ? windows1252.charCodeAt(byte - 0x80) : byte);
  return text.finish();
}

/** Strict UTF-8 (RFC 3629); null at the first malformed, overlong or surrogate sequence. */
function decodeUtf8(bytes: Uint8Array): string | null {
  const text = new TextCollector();
  let i = 0;
  while (i < bytes.length) {
    const lead = bytes[i] as number;
    i += 1;
    if (lead < 0x80) {
      text.push(lead);
      continue;
    }
    const followers =
      lead >= 0xc2 && lead < 0xe0 ? 1 : lead >= 0xe0 && lead < 0xf0 ? 2 : lead >= 0xf0 && lead < 0xf5 ? 3 : 0;
    if (followers === 0 || i + followers > bytes.length) return null;
    let code = lead & (0x3f >> followers);
    for (let k = 0; k < followers; k += 1) {
      const byte = bytes[i + k] as number;
      if ((byte & 0xc0) !== 0x80) return null;
      code = (code << 6) | (byte & 0x3f);
    }
    i += followers;
    const lowest = followers === 1 ? 0x80 : followers === 2 ? 0x800 : 0x10000;
    if (code < lowest || code > 0x10ffff || (code >= 0xd800 && code <= 0xdfff)) return null;
    text.push(code);
  }
  return text.finish();
}

/** Collects code points a few thousand at a time: one string per character would be slow. */
class TextCollector {
  private readonly parts: string[] = [];
  private codes: number[] = [];

  push(code: number): void {
    this.codes.push(code);
    if (this.codes.length >= 4096) this.flush();
  }

  finish(): string {
    this.flush();
    return this.parts.join("");
  }

  private flush(): void {
    this.parts.push(String.fromCodePoint(...this.codes));
    this.codes = [];
  }
}
