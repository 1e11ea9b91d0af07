import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { sampleSetup, seeded } from "../../test/sample-book.ts";
import { emptyKit } from "../setup/index.ts";
import { expectOk } from "../units/index.ts";
import { type NewFrame, openStore, personSays, type Store } from "./index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-frames-store-"));
after(() => rmSync(root, { recursive: true, force: true }));
let made = 0;
const newId = (): string => `f${made++}`;

function openBook(name: string): Store {
  const store = expectOk(openStore({ dataDir: join(root, name), now: () => new Date(), newId }));
  if (!store.kit().ok) {
    expectOk(store.addKit(emptyKit(), [sampleSetup(seeded(1), "setup-a"), sampleSetup(seeded(2), "setup-b")]));
  }
  return store;
}

const sha = (text: string): string => createHash("sha256").update(text).digest("hex");

const frame = (name: string, content: string): NewFrame => ({
  card: {
    ...{ name, sha256: sha(content), bytes: content.length, width: 6, height: 4, bits: 8 },
    ...{ source: "processed", basis: "profile", notes: [] },
    exposure: {
      ...{ shutterS: 0.008, fNumber: 8, iso: 100, takenAt: null, whiteBalance: null, manual: true },
      ...{ biasStops: null, flashFired: true },
    },
    proxy: {
      ...{ width: 3, height: 2, reduction: 2, balance: null, toSrgb: null },
      noise: { perUnit: 1e-4, floor: 1e-8, steps: null, from: "assumed" },
    },
  },
  proxy: Uint8Array.from({ length: 42 }, (_, i) => i),
  thumb: Uint8Array.of(1, 2, 3),
});

function keep(store: Store, setupId: string, name: string, content: string): ReturnType<Store["frames"]["keep"]> {
  const partial = expectOk(store.frames.newPartial());
  writeFileSync(partial, content);
  return store.frames.keep(setupId, partial, frame(name, content));
}

test("a frame is kept as it came, by its hash, with proxy and small picture, and is there after closing and opening", () => {
  const store = openBook("keep");
  const { card, isNew } = expectOk(keep(store, "setup-a", "0412.JPG", "the bytes"));
  assert.equal(isNew, true);
  store.close();
  const again = openBook("keep");
  assert.deepEqual(expectOk(again.frames.list("setup-a")), [card]);
  const files = expectOk(again.frames.files(card.id));
  assert.equal(readFileSync(files.original, "utf8"), "the bytes");
  assert.ok(files.original.endsWith(join("frames", sha("the bytes").slice(0, 2), `${sha("the bytes")}.jpg`)));
  assert.equal(readFileSync(files.proxy).length, 42);
  assert.deepEqual([...readFileSync(files.thumb)], [1, 2, 3]);
  assert.deepEqual(expectOk(again.frames.list("setup-b")), []);
  again.close();
});

test("the same bytes are one frame of a setup and one file of the book, whatever their name", () => {
  const store = openBook("same");
  const first = expectOk(keep(store, "setup-a", "a.jpg", "same"));
  const second = expectOk(keep(store, "setup-a", "b.jpg", "same"));
  assert.equal(second.isNew, false);
  assert.equal(second.card.id, first.card.id);
  const other = expectOk(keep(store, "setup-b", "a.jpg", "same"));
  assert.equal(other.isNew, true);
  assert.equal(
    expectOk(store.frames.files(other.card.id)).original,
    expectOk(store.frames.files(first.card.id)).original,
  );
  // The file goes with the last frame that has it.
  expectOk(store.frames.remove(first.card.id));
  const { original, proxy } = expectOk(store.frames.files(other.card.id));
  expectOk(store.frames.remove(other.card.id));
  assert.deepEqual([existsSync(original), existsSync(proxy)], [false, false]);
  assert.equal(expectOk(store.frames.list("setup-a")).length, 0);
  store.close();
});

test("order is the order of coming, also after a frame was taken out", () => {
  const store = openBook("order");
  const cards = ["1", "2", "3"].map((n) => expectOk(keep(store, "setup-a", `${n}.jpg`, `order ${n}`)).card);
  expectOk(store.frames.remove(cards[1]?.id ?? ""));
  expectOk(keep(store, "setup-a", "4.jpg", "order 4"));
  const names = expectOk(store.frames.list("setup-a")).map(({ name, order }) => `${order} ${name}`);
  assert.deepEqual(names, ["0 1.jpg", "2 3.jpg", "3 4.jpg"]);
  store.close();
});

test("what a person says of a frame stays, and null takes it back", () => {
  const store = openBook("says");
  const { card } = expectOk(keep(store, "setup-a", "a.jpg", "says"));
  const said = expectOk(store.frames.setAssignment(card.id, personSays({ kind: "light", lightId: "light-1" })));
  assert.deepEqual(said.assignment?.shows, { kind: "light", lightId: "light-1" });
  assert.equal(said.assignment?.by, "person");
  assert.equal(expectOk(store.frames.setAssignment(card.id, null)).assignment, null);
  store.close();
});

test("faults: no such setup, no such frame, a frame whose file is not on this machine", () => {
  const store = openBook("faults");
  const codes = (result: { readonly ok: boolean; readonly faults?: readonly { readonly code: string }[] }): unknown =>
    result.ok ? null : result.faults?.map(({ code }) => code);
  assert.deepEqual(codes(keep(store, "setup-x", "a.jpg", "x")), ["no-setup"]);
  assert.deepEqual(codes(store.frames.list("setup-x")), ["no-setup"]);
  assert.deepEqual(codes(store.frames.card("frame-x")), ["no-frame"]);
  assert.deepEqual(codes(store.frames.remove("frame-x")), ["no-frame"]);
  const { card } = expectOk(keep(store, "setup-a", "a.jpg", "gone"));
  rmSync(expectOk(store.frames.files(card.id)).original);
  assert.deepEqual(codes(store.frames.files(card.id)), ["no-frame-file"]);
  store.close();
});

test("a backup holds the frames' rows, not their files; restored beside the files it finds them again", async () => {
  const store = openBook("backup");
  const { card } = expectOk(keep(store, "setup-a", "a.jpg", "backed up"));
  const file = join(root, "frames-backup.sqlite");
  expectOk(await store.backup(file));
  assert.ok(!readFileSync(file).includes("backed up"));
  expectOk(store.frames.setFolder("setup-a", "/somewhere"));
  expectOk(store.restore(file));
  assert.deepEqual(expectOk(store.frames.list("setup-a")), [card]);
  assert.equal(readFileSync(expectOk(store.frames.files(card.id)).original, "utf8"), "backed up");
  assert.deepEqual(expectOk(store.frames.folders()), []);
  store.close();
});

test("a book from before test frames gets their tables when it is opened, and stays of its version", () => {
  const store = openBook("older");
  const { version } = store.info();
  store.close();
  const { DatabaseSync } = process.getBuiltinModule("node:sqlite");
  const db = new DatabaseSync(join(root, "older", "book.sqlite"));
  db.exec("DROP TABLE frames; DROP TABLE frame_folders");
  db.close();
  const again = openBook("older");
  assert.deepEqual(expectOk(again.frames.list("setup-a")), []);
  assert.equal(again.info().version, version);
  again.close();
});

/** Keeps frames one after the other and says each on its standard output once it is kept. */
const keeper = `
import { writeFileSync } from "node:fs";
import { createHash } from "node:crypto";
const { openStore } = await import(process.argv[1]);
const store = openStore({ dataDir: process.argv[2], now: () => new Date(), newId: () => crypto.randomUUID() }).value;
for (let i = 0; ; i++) {
  const content = process.pid + " " + i + " " + "x".repeat(200_000);
  const partial = store.frames.newPartial().value;
  writeFileSync(partial, content);
  const sha256 = createHash("sha256").update(content).digest("hex");
  const kept = store.frames.keep("setup-a", partial, { card: { name: i + ".jpg", sha256 }, proxy: new Uint8Array(300), thumb: null });
  process.stdout.write(kept.value.card.id + " " + sha256 + "\\n");
}`;

test("killed while frames are being kept, 6 rounds: every frame that was said to be kept is there, whole, once", async () => {
  openBook("killed").close();
  const said: { readonly id: string; readonly sha256: string }[] = [];
  for (let round = 0; round < 6; round++) {
    const child = spawn(
      process.execPath,
      ["--input-type=module", "-e", keeper, join(import.meta.dirname, "index.ts"), join(root, "killed")],
      { stdio: ["ignore", "pipe", "inherit"] },
    );
    let lines = "";
    child.stdout.on("data", (part: Buffer) => {
      lines += part.toString();
      if (lines.split("\n").length > 3 + round) child.kill("SIGKILL");
    });
    await new Promise((resolve) => child.on("close", resolve));
    for (const line of lines.split("\n").slice(0, -1)) {
      const [id = "", sha256 = ""] = line.split(" ");
      said.push({ id, sha256 });
    }
  }
  const store = openBook("killed");
  const listed = expectOk(store.frames.list("setup-a"));
  assert.ok(said.length >= 6 * 3, `${said.length} were said`);
  for (const { id, sha256 } of said) {
    assert.equal(listed.filter((card) => card.id === id).length, 1, id);
    const { original, proxy } = expectOk(store.frames.files(id));
    assert.equal(createHash("sha256").update(readFileSync(original)).digest("hex"), sha256);
    assert.equal(readFileSync(proxy).length, 300);
  }
  assert.equal(new Set(listed.map(({ sha256 }) => sha256)).size, listed.length);
  assert.deepEqual(
    readdirSync(join(root, "killed", "frames")).filter((name) => name.endsWith(".incoming")),
    [],
  );
  store.close();
});
