import assert from "node:assert/strict";
import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { documentName } from "../src/server/index.ts";
import { applyEdits } from "../src/setup/index.ts";
import { setupName } from "../src/store/index.ts";
import { expectOk } from "../src/units/index.ts";
import { counts } from "./counts.ts";
import { LinkClient, until } from "./link-client.ts";
import { sampleReading, seeded } from "./sample-book.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-kill-"));
const running = new Set<ChildProcess>();
after(() => {
  for (const child of running) child.kill("SIGKILL");
  rmSync(root, { recursive: true, force: true });
});

const program = join(import.meta.dirname, "serve-book.ts");

interface Served {
  readonly child: ChildProcess;
  readonly pid: number;
  readonly address: string;
  readonly port: number;
  readonly id: string;
  readonly generation: number;
}

/** Starts the program (or `command` around it) and waits for its line. */
async function serve(dataDir: string, port = 0, command: readonly string[] = []): Promise<Served> {
  const [file, ...rest] = [...command, process.execPath, program, dataDir, String(port)];
  const child = spawn(file as string, rest, { stdio: ["ignore", "pipe", "pipe"] });
  running.add(child);
  let out = "";
  let err = "";
  child.stdout.on("data", (part) => {
    out += String(part);
  });
  child.stderr.on("data", (part) => {
    err += String(part);
  });
  await until(() => out.includes("\n") || child.exitCode !== null, "the server to start", 20_000);
  assert.equal(child.exitCode, null, err);
  return { child, ...(JSON.parse(out) as Omit<Served, "child">) };
}

async function end(child: ChildProcess, signal: NodeJS.Signals): Promise<void> {
  const gone = new Promise((resolve) => child.once("exit", resolve));
  child.kill(signal);
  await gone;
  running.delete(child);
}

/** Ends a process that may have ended by itself. */
function endProcess(pid: number): void {
  try {
    process.kill(pid, "SIGTERM");
  } catch (error) {
    if ((error as { code?: string }).code !== "ESRCH") throw error;
  }
}

/** One device that edits without pause; `kept` is what the server has confirmed. */
class Editor {
  readonly client: LinkClient;
  readonly kept = new Set<string>();
  #going = true;
  #made = 0;
  readonly #name: string;
  readonly #random: () => number;
  readonly #work: Promise<void>;

  constructor(served: Served, name: string, seed: number) {
    this.client = new LinkClient(served.address, documentName(served, setupName("demo-choir")));
    this.#name = name;
    this.#random = seeded(seed);
    this.#work = this.#edit();
  }

  async stop(): Promise<void> {
    this.#going = false;
    await this.#work;
    this.client.close();
  }

  /** Readings are what must never be lost; each batch ends with a barrier. */
  async #edit(): Promise<void> {
    await this.client.synced();
    while (this.#going) {
      const batch: string[] = [];
      for (let i = 1 + Math.floor(this.#random() * 5); i > 0; i--) batch.push(this.#addReading());
      if (!this.client.isSynced) await Promise.race([this.client.synced(), pause(100)]);
      if (!this.client.isSynced) continue;
      const confirmed = this.client.kept().then(() => {
        for (const id of batch) this.kept.add(id);
      });
      await Promise.race([confirmed, this.client.closed(), pause(500)]);
    }
  }

  #addReading(): string {
    const id = `${this.#name}-${this.#made++}`;
    this.client.edit((setup) =>
      expectOk(
        applyEdits(setup, [
          {
            kind: "add-reading",
            reading: sampleReading(this.#random, id, setup.lights[0]?.id ?? null, "2026-11-05T10:00:00Z"),
          },
          { kind: "light", id: setup.lights[0]?.id ?? "", set: { dialStops: -Math.round(this.#random() * 50) / 10 } },
        ]),
      ),
    );
    return id;
  }
}

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** In all 50 kills in `npm test` and 500 in `npm run test:long`, in five books, so that each test keeps its time. */
const books = 5;
const kills = counts(10, 100);

for (let book = 0; book < books; book++) {
  const seed = 20261103 + 1000 * book;
  test(`kill -9 in the middle of edits of three devices, ${kills} times, loses no acknowledged edit (seed ${seed})`, async () => {
    const random = seeded(seed);
    const dir = join(root, `killed-${book}`);
    let acknowledged = 0;
    let served = await serve(dir);
    for (let round = 0; round < kills; round++) {
      const editors = [0, 1, 2].map((i) => new Editor(served, `k${round}-${i}`, seed + round * 3 + i));
      await until(() => editors.every((editor) => editor.kept.size > 0), "each device's first acknowledged edit");
      await pause(random() * 300);
      await end(served.child, "SIGKILL");
      const kept = editors.map((editor) => [...editor.kept]);
      await Promise.all(editors.map((editor) => editor.stop()));
      // Every start after a kill is clean; the next round goes on with it.
      served = await serve(dir, served.port);
      const setup = (await (await fetch(`${served.address}/api/setups/demo-choir`)).json()) as {
        readings: { id: string }[];
      };
      const there = new Set(setup.readings.map((reading) => reading.id));
      const lost = kept.flat().filter((id) => !there.has(id));
      assert.deepEqual(lost, [], `round ${round}`);
      acknowledged += kept.flat().length;
    }
    await end(served.child, "SIGTERM");
    assert.equal(served.child.exitCode, 0, "SIGTERM ends the server in order");
    assert.ok(acknowledged > kills * 3, `${acknowledged} acknowledged edits were looked for`);
  });
}

test("edits that a killed server never saw arrive when it is back", async () => {
  const dir = join(root, "late");
  const served = await serve(dir);
  const editor = new Editor(served, "late", 7);
  await until(() => editor.kept.size > 3, "some acknowledged edits");
  await end(served.child, "SIGKILL");
  await pause(200);
  const again = await serve(dir, served.port);
  await until(() => editor.client.isSynced, "the link to be back");
  await editor.stop();
  const device = new LinkClient(again.address, documentName(again, setupName("demo-choir")));
  await device.synced();
  const mine = editor.client.setup().readings.map((reading) => reading.id);
  await until(
    () => mine.filter((id) => !device.setup().readings.some((reading) => reading.id === id)).length === 0,
    "every reading of the first device",
  );
  device.close();
  await end(again.child, "SIGTERM");
});

test("system calls show the flush to the disc before the answer to the barrier", async (t) => {
  if (spawnSync("strace", ["-V"]).status !== 0) return t.skip("strace is not installed here");
  const trace = join(root, "trace.txt");
  const calls = "trace=fsync,fdatasync,write,writev,pwrite64,sendto,sendmsg";
  const served = await serve(join(root, "traced"), 0, ["strace", "-f", "-qq", "-s", "5000", "-e", calls, "-o", trace]);
  t.after(() => endProcess(served.pid));
  const client = new LinkClient(served.address, documentName(served, setupName("demo-vase")));
  await client.synced();
  client.edit((setup) => ({ ...setup, title: "TracedTitle" }));
  await client.kept();
  client.close();
  // The tracer keeps signals to itself; the server ends, and the tracer after it.
  const gone = new Promise((resolve) => served.child.once("exit", resolve));
  endProcess(served.pid);
  await gone;
  running.delete(served.child);
  const lines = readFileSync(trace, "utf8").split("\n");
  const written = lines.findIndex((line) => line.includes("pwrite64") && line.includes("TracedTitle"));
  const answer = lines.findIndex((line) => /write|send/.test(line) && line.includes("barrier:1"));
  assert.ok(written >= 0, "the edit is written");
  assert.ok(answer > written, "the answer comes after the writing");
  const flushed = lines.slice(written, answer).some((line) => /\bf(data)?sync\(/.test(line) && !line.includes("= -1"));
  assert.ok(flushed, "a flush lies between the two");
  return undefined;
});
