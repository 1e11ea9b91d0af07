import assert from "node:assert/strict";
import { test } from "node:test";
import { fault } from "../units/index.ts";
import { editDistance, nearest } from "./nearest.ts";
import { columns, faultText, quoted, safe, wrapped } from "./print.ts";

test("columns are as wide as their widest cell, raised digits counted once, empty columns left out", () => {
  assert.equal(
    columns(
      [
        ["f/5.6⁷", "", "a"],
        ["f/11", "", "b c"],
      ],
      [0],
    ),
    "f/5.6⁷  a\n  f/11  b c",
  );
});

test("no text from outside can drive the terminal", () => {
  assert.equal(safe("a\u001b[31mb\u0007\u202ec\nd"), "a\ufffd[31mb\ufffd\ufffdc d");
  assert.equal(quoted("x".repeat(100)).length, 63);
  const text = faultText("try", [fault("c", "w\u001b", "h\nh", "m.")]);
  assert.equal(text, "stopwise try: one fault\n  w\ufffd (h h). m. [c]");
});

test("long text is broken at blanks, never within a word", () => {
  assert.equal(wrapped("aa bb cc", "  ", 7), "  aa bb\n  cc");
  assert.equal(wrapped("a".repeat(20), "", 7), "a".repeat(20));
});

test("the nearest word is named when few letters differ or its beginning was typed", () => {
  assert.equal(editDistance("kitten", "sitting"), 3);
  assert.equal(nearest("targt", ["target", "dial"]), "target");
  assert.equal(nearest("tol", ["tolerance", "dial"]), "tolerance");
  assert.equal(nearest("zzzz", ["target", "dial"]), null);
  assert.equal(nearest("x".repeat(1000), ["target"]), null);
});
