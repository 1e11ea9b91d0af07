/** Noise on the links of a server in a process of its own: what it prints, what it holds, and that it goes on. */

import assert from "node:assert/strict";
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { connect } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import WebSocket from "ws";
import * as Y from "yjs";
import { LinkClient, until } from "../../test/link-client.ts";
import { pick, seeded } from "../../test/sample-book.ts";
import { isMessage } from "./frame.ts";
import { documentName } from "./index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-noise-"));
const seed = 20261127;
const random = seeded(seed);

interface Served {
  readonly child: ChildProcess;
  readonly pid: number;
  readonly address: string;
  readonly port: number;
  readonly id: string;
  readonly generation: number;
}
let served: Served;
let printed = "";

before(async () => {
  const program = join(import.meta.dirname, "..", "..", "test", "serve-book.ts");
  const child = spawn(process.execPath, [program, join(root, "book")], { stdio: ["ignore", "pipe", "pipe"] });
  let first = "";
  child.stdout.on("data", (part) => {
    if (first.includes("\n")) printed += String(part);
    else first += String(part);
  });
  child.stderr.on("data", (part) => {
    printed += String(part);
  });
  await until(() => first.includes("\n") || child.exitCode !== null, "the server to start", 20_000);
  served = { child, ...(JSON.parse(first) as Omit<Served, "child">) };
});
after(() => {
  served.child.kill("SIGKILL");
  rmSync(root, { recursive: true, force: true });
});

const number = (n: number): readonly number[] => (n < 128 ? [n] : [(n % 128) + 128, ...number(Math.floor(n / 128))]);
const led = (bytes: Uint8Array | readonly number[]): readonly number[] => [...number(bytes.length), ...bytes];
const text = (words: string): readonly number[] => led(Buffer.from(words));
const choir = (): readonly number[] => text(documentName(served, "setup.demo-choir"));
const auth = (): readonly number[] => [...choir(), 2, 0, ...text("token"), ...text("4.0.0")];

function update(): Uint8Array {
  const doc = new Y.Doc();
  doc.getMap("elsewhere").set("noise", "x".repeat(200));
  return Y.encodeStateAsUpdate(doc);
}

const noise = (length: number): number[] => Array.from({ length }, () => Math.floor(random() * 256));

/** Opens a link, sends, and gives the code with which it ends; from here it closes after a moment (1005). */
function end(...frames: readonly (string | Uint8Array | readonly number[])[]): Promise<number> {
  return new Promise((resolve) => {
    const socket = new WebSocket(`${served.address.replace("http", "ws")}/sync`);
    socket.on("open", () => {
      for (const frame of frames) socket.send(typeof frame === "string" ? frame : Uint8Array.from(frame));
      setTimeout(() => socket.close(), 3000).unref();
    });
    socket.on("close", (code) => resolve(code));
    socket.on("error", () => {});
  });
}

/** Sends bytes right after the upgrade, below the level of messages, and hangs up. */
function rawEnd(bytes: readonly number[]): Promise<void> {
  return new Promise((resolve) => {
    const socket = connect(served.port, "127.0.0.1", () => {
      const headers = ["Connection: Upgrade", "Upgrade: websocket", "Sec-WebSocket-Version: 13"];
      const key = `Sec-WebSocket-Key: ${Buffer.from(noise(16)).toString("base64")}`;
      socket.write(`GET /sync HTTP/1.1\r\nHost: 127.0.0.1:${served.port}\r\n${[...headers, key].join("\r\n")}\r\n\r\n`);
    });
    socket.once("data", () => socket.end(Buffer.from(bytes)));
    socket.on("error", () => {});
    socket.on("close", () => resolve());
  });
}

const memoryBytes = (): number =>
  Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${served.pid}/status`, "utf8"))?.[1]) * 1024;

/** No stack, and nothing longer than a line. */
function checkPrinted(most: number): void {
  const lines = printed.split("\n").filter((line) => line !== "");
  assert.ok(lines.length <= most, `${lines.length} lines, at most ${most}:\n${printed.slice(0, 2000)}`);
  for (const line of lines) {
    assert.ok(line.length <= 300, line);
    assert.doesNotMatch(line, /^\s+at |Error\b|node_modules|\.[cm]?[jt]s:\d/, line);
  }
}

async function goesOn(): Promise<void> {
  const client = new LinkClient(served.address, documentName(served, "setup.demo-choir"));
  await client.synced();
  client.edit((setup) => ({ ...setup, title: `Still here ${Math.floor(random() * 1e6)}` }));
  await client.kept();
  client.close();
  assert.equal((await fetch(`${served.address}/api/book`)).status, 200);
}

test("each kind of noise ends its link with the code that says why, and nothing is printed", async () => {
  const deep = text(`${"[".repeat(50_000)}${"]".repeat(50_000)}`);
  const cases: readonly (readonly [string, number, readonly (string | Uint8Array | readonly number[])[]])[] = [
    ["text", 1003, ["text"]],
    ["text after a greeting", 1003, [auth(), "text"]],
    ["nothing", 1007, [[]]],
    ["a name without end", 1007, [[200, 1, 65]]],
    ["a number too large", 1007, [[...choir(), ...Array.from({ length: 12 }, () => 255), 1]]],
    ["a name that is no UTF-8", 1007, [[...led([0xff, 0xfe]), 2, 0, 0]]],
    ["a name with an escape code", 1007, [[...text("\u001b[31m"), 2, 0, 0]]],
    ["a name of 10,000 letters", 1007, [[...text("n".repeat(10_000)), 2, 0, 0]]],
    ["a name alone", 1007, [choir()]],
    ["a type that is not there", 1007, [auth(), [...choir(), 99]]],
    ["a type between servers", 1007, [auth(), [...choir(), 6, ...text("all")]]],
    ["an answer instead of a greeting", 1007, [[...choir(), 2, 2, ...text("read-write")]]],
    ["a second greeting that is none", 1007, [auth(), [...choir(), 2, 1, ...text("no")]]],
    ["more than a message", 1007, [[...auth(), ...noise(5)]]],
    ["a step that is not there", 1007, [auth(), [...choir(), 0, 9, ...led([0])]]],
    ["a state vector cut off", 1007, [auth(), [...choir(), 0, 0, ...led([200, 200, 3])]]],
    ["an awareness that is no JSON", 1007, [auth(), [...choir(), 1, ...led([1, 5, 1, ...text("{")])]]],
    ["an awareness nested 50,000 deep", 1007, [auth(), [...choir(), 1, ...led([1, 5, 1, ...deep])]]],
  ];
  for (const [what, code, frames] of cases) assert.equal(await end(...frames), code, what);
  checkPrinted(0);
  await goesOn();
});

test("an update that does not decode is refused with its reason and one printed line", async () => {
  printed = "";
  for (const step of [1, 2]) {
    for (const payload of [[], noise(50), [...update().subarray(0, 30)]]) {
      assert.equal(await end(auth(), [...choir(), 0, step, ...led(payload)]), 4403, `step ${step}`);
    }
  }
  await until(() => printed.split("\n").length > 6, "the printed lines");
  checkPrinted(6);
});

test(`1,000 links of noise: random bytes, half messages, flipped bits, half frames, text, oversize (seed ${seed})`, async (t) => {
  printed = "";
  await goesOn();
  const startBytes = existsSync("/proc/self/status") ? memoryBytes() : 0;
  const messages = (): readonly (readonly number[])[] => [
    auth(),
    [...choir(), 0, 0, ...led(Y.encodeStateVector(new Y.Doc()))],
    [...choir(), 0, 1, ...led(update())],
    [...choir(), 1, ...led([1, 5, 1, ...text('{"name":"x"}')])],
    [...choir(), 5, ...text("barrier:1")],
  ];
  const half = (bytes: readonly number[]): readonly number[] =>
    bytes.slice(0, 1 + Math.floor(random() * (bytes.length - 1)));
  const flipped = (bytes: readonly number[]): readonly number[] =>
    bytes.map((byte) => (random() < 0.05 ? byte ^ (1 << Math.floor(random() * 8)) : byte));
  const greeted = (): readonly (readonly number[])[] => (random() < 0.7 ? [auth()] : []);
  const kinds: readonly (() => Promise<unknown>)[] = [
    () => endSoon(noise(1 + Math.floor(random() * 200))),
    () => endSoon(...greeted(), half(pick(random, messages()))),
    () => endSoon(...greeted(), flipped(pick(random, messages()))),
    () => endSoon(...greeted(), [...choir(), ...noise(40)]),
    () => endSoon("x".repeat(1 + Math.floor(random() * 1000))),
    // A masked frame of 1,000 bytes of which ten come; a frame with reserved bits; noise for frames.
    () => rawEnd([0x82, 0xfe, 0x03, 0xe8, ...noise(14)]),
    () => rawEnd([0xf2, 0x85, ...noise(9)]),
    () => rawEnd(noise(50)),
  ];
  for (let made = 0; made < 990; made += 30) {
    await Promise.all(Array.from({ length: 30 }, () => pick(random, kinds)()));
  }
  for (let made = 0; made < 10; made++) assert.ok(cutOff.includes(await end(new Uint8Array(34 * 1024 * 1024))));
  assert.equal(served.child.exitCode, null);
  await goesOn();
  checkPrinted(1000);
  const grownBy = startBytes === 0 ? 0 : memoryBytes() - startBytes;
  t.diagnostic(`${printed.split("\n").length - 1} lines printed; memory grew by ${Math.round(grownBy / 1e6)} MB`);
  assert.ok(grownBy < 200e6, `${grownBy} bytes more`);
});

/** Too big; or the line was cut before the code came through, for the client was still sending. */
const cutOff: readonly number[] = [1009, 1006];

/** As `end`, but hangs up right after sending. */
function endSoon(...frames: readonly (string | readonly number[])[]): Promise<void> {
  return new Promise((resolve) => {
    const socket = new WebSocket(`${served.address.replace("http", "ws")}/sync`);
    socket.on("open", () => {
      for (const frame of frames) socket.send(typeof frame === "string" ? frame : Uint8Array.from(frame));
      setTimeout(() => socket.close(), 20);
    });
    socket.on("close", () => resolve());
    socket.on("error", () => {});
  });
}

test("messages as a page writes them have the form of messages, and cut short anywhere they have not", () => {
  const vector = Y.encodeStateVector(new Y.Doc());
  const whole: readonly (readonly number[])[] = [
    auth(),
    [...text(`${documentName(served, "kit")}\u0000session`), 2, 0, ...text("")],
    [...choir(), 0, 0, ...led(vector)],
    [...choir(), 4, 2, ...led(update())],
    [...choir(), 1, ...led([1, 5, 1, ...text("null")])],
    [...choir(), 3],
    [...choir(), 7],
    [...choir(), 5, ...text("barrier:12")],
  ];
  for (const bytes of whole) {
    assert.equal(isMessage(Uint8Array.from(bytes)), true);
    for (let length = 0; length < bytes.length; length++) {
      // The greeting's last text, the version, may be missing.
      const mayEnd = bytes[bytes.length - 6] === 5 && length === bytes.length - 6;
      assert.equal(isMessage(Uint8Array.from(bytes.slice(0, length))), mayEnd, `${bytes.join()} cut to ${length}`);
    }
  }
});
