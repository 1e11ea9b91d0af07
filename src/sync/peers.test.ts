import assert from "node:assert/strict";
import { test } from "node:test";
import * as Y from "yjs";
import { counts } from "../../test/counts.ts";
import { noses, randomEdit } from "../../test/random-edits.ts";
import { pick, sampleSetup, seeded } from "../../test/sample-book.ts";
import { applyEdits, parseSetup, type Setup } from "../setup/index.ts";
import { expectOk } from "../units/index.ts";
import { docToSetup, setupToDoc, setupUndo, writeSetup } from "./index.ts";

/**
 * Several devices that edit one setup over a network that delays, reorders and parts. Everything random
 * comes from the seed, except Yjs's own client ids, which are set from it too.
 */

const runs = counts(6, 60);
const steps = counts(150, 600);

interface Peer {
  readonly doc: Y.Doc;
  readonly undo: ReturnType<typeof setupUndo>;
  readonly origin: object;
  /** Updates on their way to this peer. */
  readonly inbox: Uint8Array[];
  cut: boolean;
}

interface World {
  readonly random: () => number;
  readonly peers: readonly Peer[];
  readonly readings: Set<string>;
  /** Lights that were ever there, and those of them that somebody took out or whose adding was taken back. */
  readonly lights: Set<string>;
  readonly removed: Set<string>;
  /** Every value ever written, by light and field. */
  readonly written: Map<string, Set<string>>;
  made: number;
  /** Edits written so far. */
  edits: number;
}

function begin(seed: number, count: number): World {
  const random = seeded(seed);
  const setup = expectOk(parseSetup({ ...sampleSetup(random, "shared"), readings: [] }));
  const first = new Y.Doc();
  first.clientID = seed * 100 + 99;
  setupToDoc(first, setup);
  const start = Y.encodeStateAsUpdate(first);
  const peers = Array.from({ length: count }, (_, i): Peer => {
    const doc = new Y.Doc();
    doc.clientID = seed * 100 + i + 1;
    Y.applyUpdate(doc, start);
    const origin = {};
    return { doc, undo: setupUndo(doc, origin), origin, inbox: [], cut: false };
  });
  for (const peer of peers) {
    peer.doc.on("update", (update: Uint8Array, origin: unknown) => {
      if (origin !== "network") for (const other of peers) if (other !== peer) other.inbox.push(update);
    });
  }
  const world: World = {
    random,
    peers,
    readings: new Set(),
    lights: new Set(),
    removed: new Set(),
    written: new Map(),
    made: 0,
    edits: 0,
  };
  for (const light of setup.lights) note(world, light.id, light);
  for (const light of setup.lights) world.lights.add(light.id);
  return world;
}

function note(world: World, id: string, fields: object): void {
  for (const [key, value] of Object.entries(fields)) {
    const name = `${id} ${key}`;
    const values = world.written.get(name) ?? new Set();
    world.written.set(name, values.add(JSON.stringify(value)));
  }
}

function step(world: World): void {
  const { random, peers } = world;
  const peer = pick(random, peers);
  // An update that overtook another deletes before it inserts: no whole document until the other arrives.
  // A link keeps the order, so nobody ever looks at such a document.
  if (isWaiting(peer.doc)) {
    deliver(world, peer);
    return;
  }
  const setup = expectOk(docToSetup(peer.doc));
  const roll = random();
  if (roll < 0.08) peer.cut = !peer.cut;
  else if (roll < 0.15) {
    pick(random, [() => peer.undo.undo(), () => peer.undo.redo()])();
    // Taking back the adding of a light takes it out, as its removal does.
    for (const light of setup.lights) if (!peer.doc.getMap("lights").has(light.id)) world.removed.add(light.id);
  } else if (roll < 0.6) {
    const edit = randomEdit(world, setup);
    const edited = applyEdits(setup, [edit]);
    if (!edited.ok) return;
    if (edit.kind === "add-reading") world.readings.add(edit.reading.id);
    if (edit.kind === "add-light") note(world, edit.light.id, edit.light);
    if (edit.kind === "add-light") world.lights.add(edit.light.id);
    if (edit.kind === "remove-light") world.removed.add(edit.id);
    if (edit.kind === "light") note(world, edit.id, edit.set);
    if (random() < 0.8) peer.undo.stopCapturing();
    writeSetup(peer.doc, setup, edited.value, peer.origin);
    world.edits += 1;
  } else deliver(world, peer);
}

const isWaiting = (doc: Y.Doc): boolean => doc.store.pendingStructs !== null || doc.store.pendingDs !== null;

/** A few of the waiting updates, in any order. */
function deliver(world: World, peer: Peer): void {
  if (peer.cut) return;
  for (let i = Math.ceil(world.random() * 4); i > 0 && peer.inbox.length > 0; i--) {
    const [update] = peer.inbox.splice(Math.floor(world.random() * peer.inbox.length), 1);
    if (update !== undefined) Y.applyUpdate(peer.doc, update, "network");
  }
}

function checkEnd(world: World, title: string): void {
  for (const peer of world.peers) {
    peer.cut = false;
    while (peer.inbox.length > 0) deliver(world, peer);
    assert.equal(isWaiting(peer.doc), false);
  }
  const setups = world.peers.map((peer) => expectOk(docToSetup(peer.doc)));
  const [first] = setups as [Setup];
  for (const setup of setups) assert.deepEqual(setup, first, `${title}: devices disagree`);
  const kept = new Set(first.readings.map((reading) => reading.id));
  for (const id of world.readings) assert.ok(kept.has(id), `${title}: reading ${id} is lost`);
  // The document itself: a setup shows 64 lights at most.
  const [{ doc }] = world.peers as [Peer];
  for (const id of world.lights) {
    if (!world.removed.has(id)) assert.ok(doc.getMap("lights").has(id), `${title}: light ${id} is lost`);
  }
  for (const light of first.lights) {
    for (const [key, value] of Object.entries(light)) {
      if (key === "circuitId" || (key === "place" && mended(light.place))) continue;
      assert.ok(
        world.written.get(`${light.id} ${key}`)?.has(JSON.stringify(value)),
        `${title}: ${light.id}.${key} was never written: ${JSON.stringify(value)}`,
      );
    }
  }
}

/**
 * Places that the repair may have moved. A light that Undo brings back comes as it was seen when it was
 * removed, so the nose may have been another then.
 */
const mended = (place: Setup["lights"][number]["place"]): boolean =>
  place.kind === "polar"
    ? noses.some((nose) => Math.abs(place.distanceM - Math.abs(place.heightM - nose)) < 1e-9)
    : place.zM === 0.05;

for (const count of [2, 5]) {
  for (let run = 1; run <= runs; run++) {
    const seed = count * 1000 + run;
    test(`${count} devices, ${steps} steps with delays, reordering and partings agree and lose no reading (seed ${seed})`, () => {
      const world = begin(seed, count);
      for (let i = 0; i < steps; i++) step(world);
      checkEnd(world, `seed ${seed}`);
    });
  }
}

const meshEdits = counts(250, 5000);
const meshSeed = 20261125;
test(`a mesh of 8 devices, ${meshEdits} edits, each sent to all others, parted and reordered, agrees and loses nothing (seed ${meshSeed})`, () => {
  const world = begin(meshSeed, 8);
  while (world.edits < meshEdits) step(world);
  assert.ok(world.readings.size > meshEdits / 40, `${world.readings.size} readings`);
  checkEnd(world, `seed ${meshSeed}`);
});
