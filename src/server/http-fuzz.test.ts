/**
 * Requests as dice throw them, over real sockets: queries, paths and bodies. Every answer is a success or a list of
 * faults, never a stack, never a hang; the book stays as it was.
 */

import assert from "node:assert/strict";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { counts } from "../../test/counts.ts";
import { seeded } from "../../test/sample-book.ts";
import { expectOk } from "../units/index.ts";
import { type RunningServer, startServer } from "./index.ts";

const seed = 20261126;
const runs = counts(400, 4000);
const root = mkdtempSync(join(tmpdir(), "stopwise-http-fuzz-"));
let server: RunningServer;

before(async () => {
  mkdirSync(join(root, "web"));
  writeFileSync(join(root, "web", "index.html"), "<!doctype html><title>Stopwise</title>");
  let made = 0;
  const newId = (): string => `f${made++}`;
  const options = { dataDir: join(root, "book"), port: 0, webDir: join(root, "web"), seedDemo: true };
  server = expectOk(await startServer({ ...options, now: () => new Date(), newId }));
});
after(async () => {
  await server.close();
  rmSync(root, { recursive: true, force: true });
});

const NAMES = [
  "text",
  "lights",
  "mainToFill",
  "role",
  "tag",
  "medium",
  "kitHere",
  "fitsHere",
  "met",
  "offset",
  "limit",
  "x",
];
const VALUES = [
  "",
  "1",
  "-1",
  "1e309",
  "NaN",
  "main",
  "card",
  "flash",
  "0x10",
  "60",
  "9999999999",
  "\u0000",
  "é",
  "'",
  '"*"',
  "a".repeat(300),
];
const PIECES = [
  '{"',
  "}",
  "[",
  "]",
  '"format":',
  '"stopwise-setup"',
  '"stopwise-book"',
  '"version":1',
  ",",
  "null",
  "1e999",
  '"setups":',
  "\\u0000",
  '"id":"../x"',
];

test(`${runs} thrown requests are answered in form, and the book stays as it was (seed ${seed})`, async () => {
  const roll = seeded(seed);
  const one = <T>(list: readonly T[]): T => list[Math.floor(roll() * list.length)] as T;
  const some = (list: readonly string[]): string =>
    Array.from({ length: 1 + Math.floor(roll() * 9) }, () => one(list)).join("");
  const before = JSON.stringify(server.store.exportBook());
  const seen = { good: 0, refused: 0 };
  for (let run = 0; run < runs; run++) {
    const kind = Math.floor(roll() * 3);
    const query = Array.from(
      { length: Math.floor(roll() * 5) },
      () => `${one(NAMES)}=${encodeURIComponent(one(VALUES))}`,
    ).join("&");
    const what =
      kind === 0
        ? `/api/cards?${query}`
        : kind === 1
          ? `/api/${some([...NAMES, "/", "%", "..", "setups/", "%2e"])}`
          : one(["/api/setups", "/api/import"]);
    const answer = await fetch(
      `${server.address}${what}`,
      kind === 2 ? { method: "POST", headers: { "content-type": "application/json" }, body: some(PIECES) } : {},
    );
    const text = await answer.text();
    assert.doesNotMatch(text, /node_modules|\.ts:\d|at \w+ \(/, `run ${run}: ${what}`);
    if (answer.ok) seen.good += 1;
    else {
      seen.refused += 1;
      assert.ok(answer.status < 500, `run ${run}: ${what} gave ${answer.status}`);
      const { faults } = JSON.parse(text) as { faults: readonly { readonly code: string; readonly mend: string }[] };
      assert.ok(faults.length > 0 && faults.every((f) => f.code !== "" && f.mend !== ""), `run ${run}: ${what}`);
    }
  }
  assert.equal(JSON.stringify(server.store.exportBook()), before);
  assert.ok(seen.good > runs / 20 && seen.refused > runs / 4, JSON.stringify(seen));
});
