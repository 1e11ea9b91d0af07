import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { after, test } from "node:test";
import * as Y from "yjs";
import { sampleKit, sampleSetup, seeded } from "../../test/sample-book.ts";
import { applyEdits, demoKit, demoSetups, kitCanBuild, parseSetup, type Setup } from "../setup/index.ts";
import { docToSetup, writeSetup } from "../sync/index.ts";
import { expectOk, type Result } from "../units/index.ts";
import { openStore, type Store, setupName } from "./index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-store-"));
after(() => rmSync(root, { recursive: true, force: true }));

let made = 0;
const newDir = (): string => join(root, `book-${made++}`);
let tick = Date.parse("2026-11-03T10:00:00Z");
const now = (): Date => {
  tick += 1000;
  return new Date(tick);
};
const newId = (): string => `id${made++}`;
const open = (dataDir: string): Store => expectOk(openStore({ dataDir, now, newId }));
const sample = (seed: number, id = `s${seed}`): Setup => expectOk(parseSetup(sampleSetup(seeded(seed), id)));
const codes = (result: Result<unknown>): readonly string[] => (result.ok ? [] : result.faults.map((f) => f.code));

/** Edits a stored setup the way a page does: through its document, as one update. */
function edit(store: Store, id: string, change: (setup: Setup) => Setup): Result<void> {
  const doc = new Y.Doc();
  for (const bytes of expectOk(store.load(setupName(id)))) Y.applyUpdate(doc, bytes);
  const before = expectOk(docToSetup(doc));
  const state = Y.encodeStateVector(doc);
  writeSetup(doc, before, change(before), null);
  return store.append(setupName(id), Y.encodeStateAsUpdate(doc, state), {
    kind: "setup",
    setup: expectOk(docToSetup(doc)),
  });
}

test("the book is written through to the disc: WAL, synchronous FULL, on the open file itself", () => {
  const dir = newDir();
  const store = open(dir);
  assert.equal(store.synchronous, 2);
  const other = new DatabaseSync(join(dir, "book.sqlite"));
  assert.equal(other.prepare("PRAGMA journal_mode").get()?.journal_mode, "wal");
  other.close();
  store.close();
});

test("a setup, its edits and the kit are there after the book is opened again", () => {
  const dir = newDir();
  const store = open(dir);
  expectOk(store.addSetups([sample(1), sample(2)]));
  expectOk(store.addKit(demoKit()));
  for (let i = 0; i < 20; i++) expectOk(edit(store, "s1", (setup) => ({ ...setup, title: `title ${i}` })));
  const info = store.info();
  store.close();
  const again = open(dir);
  assert.deepEqual(again.info(), info);
  assert.deepEqual(info.counts, { setups: 2, trashed: 0 });
  assert.equal(info.generation, 1);
  assert.equal(expectOk(again.setup("s1")).title, "title 19");
  assert.deepEqual(expectOk(again.setup("s2")), sample(2));
  assert.deepEqual(expectOk(again.kit()), demoKit());
  again.close();
});

test("shortening a log into a snapshot changes nothing that it says", () => {
  const store = open(newDir());
  expectOk(store.addSetups([sample(3)]));
  for (let i = 0; i < 10; i++) expectOk(edit(store, "s3", (setup) => ({ ...setup, notes: `note ${i}` })));
  const before = expectOk(store.setup("s3"));
  assert.equal(expectOk(store.load("setup.s3")).length, 11);
  expectOk(store.compact("setup.s3", 50));
  assert.equal(expectOk(store.load("setup.s3")).length, 11);
  expectOk(store.compact("setup.s3"));
  assert.equal(expectOk(store.load("setup.s3")).length, 1);
  assert.deepEqual(expectOk(store.setup("s3")), before);
  expectOk(edit(store, "s3", (setup) => ({ ...setup, title: "after" })));
  assert.equal(expectOk(store.setup("s3")).title, "after");
  store.close();
});

test("one process owns a data directory; the second is told who holds it, and a killed holder holds nothing", () => {
  const dir = newDir();
  const store = open(dir);
  const second = openStore({ dataDir: dir, now, newId });
  assert.deepEqual(codes(second), ["book-open-elsewhere"]);
  assert.match(second.ok ? "" : (second.faults[0]?.what ?? ""), new RegExp(`process ${process.pid}`));
  store.close();
  const script = `
    import { openStore } from ${JSON.stringify(new URL("./index.ts", import.meta.url).href)};
    const opened = openStore({ dataDir: ${JSON.stringify(dir)}, now: () => new Date(), newId: () => "x" });
    console.log(opened.ok);
    process.kill(process.pid, "SIGKILL");`;
  const child = spawnSync(process.execPath, ["--input-type=module-typescript", "-e", script], { encoding: "utf8" });
  assert.equal(child.stdout.trim(), "true", child.stderr);
  assert.equal(child.signal, "SIGKILL");
  open(dir).close();
});

test("cards are found by lights and main to fill, words, tag, roles, medium, metered, and come newest first", () => {
  const store = open(newDir());
  expectOk(store.addSetups(demoSetups()));
  const all = expectOk(store.cards());
  assert.equal(all.total, demoSetups().length);
  const setups = new Map(demoSetups().map((setup) => [setup.id, setup]));
  for (const card of all.cards) assert.equal(card.title, setups.get(card.id)?.title);
  const find = (filter: Parameters<Store["cards"]>[0]): readonly string[] =>
    expectOk(store.cards(filter)).cards.map((card) => card.id);
  const choir = setups.get("demo-choir");
  assert.ok(choir);
  assert.deepEqual(find({ text: "choi" }), ["demo-choir"]);
  assert.ok(find({ lights: 4, mainToFill: 3 }).includes("demo-choir"));
  assert.equal(find({ lights: 4, mainToFill: 2.9 }).includes("demo-choir"), false);
  assert.ok(find({ medium: "continuous" }).every((id) => setups.get(id)?.exposure.medium === "continuous"));
  assert.ok(
    find({ roles: ["main", "hair"] }).every((id) => setups.get(id)?.lights.some((light) => light.role === "hair")),
  );
  expectOk(edit(store, "demo-vase", (setup) => ({ ...setup, title: "Ewer", tags: ["glaze"] })));
  assert.equal(find({})[0], "demo-vase");
  assert.deepEqual(find({ text: "ewer" }), ["demo-vase"]);
  assert.deepEqual(find({ tag: "glaze" }), ["demo-vase"]);
  assert.deepEqual(find({ text: "stoneware vase on" }), []);
  const newestFirst = find({});
  for (const filter of [{ text: "main" }, { roles: ["main" as const] }, { medium: "flash" as const }]) {
    const found = find(filter);
    assert.ok(found.length > 2);
    assert.deepEqual(
      found,
      newestFirst.filter((id) => found.includes(id)),
    );
  }
  for (const odd of ['"', "*", "a AND", "title:", "NEAR(", "-", "^x", "(", "\u0000", "'; DROP TABLE cards; --"]) {
    assert.equal(store.cards({ text: odd }).ok, true, odd);
  }
  store.close();
});

test("what the kit can build and what fits its room agree with the setup room's own answers (seeds 1 to 300)", () => {
  const store = open(newDir());
  const setups = Array.from({ length: 300 }, (_, i) => sample(i + 1));
  expectOk(store.addSetups(setups));
  const kit = sampleKit();
  assert.equal(expectOk(store.cards({ kitHere: true })).total, 0);
  expectOk(store.addKit(kit));
  const found = (filter: Parameters<Store["cards"]>[0]): readonly string[] =>
    expectOk(store.cards({ ...filter, limit: 200 }))
      .cards.map((card) => card.id)
      .sort();
  const can = setups
    .filter((setup) => kitCanBuild(kit, setup).ok)
    .map((setup) => setup.id)
    .sort();
  assert.ok(can.length > 10 && can.length < 200, `${can.length} of 300`);
  assert.deepEqual(found({ kitHere: true }), can);
  const room = kit.rooms.find((item) => item.id === kit.roomHereId);
  assert.ok(room);
  const cards = expectOk(store.cards({ limit: 200 })).cards;
  const fitting = new Set(found({ fitsHere: true }));
  assert.ok(fitting.size > 0 && fitting.size < 300);
  for (const { id, space } of cards) {
    const fits: boolean = space.widthM <= room.widthM && space.depthM <= room.depthM && space.heightM <= room.heightM;
    if (fitting.size < 200) assert.equal(fitting.has(id), fits, id);
  }
  store.close();
});

test("kit pieces past the last bit are still compared: 400 different heads", () => {
  const store = open(newDir());
  const base = sample(1);
  const light = base.lights[0];
  assert.ok(light);
  const setups = Array.from(
    { length: 400 },
    (_, i): Setup => ({
      ...base,
      id: `h${i}`,
      lights: [{ ...light, head: { ...light.head, id: `rare-${i}` } }],
    }),
  );
  expectOk(store.addSetups(setups));
  expectOk(
    store.addKit({
      ...sampleKit(),
      heads: [
        { ...light.head, id: "rare-3" },
        { ...light.head, id: "rare-399" },
      ],
    }),
  );
  assert.deepEqual(
    expectOk(store.cards({ kitHere: true }))
      .cards.map((card) => card.id)
      .sort(),
    ["h3", "h399"],
  );
  store.close();
});

test("the trash hides a setup and gives it back; an id in use or in the trash is not given again", () => {
  const store = open(newDir());
  expectOk(store.addSetups([sample(1), sample(2)]));
  expectOk(store.trash("s1", true));
  assert.deepEqual(store.info().counts, { setups: 1, trashed: 1 });
  assert.deepEqual(
    expectOk(store.cards({ trashed: true })).cards.map((card) => card.id),
    ["s1"],
  );
  assert.equal(expectOk(store.exportBook()).setups.length, 1);
  assert.deepEqual(codes(store.addSetups([sample(9), sample(1), sample(2)])), ["id-taken", "id-taken"]);
  assert.equal(store.find("setup.s9"), null);
  expectOk(store.trash("s1", false));
  assert.equal(expectOk(store.cards()).total, 2);
  assert.deepEqual(codes(store.trash("nobody", true)), ["no-setup"]);
  store.close();
});

test("an exported book comes into another book whole; a second time nothing; a changed setup as another", () => {
  const [here, there] = [open(newDir()), open(newDir())];
  expectOk(here.addSetups(demoSetups()));
  expectOk(here.addKit(demoKit()));
  const text = JSON.stringify(expectOk(here.exportBook()));
  const first = expectOk(there.importBook(text));
  assert.equal(first.setups, demoSetups().length);
  assert.deepEqual(expectOk(there.exportBook()), expectOk(here.exportBook()));
  const second = expectOk(there.importBook(text));
  assert.deepEqual([second.setups, second.same, second.kitItems], [0, demoSetups().length, 0]);
  expectOk(edit(there, "demo-choir", (setup) => ({ ...setup, title: "Changed" })));
  const third = expectOk(there.importBook(JSON.parse(text)));
  assert.deepEqual([third.setups, third.same], [1, demoSetups().length - 1]);
  assert.equal(expectOk(there.setup("demo-choir")).title, "Changed");
  here.close();
  there.close();
});

test("an import with any fault says them all and writes nothing", () => {
  const store = open(newDir());
  const bad = {
    format: "stopwise-book",
    version: 1,
    setups: [sample(1), { ...sample(2), title: 7 }, { ...sample(3), exposure: null }],
    kits: [{}],
  };
  const result = store.importBook(bad);
  assert.equal(result.ok, false);
  const where = result.ok ? [] : result.faults.map((f) => f.where);
  assert.ok(
    where.some((path) => path === "setups[1].title"),
    where.join(),
  );
  assert.ok(where.some((path) => path.startsWith("setups[2].exposure")));
  assert.ok(where.some((path) => path.startsWith("kits[0]")));
  assert.equal(store.info().counts.setups, 0);
  for (const odd of [
    "{",
    "[]",
    "null",
    '"x"',
    '{"format":"stopwise-book"}',
    '{"format":"stopwise-book","version":2}',
    5,
    undefined,
  ]) {
    assert.equal(store.importBook(odd).ok, false, String(odd));
  }
  const twice = { format: "stopwise-book", version: 1, setups: [sample(4), sample(4)], kits: [] };
  assert.deepEqual(codes(store.importBook(twice)), ["duplicate-id"]);
  store.close();
});

test("a backup holds the book and its assets; restoring it begins a new generation and keeps the book that was", async () => {
  const dir = newDir();
  const store = open(dir);
  expectOk(store.addSetups([sample(1)]));
  writeFileSync(join(dir, "assets", "frame.bin"), "pixels");
  const file = join(root, "backup.stopwise");
  expectOk(await store.backup(file));
  assert.deepEqual(codes(await store.backup(file)), ["file-exists"]);
  expectOk(edit(store, "s1", (setup) => ({ ...setup, title: "later" })));
  expectOk(store.addSetups([sample(2)]));
  rmSync(join(dir, "assets", "frame.bin"));
  const { id } = store.info();
  const restored = expectOk(store.restore(file));
  assert.equal(restored.id, id);
  assert.ok(restored.generation > 1);
  assert.equal(restored.counts.setups, 1);
  assert.deepEqual(expectOk(store.setup("s1")), sample(1));
  assert.ok(existsSync(join(dir, "assets", "frame.bin")));
  assert.equal(store.synchronous, 2);
  expectOk(edit(store, "s1", (setup) => ({ ...setup, title: "again" })));
  const again = expectOk(store.restore(file));
  assert.ok(again.generation > restored.generation);
  assert.equal(readdirSync(dir).filter((name) => name.startsWith("book-until-")).length, 2);
  store.close();
  assert.equal(open(dir).info().generation, again.generation);
});

test("a backup goes on in steps while setups are edited, added and refused, and is one whole book", async () => {
  const store = open(newDir());
  const setups = Array.from({ length: 400 }, (_, i) => sample(i + 1));
  expectOk(store.addSetups(setups));
  expectOk(edit(store, "s1", (setup) => ({ ...setup, title: "before" })));
  const file = join(root, "busy.stopwise");
  let isDone = false;
  const written = store.backup(file).finally(() => {
    isDone = true;
  });
  assert.deepEqual(codes(store.restore(file)), ["book-busy"]);
  let edits = 0;
  while (!isDone) {
    expectOk(edit(store, `s${1 + (edits % 400)}`, (setup) => ({ ...setup, notes: `edit ${edits}` })));
    expectOk(store.addSetups([sample(1, `n${edits}`)]));
    assert.deepEqual(codes(store.addSetups([sample(2, `m${edits}`), sample(1)])), ["id-taken"]);
    edits += 1;
    await new Promise((resolve) => setImmediate(resolve));
  }
  expectOk(await written);
  assert.ok(edits > 2, `${edits} rounds of edits meanwhile`);
  const added = store.info().counts.setups;
  const { counts } = expectOk(store.restore(file));
  assert.ok(counts.setups >= 400 && counts.setups <= added, `${counts.setups} of ${added}`);
  assert.equal(expectOk(store.setup("s1")).title, "before");
  const exported = expectOk(store.exportBook());
  assert.equal(exported.setups.length, counts.setups);
  assert.equal(expectOk(store.cards()).total, counts.setups);
  for (const { id, notes } of exported.setups) {
    const card = expectOk(store.cards({ text: `${notes} ` })).cards.map((found) => found.id);
    if (notes.startsWith("edit ")) assert.ok(card.includes(id), id);
  }
  store.close();
});

test("backups half sent or half received by a process that ended are removed when the book is opened", () => {
  const dir = newDir();
  open(dir).close();
  const left = ["outgoing-a1.sqlite.partial", "outgoing-a1.sqlite.partial-journal", "incoming-b-2.sqlite"];
  const others = ["outgoing.txt", "my outgoing-a.sqlite", "book-until-7.sqlite"];
  for (const name of [...left, ...others]) writeFileSync(join(dir, name), "x");
  open(dir).close();
  const there = readdirSync(dir);
  assert.deepEqual(
    left.filter((name) => there.includes(name)),
    [],
  );
  assert.deepEqual(
    others.filter((name) => !there.includes(name)),
    [],
  );
});

test("what is no backup is refused with a fault and changes nothing", async () => {
  const dir = newDir();
  const store = open(dir);
  expectOk(store.addSetups([sample(1)]));
  const good = join(root, "good.stopwise");
  expectOk(await store.backup(good));
  const bad = (name: string, write: (file: string) => void): string => {
    const file = join(root, name);
    write(file);
    return file;
  };
  const sqlite =
    (...sql: readonly string[]) =>
    (file: string): void => {
      copyFileSync(good, file);
      const db = new DatabaseSync(file);
      for (const line of sql) db.exec(line);
      db.close();
    };
  const cases: readonly (readonly [string, string])[] = [
    [join(root, "none"), "no-file"],
    [bad("text", (file) => writeFileSync(file, "hello ".repeat(2000))), "book-damaged"],
    [bad("empty", (file) => writeFileSync(file, "")), "not-a-book"],
    [
      bad("other", (file) => {
        const db = new DatabaseSync(file);
        db.exec("CREATE TABLE a (b)");
        db.close();
      }),
      "not-a-book",
    ],
    [bad("newer", sqlite("PRAGMA user_version = 99")), "book-too-new"],
    [bad("unsafe", sqlite("INSERT INTO assets VALUES ('../../evil', x'00')")), "book-damaged"],
    [bad("folder", (file) => mkdirSync(file)), "not-a-book"],
  ];
  for (const [file, code] of cases) assert.deepEqual(codes(store.restore(file)), [code], file);
  assert.equal(existsSync(join(root, "evil")), false);
  assert.equal(store.info().generation, 1);
  assert.equal(store.info().counts.setups, 1);
  store.close();
});

test("a full disc is a fault, nothing half-written stays, and the book goes on", () => {
  const dir = newDir();
  const store = open(dir);
  expectOk(store.addSetups([sample(1)]));
  const big = sample(2);
  store.limitPages(0);
  assert.deepEqual(
    codes(
      store.addSetups(Array.from({ length: 200 }, (_, i) => ({ ...big, id: `big${i}`, notes: "x".repeat(15_000) }))),
    ),
    ["disc-full"],
  );
  store.limitPages(1_000_000);
  assert.equal(store.info().counts.setups, 1);
  expectOk(edit(store, "s1", (setup) => ({ ...setup, title: "still here" })));
  assert.equal(expectOk(store.setup("s1")).title, "still here");
  store.close();
});

test("a folder that is a file, or that holds another program's file, is refused in words", () => {
  const file = join(root, "plain");
  writeFileSync(file, "x");
  assert.deepEqual(codes(openStore({ dataDir: file, now, newId })), ["not-a-folder"]);
  assert.deepEqual(codes(openStore({ dataDir: join(file, "deeper"), now, newId })), ["not-a-folder"]);
  const other = newDir();
  mkdirSync(other);
  writeFileSync(join(other, "book.sqlite"), "not a database at all, whatever its name says".repeat(100));
  assert.deepEqual(codes(openStore({ dataDir: other, now, newId })), ["book-damaged"]);
});

test("a folder that may not be written is refused in words", (t) => {
  if (process.getuid?.() !== 0) return t.skip("needs root to become somebody without rights");
  const dir = newDir();
  mkdirSync(dir, { mode: 0o555 });
  const script = `
    process.setgid(65534); process.setuid(65534);
    const { openStore } = await import(${JSON.stringify(new URL("./index.ts", import.meta.url).href)});
    const opened = openStore({ dataDir: ${JSON.stringify(dir)}, now: () => new Date(), newId: () => "x" });
    console.log(opened.ok ? "ok" : opened.faults[0].code);`;
  execFileSync("chmod", ["755", root]);
  const child = spawnSync(process.execPath, ["--input-type=module-typescript", "-e", script], { encoding: "utf8" });
  assert.equal(child.stdout.trim(), "disc-read-only", child.stderr);
});

test("an edit appended twice counts once", () => {
  const store = open(newDir());
  expectOk(store.addSetups([sample(1)]));
  const setup = expectOk(store.setup("s1"));
  const edited = expectOk(applyEdits(setup, [{ kind: "setup", set: { title: "Once" } }]));
  const doc = new Y.Doc();
  for (const bytes of expectOk(store.load("setup.s1"))) Y.applyUpdate(doc, bytes);
  const state = Y.encodeStateVector(doc);
  writeSetup(doc, setup, edited, null);
  const update = Y.encodeStateAsUpdate(doc, state);
  for (let i = 0; i < 2; i++) expectOk(store.append("setup.s1", update, { kind: "setup", setup: edited }));
  assert.deepEqual(expectOk(store.setup("s1")), edited);
  store.close();
});
