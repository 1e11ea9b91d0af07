/**
 * Full, read-only and torn, on a real file system of a few megabytes (tmpfs), which takes the right to mount; without
 * it these are skipped in so many words. What is cut off inside a file is tested everywhere.
 */

import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, type TestContext, test } from "node:test";
import { documentName, type RunningServer, startServer } from "../src/server/index.ts";
import { applyEdits } from "../src/setup/index.ts";
import { expectOk, type Result } from "../src/units/index.ts";
import { LinkClient, until } from "./link-client.ts";
import { letIn, Visitor } from "./network-visitor.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-discs-"));
const mounted = new Set<string>();
after(() => {
  for (const dir of mounted) spawnSync("umount", [dir]);
  rmSync(root, { recursive: true, force: true });
});

/** A file system of its own, or null where mounting is not allowed. */
function smallDisc(megabytes: number): string | null {
  const dir = mkdtempSync(join(root, "disc-"));
  const done = spawnSync("mount", ["-t", "tmpfs", "-o", `size=${megabytes}m`, "tmpfs", dir]);
  if (done.status !== 0) return null;
  mounted.add(dir);
  return dir;
}

const remount = (dir: string, how: string): void =>
  assert.equal(spawnSync("mount", ["-o", `remount,${how}`, dir]).status, 0, how);
const noRight = "mounting a small file system is not allowed here";

const begin = (dataDir: string): Promise<Result<RunningServer>> =>
  startServer({
    ...{ dataDir, port: 0, webDir: join(root, "none"), seedDemo: true },
    ...{ now: () => new Date(), newId: () => `d${Math.floor(performance.now() * 1000)}` },
    network: { port: 0, addresses: () => ["127.0.0.2"], mdnsPort: null },
  });

const codeOf = (result: Result<unknown>): string => (result.ok ? "ok" : (result.faults[0]?.code ?? ""));
const notes = (client: LinkClient, text: string): void =>
  client.edit((setup) => expectOk(applyEdits(setup, [{ kind: "setup", set: { notes: text } }])));

async function open(t: TestContext, dataDir: string): Promise<readonly [RunningServer, LinkClient]> {
  const server = expectOk(await begin(dataDir));
  t.after(() => server.close());
  const client = new LinkClient(server.address, documentName(server.store.identity, "setup.demo-choir"));
  t.after(() => client.close());
  await client.synced();
  return [server, client];
}

test("a disc that fills up under edits: said, nothing acknowledged is lost, and it goes on when there is room", async (t) => {
  const dir = smallDisc(5);
  if (dir === null) return t.skip(noRight);
  const [server, client] = await open(t, dir);
  let kept = "";
  for (let i = 0; i < 400 && client.closings.length === 0; i++) {
    const text = `${i} ${"word ".repeat(1900)}`;
    notes(client, text);
    const answered = await Promise.race([client.kept().then(() => true), client.closed().then(() => false)]);
    if (answered) kept = text;
  }
  assert.match((await client.closedWith(1011)).reason, /^not-kept: The disc is full/);
  assert.equal(expectOk(server.store.setup("demo-choir")).notes, kept, "what was acknowledged");
  assert.equal(codeOf(await server.network.switchOn("secure")), "disc-full", "no half certificate");
  remount(dir, "size=40m");
  await until(() => client.isSynced, "the link to be back");
  notes(client, "with room again");
  await client.kept();
  assert.equal(expectOk(server.store.setup("demo-choir")).notes, "with room again");
  assert.equal(codeOf(await server.network.switchOn("secure")), "ok");
  return undefined;
});

test("a disc too full to begin a book leaves words, and a clean start when there is room", async (t) => {
  const dir = smallDisc(1);
  if (dir === null) return t.skip(noRight);
  writeFileSync(join(dir, "other"), Buffer.alloc(900_000));
  assert.equal(codeOf(await begin(dir)), "disc-full");
  remount(dir, "size=20m");
  const server = expectOk(await begin(dir));
  assert.ok(expectOk(server.store.cards({})).total > 0);
  await server.close();
  return undefined;
});

test("a read-only disc is said at the start, and the next start after it can be written is clean", async (t) => {
  const dir = smallDisc(40);
  if (dir === null) return t.skip(noRight);
  const first = expectOk(await begin(dir));
  await first.close();
  remount(dir, "ro");
  assert.equal(codeOf(await begin(dir)), "disc-read-only");
  remount(dir, "rw");
  const again = expectOk(await begin(dir));
  assert.ok(expectOk(again.store.cards({})).total > 0);
  await again.close();
  return undefined;
});

test("a book cut off in the middle is refused in words, and stays as it is", async () => {
  const dir = mkdtempSync(join(root, "torn-"));
  await expectOk(await begin(dir)).close();
  const file = join(dir, "book.sqlite");
  const whole = statSync(file).size;
  for (const size of [100, 5000, Math.floor(whole / 2)]) {
    truncateSync(file, size);
    const opened = await begin(dir);
    if (opened.ok) await opened.value.close();
    assert.ok(["book-damaged", "not-a-book"].includes(codeOf(opened)), `${size} bytes: ${codeOf(opened)}`);
    assert.equal(statSync(file).size, size, "not written over");
  }
});

test("a list of devices that is torn or of a newer version is said, and lets nobody in", async () => {
  const dir = mkdtempSync(join(root, "list-"));
  const server = expectOk(await begin(dir));
  expectOk(await server.network.switchOn("secure"));
  await letIn(server, new Visitor(server, "127.0.0.2"), "edit");
  await server.close();
  if (process.platform !== "win32") assert.equal(statSync(join(dir, "devices.sqlite")).mode & 0o777, 0o600);
  const file = join(dir, "devices.sqlite");
  writeFileSync(file, Buffer.alloc(9000, 7));
  for (const name of readdirSync(dir)) if (/^devices\.sqlite-/.test(name)) rmSync(join(dir, name));
  assert.equal(codeOf(await begin(dir)), "not-devices");
  rmSync(file);
  const fresh = expectOk(await begin(dir));
  assert.deepEqual(await (await fetch(`${fresh.address}/api/devices`)).json(), { devices: [] });
  await fresh.close();
  const { DatabaseSync } = await import("node:sqlite");
  const db = new DatabaseSync(file);
  db.exec("PRAGMA user_version = 99");
  db.close();
  assert.equal(codeOf(await begin(dir)), "book-too-new");
});
