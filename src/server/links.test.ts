import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import WebSocket from "ws";
import * as Y from "yjs";
import { LinkClient, until } from "../../test/link-client.ts";
import { sampleReading, seeded } from "../../test/sample-book.ts";
import { applyEdits, demoSetups, type Edit, type Setup } from "../setup/index.ts";
import { expectOk } from "../units/index.ts";
import { documentName, type RunningServer, startServer } from "./index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-links-"));
after(() => rmSync(root, { recursive: true, force: true }));

let made = 0;
const newId = (): string => `n${made++}-${Math.floor(performance.now() * 1000)}`;
const newDir = (): string => join(root, `book-${made++}`);
const begin = async (dataDir: string = newDir(), port = 0): Promise<RunningServer> =>
  expectOk(
    await startServer({ dataDir, port, webDir: join(root, "none"), seedDemo: true, now: () => new Date(), newId }),
  );
const nameOf = (server: RunningServer, id: string): string => documentName(server.store.identity, `setup.${id}`);
const edits =
  (...list: readonly Edit[]) =>
  (setup: Setup): Setup =>
    expectOk(applyEdits(setup, list));
const retitle = (title: string): ((setup: Setup) => Setup) => edits({ kind: "setup", set: { title } });

test("two devices on one setup see each other's edits within a second", async () => {
  const server = await begin();
  const [a, b] = [
    new LinkClient(server.address, nameOf(server, "demo-choir")),
    new LinkClient(server.address, nameOf(server, "demo-choir")),
  ];
  await Promise.all([a.synced(), b.synced()]);
  assert.deepEqual(
    a.setup(),
    demoSetups().find((setup) => setup.id === "demo-choir"),
  );
  const start = performance.now();
  a.edit(retitle("Seen"));
  await until(() => b.setup().title === "Seen", "the other device's edit");
  assert.ok(performance.now() - start < 1000);
  a.close();
  b.close();
  await server.close();
});

test("when the barrier comes back, the edit is in the file that another reader opens", async () => {
  const dir = newDir();
  const server = await begin(dir);
  const client = new LinkClient(server.address, nameOf(server, "demo-vase"));
  await client.synced();
  for (let i = 0; i < 25; i++) {
    client.edit(retitle(`kept ${i}`));
    await client.kept();
    assert.equal(expectOk(server.store.setup("demo-vase")).title, `kept ${i}`);
  }
  const cards = expectOk(server.store.cards({ text: "kept 24" }));
  assert.deepEqual(
    cards.cards.map((card) => card.id),
    ["demo-vase"],
  );
  client.close();
  await server.close();
  const again = await begin(dir);
  assert.equal(expectOk(again.store.setup("demo-vase")).title, "kept 24");
  await again.close();
});

test("an edit made while the server was gone arrives when it is back", async () => {
  const dir = newDir();
  const server = await begin(dir);
  const client = new LinkClient(server.address, nameOf(server, "demo-choir"));
  await client.synced();
  const gone = client.closed();
  await server.close();
  await gone;
  client.edit(retitle("Made alone"));
  const back = await begin(dir, server.port);
  await client.synced();
  await client.kept();
  assert.equal(expectOk(back.store.setup("demo-choir")).title, "Made alone");
  client.close();
  await back.close();
});

test("an older backup restored under a connected device: it is told, and does not write the future back", async () => {
  const server = await begin();
  const client = new LinkClient(server.address, nameOf(server, "demo-choir"));
  await client.synced();
  const backup = Buffer.from(await (await fetch(`${server.address}/api/backup`)).arrayBuffer());
  client.edit(retitle("The future"));
  await client.kept();
  const response = await fetch(`${server.address}/api/restore`, {
    method: "POST",
    headers: { "content-type": "application/octet-stream" },
    body: backup,
  });
  assert.equal(response.status, 200, await response.clone().text());
  client.edit(retitle("A later future"));
  assert.match((await client.closedWith(4403)).reason, /^restored: /);
  const late = new LinkClient(server.address, nameOf(server, "demo-choir").replace(/\.\d+\./, ".1."), client.doc);
  assert.match((await late.closedWith(4403)).reason, /^restored: /);
  assert.match(late.denied, /^restored: /);
  assert.equal(
    expectOk(server.store.setup("demo-choir")).title,
    demoSetups().find((s) => s.id === "demo-choir")?.title,
  );
  const copy = await fetch(`${server.address}/api/setups`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ ...client.setup(), id: "the-copy" }),
  });
  assert.equal(copy.status, 201);
  assert.equal(expectOk(server.store.setup("the-copy")).title, "A later future");
  client.close();
  late.close();
  await server.close();
});

test("another data directory on the same port never takes the first one's edits", async () => {
  const first = await begin();
  const client = new LinkClient(first.address, nameOf(first, "demo-choir"));
  await client.synced();
  const gone = client.closed();
  await first.close();
  await gone;
  client.edit(retitle("For the first book"));
  const second = await begin(newDir(), first.port);
  assert.match((await client.closedWith(4403)).reason, /^other-book: /);
  assert.notEqual(expectOk(second.store.setup("demo-choir")).title, "For the first book");
  client.close();
  await second.close();
});

test("names that are no document of this book are refused with their reason", async () => {
  const server = await begin();
  const { id, generation } = server.store.identity;
  const cases: readonly (readonly [string, RegExp])[] = [
    ["", /^bad-name: /],
    ["kit", /^bad-name: /],
    [`${id}.${generation}.setup.`, /^bad-name: /],
    [`${id}.${generation}.setup.../../etc`, /^bad-name: /],
    [`${id}.x.kit`, /^bad-name: /],
    [`${id}.${generation}.setup.nobody`, /^no-setup: /],
    [`${id}.${generation + 1}.kit`, /^restored: /],
    [`other.${generation}.kit`, /^other-book: /],
  ];
  for (const [name, reason] of cases) {
    const client = new LinkClient(server.address, name);
    assert.match((await client.closedWith(4403)).reason, reason, name);
    client.close();
  }
  await server.close();
});

test("deleting a setup ends its links and refuses new ones until it is taken out of the trash", async () => {
  const server = await begin();
  const client = new LinkClient(server.address, nameOf(server, "demo-vase"));
  await client.synced();
  await fetch(`${server.address}/api/setups/demo-vase`, { method: "DELETE" });
  assert.match((await client.closedWith(4403)).reason, /^deleted: /);
  assert.equal((await fetch(`${server.address}/api/setups/demo-vase`)).status, 410);
  await fetch(`${server.address}/api/setups/demo-vase/restore`, { method: "POST" });
  const again = new LinkClient(server.address, nameOf(server, "demo-vase"));
  await again.synced();
  client.close();
  again.close();
  await server.close();
});

test("updates that take back a reading or leave no readable setup are refused, and nothing of them is kept", async () => {
  const server = await begin();
  const name = nameOf(server, "demo-choir");
  const before = expectOk(server.store.setup("demo-choir"));
  const attacks: readonly ((doc: Y.Doc) => void)[] = [
    (doc) => doc.getMap("readings").delete([...doc.getMap("readings").keys()][0] ?? ""),
    (doc) => doc.getMap("exposure").set("apertureAv", "wide"),
    (doc) => doc.getMap("setup").set("version", 99),
    (doc) => doc.getMap("lights").set("odd", "not a light"),
    (doc) => void doc.getMap("lights").set("odd", new Y.Map([["tag", "X"]])),
    (doc) => doc.getMap("setup").set("title", "x".repeat(100_000)),
  ];
  for (const [i, attack] of attacks.entries()) {
    const client = new LinkClient(server.address, name);
    await client.synced();
    if (i === 3) {
      attack(client.doc);
      await client.kept();
    } else {
      attack(client.doc);
      assert.match((await client.closedWith(4403)).reason, /^bad-update: /, `attack ${i}`);
    }
    client.close();
  }
  assert.deepEqual(expectOk(server.store.setup("demo-choir")), before);
  const honest = new LinkClient(server.address, name);
  await honest.synced();
  honest.edit(
    edits({
      kind: "add-reading",
      reading: sampleReading(seeded(1), "fresh", before.lights[0]?.id ?? "", "2026-11-05T10:00:00Z"),
    }),
  );
  await honest.kept();
  assert.ok(expectOk(server.store.setup("demo-choir")).readings.some((reading) => reading.id === "fresh"));
  honest.close();
  await server.close();
});

test("a full disc: the device is told that the edit is not kept, and it arrives when there is room again", async () => {
  const server = await begin();
  const client = new LinkClient(server.address, nameOf(server, "demo-choir"));
  await client.synced();
  server.store.limitPages(0);
  client.edit(edits({ kind: "setup", set: { notes: "long ".repeat(3000) } }));
  for (let i = 0; i < 40 && client.closings.length === 0; i++) {
    client.edit(edits({ kind: "setup", set: { notes: `${i} `.repeat(5000) } }));
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  assert.match((await client.closedWith(1011)).reason, /^not-kept: The disc is full/);
  server.store.limitPages(1_000_000);
  client.edit(retitle("With room again"));
  await until(() => client.isSynced, "the link to be back");
  await client.kept();
  assert.equal(expectOk(server.store.setup("demo-choir")).title, "With room again");
  client.close();
  await server.close();
});

test("only barrier:N is answered, and only to the one who asked", async () => {
  const server = await begin();
  const client = new LinkClient(server.address, nameOf(server, "demo-choir"));
  await client.synced();
  let answered = false;
  const other = new LinkClient(server.address, nameOf(server, "demo-choir"));
  await other.synced();
  void other.kept().then(() => {
    answered = true;
  });
  for (const odd of ["barrier:", "barrier:-1", "barrier:1e3", "barrier:1234567890123456", "hello", "barrier:1\n"])
    client.stateless(odd);
  await client.kept();
  await until(() => answered, "the other one's own barrier");
  client.close();
  other.close();
  await server.close();
});

const handshake = (server: RunningServer, path: string, headers: Record<string, string>): Promise<number> =>
  new Promise((resolve) => {
    const socket = new WebSocket(`${server.address.replace("http", "ws")}${path}`, { headers });
    socket.on("open", () => {
      resolve(101);
      socket.close();
    });
    socket.on("unexpected-response", (_request, response) => resolve(response.statusCode ?? 0));
    socket.on("error", () => {});
  });

test("an upgrade from another page, under another name or to another path is refused", async () => {
  const server = await begin();
  const port = String(server.port);
  assert.equal(await handshake(server, "/sync", { origin: server.address }), 101);
  assert.equal(await handshake(server, "/sync", {}), 101);
  for (const origin of [
    "http://example.test",
    "null",
    `http://localhost:${port}`,
    `https://127.0.0.1:${port}`,
    `http://127.0.0.1:${Number(port) + 1}`,
    `${server.address}.example.test`,
  ]) {
    assert.equal(await handshake(server, "/sync", { origin }), 403, origin);
  }
  for (const host of [`localhost:${port}`, "127.0.0.1", `rebound.test:${port}`, `127.0.0.1:${port}.test`]) {
    assert.equal(await handshake(server, "/sync", { host }), 403, host);
  }
  assert.equal(await handshake(server, "/other", {}), 404);
  await server.close();
});

test("bytes that are no message, a message that is too big and text are cut off, and the server goes on", async () => {
  const server = await begin();
  const random = seeded(77);
  const end = (send: (socket: WebSocket) => void): Promise<number> =>
    new Promise((resolve) => {
      const socket = new WebSocket(`${server.address.replace("http", "ws")}/sync`);
      socket.on("open", () => send(socket));
      socket.on("close", (code) => resolve(code));
      socket.on("error", () => {});
    });
  assert.equal(await end((socket) => socket.send("text")), 1003);
  // 1006 when the line is cut while the client still sends, before the code comes through.
  assert.ok([1009, 1006].includes(await end((socket) => socket.send(Buffer.alloc(34 * 1024 * 1024)))));
  for (let i = 0; i < 50; i++) {
    const bytes = Buffer.from(Array.from({ length: 1 + Math.floor(random() * 60) }, () => Math.floor(random() * 256)));
    const socket = new WebSocket(`${server.address.replace("http", "ws")}/sync`);
    await new Promise((resolve) => socket.on("open", resolve));
    socket.send(bytes);
    socket.close();
  }
  assert.equal((await fetch(`${server.address}/api/book`)).status, 200);
  await server.close();
});
