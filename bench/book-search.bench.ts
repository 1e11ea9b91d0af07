/**
 * Finding in a book of 100,000 generated setups, each of four questions under 50 ms and all at once too: three
 * lights with main to fill 2; a common word; the kit here can build it; it fits this room. Against Array.filter over
 * the same cards already parsed in memory, which is the quickest that code without a store could hope for once it has
 * read them all. STOPWISE_BENCH_SETUPS makes the book smaller for a quick look.
 */

import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { kitNeeds, kitOffers, type Setup } from "../src/setup/index.ts";
import { type BookCard, type CardFilter, openStore } from "../src/store/index.ts";
import { expectOk } from "../src/units/index.ts";
import { sampleKit, sampleSetup, seeded } from "../test/sample-book.ts";
import { printMachine, printRatio, printSink, printTarget, race } from "./harness.ts";

const SEED = 20261125;
const size = Number(process.env.STOPWISE_BENCH_SETUPS ?? 100_000);
const batch = 2000;

/** What a program without a store would hold of a setup: its card, its words, its kit. */
interface Held {
  readonly card: BookCard;
  readonly words: string;
  readonly needs: readonly string[];
}

const dataDir = mkdtempSync(join(tmpdir(), "stopwise-bench-"));
let tick = Date.parse("2026-11-25T10:00:00Z");
const now = (): Date => {
  tick += 1000;
  return new Date(tick);
};
let made = 0;
const newId = (): string => `bench-${made++}`;
const store = expectOk(openStore({ dataDir, now, newId }));
try {
  measure();
} finally {
  store.close();
  rmSync(dataDir, { recursive: true, force: true });
}

function measure(): void {
  const held = fill();
  const kit = sampleKit();
  const here = kit.rooms.find(({ id }) => id === kit.roomHereId);
  if (here === undefined) throw new RangeError("the sample kit has no room");
  const offers = new Set(kitOffers(kit));
  const questions: readonly (readonly [string, CardFilter, (held: Held) => boolean])[] = [
    [
      "three lights, main to fill 2",
      { lights: 3, mainToFill: 2 },
      ({ card }) => card.lights.length === 3 && Math.abs((card.mainToFillStops ?? Number.NaN) - 2) <= 0.05,
    ],
    ["a common word", { text: "choir" }, ({ words }) => /\bchoir/.test(words)],
    ["kit here can build it", { kitHere: true }, ({ needs }) => needs.every((need) => offers.has(need))],
    ["fits this room", { fitsHere: true }, ({ card: { space } }) => fits(space, here)],
    [
      "all four together",
      { lights: 3, mainToFill: 2, text: "choir", kitHere: true, fitsHere: true },
      ({ card, words, needs }) =>
        card.lights.length === 3 &&
        Math.abs((card.mainToFillStops ?? Number.NaN) - 2) <= 0.05 &&
        /\bchoir/.test(words) &&
        needs.every((need) => offers.has(need)) &&
        fits(card.space, here),
    ],
  ];
  for (const [name, filter, holds] of questions) ask(name, filter, held, holds);
  printSink();
}

/** As the store does: what is needed rounded up to millimetres, what there is rounded down. */
function fits(space: BookCard["space"], room: { widthM: number; depthM: number; heightM: number }): boolean {
  const within = (needed: number, has: number): boolean =>
    Math.ceil(needed * 1000 - 1e-6) <= Math.floor(has * 1000 + 1e-6);
  return within(space.widthM, room.widthM) && within(space.depthM, room.depthM) && within(space.heightM, room.heightM);
}

function ask(name: string, filter: CardFilter, held: readonly Held[], holds: (held: Held) => boolean): void {
  const first = performance.now();
  const found = expectOk(store.cards(filter)).total;
  console.log(`book search: ${name}: ${found} found; first asked ${(performance.now() - first).toFixed(1)} ms`);
  const counted = held.filter(holds).length;
  if (counted !== found) throw new RangeError(`the plain filter finds ${counted}`);
  const [ours, plain] = race(
    [
      {
        name: "the store: how many, and the first 60 cards",
        run: () => {
          const page = expectOk(store.cards(filter));
          return page.total + page.cards.length;
        },
      },
      { name: "Array.filter over parsed cards", run: () => held.filter(holds).length },
    ],
    { rounds: 40, warm: 5 },
  );
  printTarget(ours, 50);
  printRatio(plain, ours);
}

function fill(): readonly Held[] {
  const random = seeded(SEED);
  const kept = new Map<string, Omit<Held, "card">>();
  const start = performance.now();
  console.log(`book search: writing ${size} generated setups (seed ${SEED})`);
  printMachine();
  for (let from = 0; from < size; from += batch) {
    const count = Math.min(batch, size - from);
    const setups = Array.from({ length: count }, (_, i) => sampleSetup(random, `s${from + i}`));
    expectOk(store.addSetups(setups));
    for (const setup of setups) kept.set(setup.id, { words: wordsOf(setup), needs: kitNeeds(setup) });
  }
  expectOk(store.addKit(sampleKit()));
  const seconds = (performance.now() - start) / 1000;
  const megabytes = statSync(join(dataDir, "book.sqlite")).size / 1e6;
  console.log(`   written in ${seconds.toFixed(1)} s, ${megabytes.toFixed(0)} MB on disc`);
  const held: Held[] = [];
  while (held.length < size) {
    const { cards } = expectOk(store.cards({ offset: held.length, limit: 200 }));
    if (cards.length === 0) throw new RangeError("the book ends early");
    for (const card of cards) held.push({ card, ...(kept.get(card.id) as Omit<Held, "card">) });
  }
  return held;
}

/** Title, notes, tags, roles and kit as one text. */
function wordsOf({ title, notes, tags, lights }: Setup): string {
  const kit = lights.flatMap(({ role, head, modifier, support }) => [role, head.name, modifier.name, support.name]);
  return [title, notes, ...tags, ...kit].join(" ").toLowerCase();
}
