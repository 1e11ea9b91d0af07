/**
 * Edits on the way to other devices: 2,000 small edits of the choir's setup through the shared document, written
 * field by field (writeSetup), against what a program without one would send: the whole setup as JSON each time.
 * Time per edit, bytes per edit, and what the document weighs after all of them.
 */

import * as Y from "yjs";
import { applyEdits, demoSetups, type Edit, printSetup, type Setup } from "../src/setup/index.ts";
import { docToSetup, setupToDoc, writeSetup } from "../src/sync/index.ts";
import { expectOk } from "../src/units/index.ts";
import { pick, seeded } from "../test/sample-book.ts";
import { consume, printMachine, printRatio, printSink, race } from "./harness.ts";

const SEED = 20261125;
const EDITS = 2000;
const random = seeded(SEED);
const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;

/** What hands do to a setup: mostly dials and places, now and then words. */
function someEdit(): Edit {
  const light = pick(random, choir.lights);
  const kind = random();
  if (kind < 0.55) return { kind: "light", id: light.id, set: { dialStops: -Math.floor(random() * 40) / 10 } };
  if (kind < 0.9) {
    const place = { kind: "polar" as const, azimuthDeg: 45, distanceM: 1 + random(), heightM: 1.25 + random() / 2 };
    return { kind: "light", id: light.id, set: { place } };
  }
  return { kind: "setup", set: { notes: `turn ${Math.floor(random() * 1e6)}` } };
}

const states: Setup[] = [choir];
for (let i = 0; i < EDITS; i++) states.push(expectOk(applyEdits(states[i] as Setup, [someEdit()])));

function throughDocument(): { doc: Y.Doc; bytes: number } {
  const doc = new Y.Doc();
  setupToDoc(doc, choir);
  let bytes = 0;
  doc.on("update", (update: Uint8Array) => {
    bytes += update.length;
  });
  for (let i = 0; i < EDITS; i++) writeSetup(doc, states[i] as Setup, states[i + 1] as Setup, null);
  return { doc, bytes };
}

console.log(`sync: ${EDITS} edits of the choir's setup (seed ${SEED})`);
printMachine();
const [shared, whole] = race(
  [
    { name: `${EDITS} edits through the shared document`, run: () => throughDocument().bytes },
    {
      name: `${EDITS} edits, the whole setup as JSON`,
      run: () => states.slice(1).reduce((sum, setup) => sum + JSON.stringify(setup).length, 0),
    },
  ],
  { rounds: 15 },
);
printRatio(shared, whole);

const { doc, bytes } = throughDocument();
const json = states.slice(1).reduce((sum, setup) => sum + JSON.stringify(setup).length, 0);
const last = states[EDITS] as Setup;
if (printSetup(expectOk(docToSetup(doc))) !== printSetup(last)) throw new RangeError("the document lost an edit");
const fresh = new Y.Doc();
setupToDoc(fresh, choir);
const kilobytes = (value: Y.Doc): string => (Y.encodeStateAsUpdate(value).length / 1024).toFixed(1);
console.log(`   ${(bytes / EDITS).toFixed(1)} bytes an edit, ${(json / EDITS / 1024).toFixed(1)} KiB as whole JSON`);
console.log(`   the document: ${kilobytes(fresh)} KiB new, ${kilobytes(doc)} KiB after the edits`);
consume(bytes + json);

const [read] = race(
  [{ name: "reading the setup out of the document", run: () => expectOk(docToSetup(doc)).lights.length }],
  {
    rounds: 100,
  },
);
consume(read?.minMs ?? 0);
printSink();
