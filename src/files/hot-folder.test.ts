import assert from "node:assert/strict";
import {
  appendFileSync,
  chmodSync,
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  renameSync,
  rmSync,
  symlinkSync,
  unlinkSync,
  writeFileSync,
} from "node:fs";
import { readFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import sharp from "sharp";
import { type Fault, failure, success } from "../units/index.ts";
import { createDecoder, type FolderState, type HotFolder, sha256Of, watchFolder } from "./node.ts";
import { systemFault } from "./read-file.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-hot-"));
const decoder = createDecoder();
after(async () => {
  await decoder.close();
  rmSync(root, { recursive: true, force: true });
});

interface Trial {
  readonly dir: string;
  /** Names in the order in which they were kept. */
  readonly kept: string[];
  readonly faults: Fault[];
  readonly states: FolderState[];
  readonly folder: HotFolder;
}

/** Takes files as the server does: read, hashed, decoded, known ones told apart. */
function watchTrial(name: string, begin: (dir: string) => void = () => {}): Trial {
  const dir = join(root, name);
  mkdirSync(dir);
  begin(dir);
  const kept: string[] = [];
  const faults: Fault[] = [];
  const states: FolderState[] = [];
  const known = new Map<string, string>();
  const folder = watchFolder(dir, {
    take: async (path, file, last) => {
      let bytes: Uint8Array;
      try {
        bytes = await readFile(path);
      } catch (error) {
        return failure(systemFault(error, file));
      }
      const sha256 = sha256Of(bytes);
      const as = known.get(sha256);
      if (as !== undefined) return success({ kind: "known", as });
      const look = await decoder.look(bytes, file, { longest: 64 });
      if (!look.ok) return look;
      const odd = look.value.sample.notes.find(({ code }) => code === "frame-odd");
      if (odd !== undefined && !last) return failure(odd);
      known.set(sha256, file);
      kept.push(file);
      return success({ kind: "kept" });
    },
    onFault: (fault) => faults.push(fault),
    onState: (state) => states.push(state),
    ...{ pollMs: 40, settleMs: 150, patienceMs: 1200 },
  });
  return { dir, kept, faults, states, folder };
}

/** A small JPEG, another for every number. */
async function picture(number: number): Promise<Buffer> {
  const pixels = Buffer.alloc(3 * 48 * 32, 0);
  for (let i = 0; i < pixels.length; i++) pixels[i] = (37 * number + i) % 251;
  return sharp(pixels, { raw: { width: 48, height: 32, channels: 3 } })
    .jpeg({ quality: 90 })
    .toBuffer();
}

const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

async function until(what: string, holds: () => boolean, patienceMs = 30_000): Promise<void> {
  for (const end = Date.now() + patienceMs; !holds(); await wait(20)) {
    if (Date.now() > end) assert.fail(`not within ${patienceMs} ms: ${what}`);
  }
}

const said = (faults: readonly Fault[]): readonly string[] =>
  faults.map(({ code, where }) => `${where} ${code}`).sort();

test("files that are there at the start are taken in, oldest first, and others as they come, each once", async () => {
  const first = await picture(1);
  const trial = watchTrial("start", (dir) => writeFileSync(join(dir, "b.jpg"), first));
  await until("b.jpg", () => trial.kept.length === 1);
  writeFileSync(join(trial.dir, "a.jpg"), await picture(2));
  await until("a.jpg", () => trial.kept.length === 2);
  await wait(400);
  assert.deepEqual([trial.kept, trial.faults, trial.states], [["b.jpg", "a.jpg"], [], ["watching"]]);
  await trial.folder.close();
});

test("a file that is written slowly, in pieces with pauses, is taken in once, when it is whole, and nothing is said", async () => {
  const trial = watchTrial("slow");
  const whole = await picture(3);
  const path = join(trial.dir, "slow.jpg");
  writeFileSync(path, whole.subarray(0, 200));
  for (let at = 200; at < whole.length; at += 400) {
    // Longer than it must stand still: it is tried, found cut short, and tried again.
    await wait(220);
    appendFileSync(path, whole.subarray(at, at + 400));
  }
  await until("slow.jpg", () => trial.kept.length === 1);
  await wait(300);
  assert.deepEqual([trial.kept, trial.faults], [["slow.jpg"], []]);
  await trial.folder.close();
});

test("hidden, temporary and foreign names, links and folders are passed over; a rename to a picture's name brings it in", async () => {
  const trial = watchTrial("names");
  const bytes = await picture(4);
  for (const name of [".0412.jpg", "~0412.jpg", "0412.jpg.part", "0412.tmp.jpg", "0412.xmp", "notes.txt"]) {
    writeFileSync(join(trial.dir, name), bytes);
  }
  mkdirSync(join(trial.dir, "folder.jpg"));
  symlinkSync(join(trial.dir, ".0412.jpg"), join(trial.dir, "link.jpg"));
  await wait(600);
  assert.deepEqual(trial.kept, []);
  renameSync(join(trial.dir, "0412.jpg.part"), join(trial.dir, "0412.jpg"));
  await until("0412.jpg", () => trial.kept.length === 1);
  // Renamed once more after it was taken in: the same frame, and nothing to say.
  renameSync(join(trial.dir, "0412.jpg"), join(trial.dir, "0413.jpg"));
  await wait(600);
  assert.deepEqual([trial.kept, trial.faults], [["0412.jpg"], []]);
  await trial.folder.close();
});

test("truncated, empty and unreadable files are said once each, with a mend, and taken in when they are mended", async () => {
  const trial = watchTrial("bad");
  const whole = await picture(5);
  writeFileSync(join(trial.dir, "cut.jpg"), whole.subarray(0, whole.length >> 1));
  writeFileSync(join(trial.dir, "empty.jpg"), "");
  writeFileSync(join(trial.dir, "text.jpg"), "no picture");
  writeFileSync(join(trial.dir, "good.jpg"), await picture(6));
  const asRoot = process.getuid?.() === 0;
  writeFileSync(join(trial.dir, "locked.jpg"), await picture(7));
  if (!asRoot) chmodSync(join(trial.dir, "locked.jpg"), 0);
  const expected = ["cut.jpg frame-truncated", "empty.jpg frame-empty", "text.jpg frame-kind"];
  if (!asRoot) expected.push("locked.jpg not-allowed");
  await until("all are said", () => trial.faults.length >= expected.length);
  await wait(1500);
  assert.deepEqual(said(trial.faults), expected.sort());
  assert.ok(trial.faults.every(({ mend }) => mend.length > 10));
  writeFileSync(join(trial.dir, "cut.jpg"), whole);
  if (!asRoot) chmodSync(join(trial.dir, "locked.jpg"), 0o600);
  await until("they are mended", () => trial.kept.length === 3);
  assert.deepEqual([...trial.kept].sort(), ["cut.jpg", "good.jpg", "locked.jpg"]);
  assert.equal(trial.faults.length, expected.length);
  await trial.folder.close();
});

test("a duplicate under another name is said and not kept twice; the same name with other content is a new frame", async () => {
  const trial = watchTrial("twice");
  writeFileSync(join(trial.dir, "1.jpg"), await picture(8));
  await until("1.jpg", () => trial.kept.length === 1);
  copyFileSync(join(trial.dir, "1.jpg"), join(trial.dir, "1 copy.jpg"));
  await until("the copy is said", () => trial.faults.length === 1);
  assert.deepEqual(said(trial.faults), ["1 copy.jpg frame-duplicate"]);
  writeFileSync(join(trial.dir, "1.jpg"), await picture(9));
  await until("the new content", () => trial.kept.length === 2);
  assert.deepEqual([trial.kept, trial.faults.length], [["1.jpg", "1.jpg"], 1]);
  await trial.folder.close();
});

test("200 at once, half of them renamed while they come: nothing lost, nothing doubled", async () => {
  const trial = watchTrial("burst");
  for (let i = 0; i < 200; i++) {
    const bytes = await picture(1000 + i);
    const name = `${String(i).padStart(4, "0")}.jpg`;
    if (i % 2 === 0) writeFileSync(join(trial.dir, name), bytes);
    else {
      writeFileSync(join(trial.dir, `${name}.part`), bytes);
      renameSync(join(trial.dir, `${name}.part`), join(trial.dir, name));
    }
  }
  await until("all 200", () => trial.kept.length >= 200, 90_000);
  await wait(400);
  assert.equal(trial.kept.length, 200);
  assert.equal(new Set(trial.kept).size, 200);
  assert.deepEqual(trial.faults, []);
  await trial.folder.close();
});

test("a folder that goes away is said once; restored, it goes on, and what was taken in stays taken in", async () => {
  const trial = watchTrial("gone");
  writeFileSync(join(trial.dir, "1.jpg"), await picture(10));
  await until("1.jpg", () => trial.kept.length === 1);
  renameSync(trial.dir, `${trial.dir}-away`);
  await until("it is said", () => trial.states.at(-1) === "gone");
  await wait(300);
  assert.deepEqual(
    trial.faults.map(({ code }) => code),
    ["folder-gone"],
  );
  renameSync(`${trial.dir}-away`, trial.dir);
  await until("it is back", () => trial.states.at(-1) === "watching");
  writeFileSync(join(trial.dir, "2.jpg"), await picture(11));
  await until("2.jpg", () => trial.kept.length === 2);
  // Removed and copied anew: other file numbers and times, the same content.
  rmSync(trial.dir, { recursive: true });
  await until("it is gone again", () => trial.states.at(-1) === "gone");
  mkdirSync(trial.dir);
  writeFileSync(join(trial.dir, "1.jpg"), await picture(10));
  writeFileSync(join(trial.dir, "3.jpg"), await picture(12));
  await until("3.jpg", () => trial.kept.length === 3);
  await wait(300);
  assert.deepEqual(trial.kept, ["1.jpg", "2.jpg", "3.jpg"]);
  assert.deepEqual(trial.states, ["watching", "gone", "watching", "gone", "watching"]);
  assert.deepEqual(
    trial.faults.map(({ code }) => code),
    ["folder-gone", "folder-gone"],
  );
  await trial.folder.close();
});

test("a full disc is said once and the file is taken in when there is room again", async () => {
  const dir = join(root, "full");
  mkdirSync(dir);
  let full = true;
  const kept: string[] = [];
  const faults: Fault[] = [];
  const folder = watchFolder(dir, {
    take: async (_path, name) => {
      if (full) return failure(systemFault({ code: "ENOSPC" }, name));
      kept.push(name);
      return success({ kind: "kept" });
    },
    onFault: (fault) => faults.push(fault),
    onState: () => {},
    ...{ pollMs: 30, settleMs: 60, patienceMs: 300 },
  });
  writeFileSync(join(dir, "1.jpg"), "x");
  await wait(1000);
  full = false;
  await until("1.jpg", () => kept.length === 1);
  assert.deepEqual([kept, said(faults)], [["1.jpg"], ["1.jpg disc-full"]]);
  await folder.close();
});

test("a file that vanishes between the look and the reading is neither lost nor said", async () => {
  const trial = watchTrial("vanish");
  for (let i = 0; i < 20; i++) writeFileSync(join(trial.dir, `${i}.jpg`), await picture(2000 + i));
  await wait(170);
  for (let i = 0; i < 20; i += 2) {
    try {
      unlinkSync(join(trial.dir, `${i}.jpg`));
    } catch {
      // Never there: nothing to take away.
    }
  }
  await until("the odd ones", () => [1, 3, 5, 7, 9, 11, 13, 15, 17, 19].every((i) => trial.kept.includes(`${i}.jpg`)));
  await wait(300);
  assert.deepEqual(trial.faults, []);
  await trial.folder.close();
});
