import assert from "node:assert/strict";
import { test } from "node:test";
import type { Result } from "../units/index.ts";
import type { Command } from "./command.ts";
import { readWords, type Words } from "./words.ts";

const command: Command = {
  name: "try",
  usage: "WORD",
  positionals: { least: 1, most: 2, mend: "Give a word." },
  options: [
    { name: "plain", takes: "nothing", help: "" },
    { name: "value", takes: "value", help: "" },
    { name: "many", takes: "value", help: "", many: true },
    { name: "why", takes: "maybe", help: "" },
  ],
  notes: [],
  run: () => ({ ok: true, value: { text: "" } }),
};

const read = (...args: readonly string[]): Result<Words> => readWords(command, args);
const good = (...args: readonly string[]): Words => {
  const result = read(...args);
  assert.ok(result.ok, JSON.stringify(result));
  return result.value;
};
const codes = (...args: readonly string[]): readonly string[] => {
  const result = read(...args);
  return result.ok ? [] : result.faults.map(({ code }) => code);
};

test("options stand anywhere, with = or a blank, and a value may begin with one dash", () => {
  assert.deepEqual(good("a", "--value", "-3.7", "b").positionals, ["a", "b"]);
  assert.equal(good("a", "--value", "-3.7").value("value"), "-3.7");
  assert.equal(good("--value=--x", "a").value("value"), "--x");
  assert.equal(good("a").value("value"), null);
  assert.deepEqual(good("a", "--many", "1", "--many=2").values("many"), ["1", "2"]);
  assert.ok(good("a", "--plain").has("plain"));
});

test("a value that may be left out is taken from a next word as short as a tag, or after =", () => {
  assert.equal(good("file.json", "--why", "M").value("why"), "M");
  assert.equal(good("file.json", "--why").value("why"), null);
  assert.ok(good("file.json", "--why").has("why"));
  assert.deepEqual(good("--why", "file.json").positionals, ["file.json"]);
  assert.deepEqual(good("--why", "-").positionals, ["-"]);
  assert.equal(good("--why=lit-cheek", "file.json").value("why"), "lit-cheek");
  assert.deepEqual(good("--why", "E2", "file.json").positionals, ["file.json"]);
});

test("everything after -- is a word", () => {
  assert.deepEqual(good("--", "--plain", "-x").positionals, ["--plain", "-x"]);
});

test("all faults are told at once", () => {
  assert.deepEqual(codes("a", "--plian", "--many", "x", "--plain=1", "--value"), [
    "option-unknown",
    "option-value",
    "option-value",
  ]);
  assert.deepEqual(codes(), ["words-few"]);
  assert.deepEqual(codes("a", "b", "c"), ["words-many"]);
  assert.deepEqual(codes("a", "--plain", "--plain"), ["option-twice"]);
  assert.deepEqual(codes("a", "-pq"), ["option-unknown"]);
});

test("help needs no words", () => {
  assert.ok(good("--help").has("help"));
});
