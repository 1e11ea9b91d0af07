import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import * as Y from "yjs";
import { LinkClient, until } from "../../../test/link-client.ts";
import { letIn, Visitor } from "../../../test/network-visitor.ts";
import { sampleReading, seeded } from "../../../test/sample-book.ts";
import { applyEdits, type Edit, type Setup } from "../../setup/index.ts";
import { createSolver } from "../../solve/index.ts";
import { setupUndo } from "../../sync/index.ts";
import { expectOk } from "../../units/index.ts";
import { readingEdits } from "../../web/screens/meter/meter-logic.ts";
import { documentName, type RunningServer, startServer } from "../index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-rights-"));
const lan = "127.0.0.2";
let made = 0;
let server: RunningServer;
before(async () => {
  server = expectOk(
    await startServer({
      ...{ dataDir: join(root, "book"), port: 0, webDir: join(root, "none"), seedDemo: true },
      ...{ now: () => new Date(), newId: () => `r${made++}` },
      network: { port: 0, addresses: () => [lan], mdnsPort: null },
    }),
  );
  expectOk(await server.network.switchOn("secure"));
});
after(async () => {
  await server.close();
  rmSync(root, { recursive: true, force: true });
});

const device = async (permission: "look" | "meter" | "edit", name?: string): Promise<[Visitor, string]> => {
  const visitor = new Visitor(server, lan);
  return [visitor, await letIn(server, visitor, permission, name)];
};
const stored = (): Setup => expectOk(server.store.setup("demo-choir"));
const with_ = (client: LinkClient, ...edits: readonly Edit[]): void =>
  client.edit((setup) => expectOk(applyEdits(setup, edits)));
const reading = (id: string): Edit => ({
  kind: "add-reading",
  reading: sampleReading(seeded(made++), id, stored().lights[0]?.id ?? "", "2026-11-05T10:00:00Z"),
});
const firstLight = (): string => stored().lights[0]?.id ?? "";

test("a device that may look reads the setup and every change; nothing of its own edits is kept", async (t) => {
  const [visitor] = await device("look");
  const client = visitor.link(server, "setup.demo-choir");
  t.after(() => client.close());
  await client.synced();
  assert.deepEqual(client.setup(), stored());
  await client.kept();
  const before = stored();
  with_(client, reading("looked"));
  assert.match((await client.closedWith(4403)).reason, /^not-allowed: /);
  assert.deepEqual(stored(), before);
  const offline = visitor.link(server, "setup.demo-choir", client.doc);
  t.after(() => offline.close());
  assert.match((await offline.closedWith(4403)).reason, /^not-allowed: /, "nor when it comes back with them");
  assert.deepEqual(stored(), before);
});

test("a device that may meter adds readings, turns dials, accepts, and takes them back", async (t) => {
  const [visitor] = await device("meter");
  const client = visitor.link(server, "setup.demo-choir");
  t.after(() => client.close());
  await client.synced();
  with_(client, reading("metered"), { kind: "light", id: firstLight(), set: { dialStops: -1.7, accepted: false } });
  await client.kept();
  assert.equal(stored().lights[0]?.dialStops, -1.7);
  with_(client, { kind: "light", id: firstLight(), set: { accepted: true } });
  with_(client, { kind: "undo-reading", id: "metered", undone: true });
  await client.kept();
  assert.equal(stored().readings.find((one) => one.id === "metered")?.undone, true);
  const undo = setupUndo(client.doc, client);
  with_(client, { kind: "light", id: firstLight(), set: { dialStops: -2.2 } });
  undo.undo();
  await client.kept();
  assert.equal(stored().lights[0]?.dialStops, -1.7);
});

test("what the page's Meter writes for two taps is kept from a device that may meter", async (t) => {
  const [visitor] = await device("meter");
  const client = visitor.link(server, "setup.demo-choir");
  t.after(() => client.close());
  await client.synced();
  const report = createSolver().report(client.setup());
  for (const one of report.lights) {
    const tapped = {
      id: `tapped-${one.lightId}`,
      at: "2026-11-05T10:00:00Z",
      device: "phone",
      typed: "4.0^3",
      iso: 100,
    };
    const edits = expectOk(readingEdits(client.setup(), one, { ...tapped, av: 4.3 }));
    assert.ok(edits.length > 1, "more than the reading: what it teaches");
    with_(client, ...edits);
    await client.kept();
  }
  assert.equal(stored().readings.filter(({ id }) => id.startsWith("tapped-")).length, report.lights.length);
  assert.deepEqual(stored(), client.setup());
});

test("a device that may meter changes nothing else: no plan, no light, no kit, nothing this version does not know", async () => {
  const [visitor] = await device("meter");
  const before = stored();
  const light = firstLight();
  const wrong: readonly (readonly [string, (client: LinkClient) => void])[] = [
    ["a title", (client) => with_(client, { kind: "setup", set: { title: "mine" } })],
    ["the working aperture", (client) => with_(client, { kind: "exposure", set: { apertureAv: 2 } } as Edit)],
    ["a target", (client) => with_(client, { kind: "light", id: light, set: { target: { kind: "under", stops: 9 } } })],
    [
      "a light's place",
      (client) =>
        with_(client, {
          kind: "light",
          id: light,
          set: { place: { kind: "polar", azimuthDeg: 10, distanceM: 2, heightM: 1.5 } },
        }),
    ],
    ["a light less", (client) => with_(client, { kind: "remove-light", id: light })],
    [
      "a dial together with a title",
      (client) =>
        with_(client, { kind: "light", id: light, set: { dialStops: -3 } }, { kind: "setup", set: { title: "both" } }),
    ],
    [
      "a field of another version",
      (client) => void (client.doc.getMap("lights").get(light) as Y.Map<unknown>).set("later", 1),
    ],
    ["a map of another version", (client) => void client.doc.getMap("later").set("x", 1)],
    [
      "a list where a map belongs",
      (client) =>
        client.doc.transact(() => {
          const other = new Y.Doc();
          other.getArray("readings").push([1]);
          Y.applyUpdate(client.doc, Y.encodeStateAsUpdate(other), "mine");
        }),
    ],
  ];
  for (const [what, change] of wrong) {
    const client = visitor.link(server, "setup.demo-choir");
    await client.synced();
    change(client);
    assert.match((await client.closedWith(4403)).reason, /^(not-allowed|bad-update): /, what);
    client.close();
    assert.deepEqual(stored(), before, what);
  }
  const kit = visitor.link(server, "kit");
  await kit.synced();
  kit.doc.getMap("kit").set("name", "mine");
  assert.match((await kit.closedWith(4403)).reason, /^not-allowed: /);
  kit.close();
});

test("a permission taken away holds from the next edit on, on links that are open", async (t) => {
  const [visitor, id] = await device("edit");
  const client = visitor.link(server, "setup.demo-choir");
  t.after(() => client.close());
  await client.synced();
  with_(client, { kind: "setup", set: { title: "While it may" } });
  await client.kept();
  assert.equal(stored().title, "While it may");
  const changed = await fetch(`${server.address}/api/devices/${id}`, {
    method: "PATCH",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ permission: "look" }),
  });
  assert.equal(changed.status, 200);
  with_(client, { kind: "setup", set: { title: "No longer" } });
  assert.match((await client.closedWith(4403)).reason, /^not-allowed: /);
  assert.equal(stored().title, "While it may");
});

interface Present {
  readonly id: string;
  readonly name: string;
  readonly lightId: string | null;
}
const presentOf = (client: LinkClient): readonly Present[] => {
  const last = client.heard.filter((text) => text.startsWith("presence:")).at(-1);
  return last === undefined ? [] : (JSON.parse(last.slice("presence:".length)) as readonly Present[]);
};

test("who meters which light is told to all, under the name that each was let in with", async (t) => {
  const [visitor, id] = await device("meter", "phone at the boom");
  const here = new LinkClient(server.address, documentName(server.store.identity, "setup.demo-vase"));
  const phone = visitor.link(server, "setup.demo-vase");
  t.after(() => here.close());
  await Promise.all([here.synced(), phone.synced()]);
  phone.stateless("metering:light-e");
  const expected = [
    { id: "here", name: "the computer", lightId: null },
    { id, name: "phone at the boom", lightId: "light-e" },
  ].sort((a, b) => (a.id < b.id ? -1 : 1));
  await until(() => JSON.stringify(presentOf(here)) === JSON.stringify(expected), "the phone's light");
  await until(() => JSON.stringify(presentOf(phone)) === JSON.stringify(expected), "the same on the phone");
  phone.stateless("metering:<script>");
  phone.stateless("metering:");
  await until(() => presentOf(here).every((one) => one.lightId === null), "no light");
  phone.close();
  await until(() => presentOf(here).length === 1, "the phone to be gone");
  assert.equal(presentOf(here)[0]?.id, "here");
});
