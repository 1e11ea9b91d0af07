import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { expectOk } from "../../units/index.ts";
import { decodePhotometricText } from "./index.ts";

const decode = (...bytes: number[]): string => expectOk(decodePhotometricText(Uint8Array.from(bytes)));

test("A byte-order mark is honoured and dropped, for UTF-8 and both orders of UTF-16", () => {
  assert.equal(decode(0xef, 0xbb, 0xbf, 0x41, 0xc3, 0xa9), "Aé");
  assert.equal(decode(0xff, 0xfe, 0x41, 0, 0xe9, 0), "Aé");
  assert.equal(decode(0xfe, 0xff, 0, 0x41, 0, 0xe9), "Aé");
});

test("Bytes that are not UTF-8 are read as Windows-1252", () => {
  assert.equal(decode(0x41, 0xe9, 0x20, 0x80, 0xb0), "Aé €°");
  assert.equal(decode(0xc0, 0x80), "À€", "an overlong sequence is not UTF-8");
});

test("An empty file and one over 8 MB are faults", () => {
  const code = (bytes: Uint8Array): string | undefined => {
    const result = decodePhotometricText(bytes, "x.ies");
    return result.ok ? undefined : result.faults[0]?.code;
  };
  assert.equal(code(new Uint8Array(0)), "file-empty");
  assert.equal(code(new Uint8Array(8 * 1024 * 1024 + 1)), "file-too-large");
});

test("UTF-8 and Windows-1252 agree with the platform's own decoders on 2000 inputs (seed 71)", () => {
  const utf8 = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
  const windows = new TextDecoder("windows-1252");
  const reference = (bytes: Uint8Array): string => {
    try {
      return utf8.decode(bytes);
    } catch {
      return windows.decode(bytes);
    }
  };
  const marked = (b: Uint8Array): boolean =>
    (b[0] === 0xff && b[1] === 0xfe) || (b[0] === 0xfe && b[1] === 0xff) || (b[0] === 0xef && b[1] === 0xbb);
  const text = fc.string({ unit: "binary", minLength: 1, maxLength: 40 }).map((s) => new TextEncoder().encode(s));
  const raw = fc.uint8Array({ minLength: 1, maxLength: 40 });
  fc.assert(
    fc.property(fc.oneof(text, raw), (bytes) => {
      fc.pre(!marked(bytes));
      assert.equal(expectOk(decodePhotometricText(bytes)), reference(bytes));
    }),
    { seed: 71, numRuns: 2000 },
  );
});
