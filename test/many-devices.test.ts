/**
 * Twenty devices edit one setup through a real server, on real sockets, over TLS for some of them, leaving the
 * network and coming back at random. Everything random but the network's own timing comes from the seed.
 */

import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { documentName, type RunningServer, startServer } from "../src/server/index.ts";
import { applyEdits, parseSetup } from "../src/setup/index.ts";
import { setupName } from "../src/store/index.ts";
import { writeSetup } from "../src/sync/index.ts";
import { expectOk } from "../src/units/index.ts";
import { counts } from "./counts.ts";
import { LinkClient, until } from "./link-client.ts";
import { letIn, Visitor } from "./network-visitor.ts";
import { type Dice, randomEdit } from "./random-edits.ts";
import { sampleSetup, seeded } from "./sample-book.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-many-"));
after(() => rmSync(root, { recursive: true, force: true }));

const devices = 20;
/** Of them over the network side. */
const remote = 5;
const lan = "127.0.0.2";
const rounds = counts(1, 10);
const editsARound = counts(400, 10_000);

/** What must be there at the end. */
interface Account {
  readonly readings: Set<string>;
  readonly lights: Set<string>;
  readonly removed: Set<string>;
  readonly titles: Set<string>;
}

function editOnce(client: LinkClient, dice: Dice, account: Account): boolean {
  const setup = client.setup();
  const edit = randomEdit(dice, setup);
  const edited = applyEdits(setup, [edit]);
  if (!edited.ok) return false;
  writeSetup(client.doc, setup, edited.value, client);
  if (edit.kind === "add-reading") account.readings.add(edit.reading.id);
  if (edit.kind === "add-light") account.lights.add(edit.light.id);
  if (edit.kind === "remove-light") account.removed.add(edit.id);
  if (edit.kind === "setup" && edit.set.title !== undefined) account.titles.add(edit.set.title);
  return true;
}

/** Edits until its share is made; now and then it waits until all is kept, or leaves the network for a while. */
async function work(
  client: LinkClient,
  random: () => number,
  dice: Dice,
  account: Account,
  share: number,
): Promise<void> {
  for (let made = 0; made < share; ) {
    for (let i = 1 + Math.floor(random() * 20); i > 0 && made < share; i--)
      if (editOnce(client, dice, account)) made += 1;
    const roll = random();
    if (roll < 0.1 && client.isSynced) {
      await client.part();
      await pause(random() * 50);
      for (let i = 0; i < 5 && made < share; i++) if (editOnce(client, dice, account)) made += 1;
      client.join();
      await Promise.race([client.synced(), pause(1000)]);
    } else if (client.isSynced) await Promise.race([client.kept(), client.closed(), pause(1000)]);
  }
}

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Until the server has said that everything of this device is on its disc, however often the line is cut before. */
async function allKept(client: LinkClient): Promise<void> {
  for (let said = false; !said; ) {
    await Promise.race([client.synced(), pause(1000)]);
    const kept = client.kept().then(() => {
      said = true;
    });
    await Promise.race([kept, pause(3000)]);
    assert.ok(
      client.closings.every(({ code }) => code !== 4403),
      JSON.stringify(client.closings),
    );
  }
}

async function connectAll(server: RunningServer, id: string): Promise<readonly LinkClient[]> {
  const clients: LinkClient[] = [];
  for (let i = 0; i < devices; i++) {
    if (i >= remote) {
      clients.push(new LinkClient(server.address, documentName(server.store.identity, setupName(id))));
      continue;
    }
    const visitor = new Visitor(server, lan);
    await letIn(server, visitor, "edit", `device ${i}`);
    clients.push(visitor.link(server, setupName(id)));
  }
  await Promise.all(clients.map((client) => client.synced()));
  return clients;
}

for (let round = 0; round < rounds; round++) {
  const seed = 20261126 + round;
  test(`${devices} devices, ${editsARound} random edits through the server, parted and back: all agree, nothing lost (seed ${seed})`, async (t) => {
    const server = expectOk(
      await startServer({
        ...{ dataDir: join(root, `book-${round}`), port: 0, webDir: join(root, "none"), seedDemo: false },
        ...{ now: () => new Date(), newId: () => `m${Math.floor(performance.now() * 1000)}` },
        network: { port: 0, addresses: () => [lan], mdnsPort: null },
      }),
    );
    t.after(() => server.close());
    expectOk(await server.network.switchOn("secure"));
    const random = seeded(seed);
    const setup = expectOk(parseSetup({ ...sampleSetup(random, "shared"), readings: [] }));
    expectOk(server.store.addSetups([setup]));
    const clients = await connectAll(server, "shared");
    t.after(() => {
      for (const client of clients) client.close();
    });
    const account: Account = {
      ...{ readings: new Set(), removed: new Set() },
      ...{ lights: new Set(setup.lights.map((light) => light.id)), titles: new Set([setup.title]) },
    };
    const dice: Dice = { random, made: 0 };
    await Promise.all(
      clients.map((client, i) => work(client, seeded(seed * 100 + i), dice, account, editsARound / devices)),
    );
    await Promise.all(clients.map(allKept));
    const stored = (): string => JSON.stringify(expectOk(server.store.setup("shared")));
    await until(() => clients.every((client) => JSON.stringify(client.setup()) === stored()), "all to agree", 60_000);
    const end = expectOk(server.store.setup("shared"));
    const kept = new Set(end.readings.map((reading) => reading.id));
    assert.deepEqual(
      [...account.readings].filter((id) => !kept.has(id)),
      [],
      "readings lost",
    );
    const [first] = clients as [LinkClient];
    const there = first.doc.getMap("lights");
    const lost = [...account.lights].filter((id) => !account.removed.has(id) && !there.has(id));
    assert.deepEqual(lost, [], "lights lost that nobody removed");
    assert.ok(account.titles.has(end.title), "a register holds one of the values written");
  });
}
