import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import * as Y from "yjs";
import { counts } from "../../test/counts.ts";
import { pick, sampleKit, sampleSetup, seeded } from "../../test/sample-book.ts";
import { type Kit, kitCanBuild, type Role, type Setup } from "../setup/index.ts";
import { docToSetup, writeSetup } from "../sync/index.ts";
import { expectOk } from "../units/index.ts";
import { cardOf, wordsOf } from "./card.ts";
import { type BookCard, type CardFilter, openStore, type Store, setupName } from "./index.ts";

const root = mkdtempSync(join(tmpdir(), "stopwise-search-"));
after(() => rmSync(root, { recursive: true, force: true }));

const seed = 20261126;
const rounds = counts(60, 600);

/** What the test itself knows of a setup: when it changed last, and whether it lies in the trash. */
interface Track {
  readonly id: string;
  changedMs: number;
  trashed: boolean;
}

/** A book that is changed at random, with a clock that stands still, runs and goes back. */
class ShakenBook {
  readonly dataDir: string = join(root, "shaken");
  /** In the order in which they were made. */
  tracks: Track[] = [];
  store: Store;
  readonly random: () => number = seeded(seed);
  #clockMs = Date.parse("2026-11-26T10:00:00Z");
  #made = 0;

  constructor() {
    this.store = this.#open();
  }

  async change(): Promise<string> {
    this.#clockMs += pick(this.random, [0, 0, 1, 1000, 60_000, -1, -5000]);
    const does = this.tracks.length < 20 ? "add" : pick(this.random, deeds);
    const track = pick(this.random, this.tracks);
    if (does === "add") this.#add(1 + Math.floor(this.random() * 12));
    else if (does === "edit") this.#edit(track);
    else if (does === "trash" || does === "take back") this.#trash(track, does === "trash");
    else if (does === "kit") this.#addKit();
    else if (does === "fail") this.#fail();
    else if (does === "reopen") this.reopen();
    else await this.#restore();
    return does;
  }

  reopen(): void {
    this.store.close();
    this.store = this.#open();
  }

  #open(): Store {
    const now = (): Date => new Date(this.#clockMs);
    return expectOk(openStore({ dataDir: this.dataDir, now, newId: () => `n${this.#made++}` }));
  }

  #add(count: number): void {
    const setups = Array.from({ length: count }, () => sampleSetup(this.random, `s${this.#made++}`));
    expectOk(this.store.addSetups(setups));
    this.tracks.push(...setups.map(({ id }) => ({ id, changedMs: this.#clockMs, trashed: false })));
  }

  #edit(track: Track): void {
    const doc = new Y.Doc();
    for (const bytes of expectOk(this.store.load(setupName(track.id)))) Y.applyUpdate(doc, bytes);
    const before = expectOk(docToSetup(doc));
    const other = sampleSetup(this.random, track.id);
    const { title, notes, tags, exposure, lights } = other;
    const after: Setup = pick(this.random, [
      { ...before, title },
      { ...before, notes, tags },
      { ...before, exposure },
      { ...before, lights, readings: before.readings },
    ]);
    const state = Y.encodeStateVector(doc);
    writeSetup(doc, before, after, null);
    const setup = expectOk(docToSetup(doc));
    const update = Y.encodeStateAsUpdate(doc, state);
    expectOk(this.store.append(setupName(track.id), update, { kind: "setup", setup }));
    track.changedMs = this.#clockMs;
  }

  #trash(track: Track, trashed: boolean): void {
    expectOk(this.store.trash(track.id, trashed));
    track.trashed = trashed;
  }

  /** The first time a whole kit; later heads that some setups wait for. */
  #addKit(): void {
    const kit = sampleKit();
    const setup = sampleSetup(this.random, "lender");
    const heads = setup.lights.map((light) => light.head);
    const unique = heads.filter((head, i) => heads.findIndex(({ id }) => id === head.id) === i);
    const more: Kit = this.store.find("kit") === null ? kit : { ...kit, heads: unique };
    expectOk(this.store.importBook({ format: "stopwise-book", version: 1, setups: [], kits: [more] }));
  }

  /** A batch that the disc refuses half-way. */
  #fail(): void {
    this.store.limitPages(0);
    const big = sampleSetup(this.random, "big");
    const setups = Array.from({ length: 60 }, (_, i) => ({ ...big, id: `big${i}`, notes: "choir ".repeat(2500) }));
    assert.equal(this.store.addSetups(setups).ok, false);
    this.store.limitPages(1_000_000);
  }

  /** Back to a backup taken a few changes ago. */
  async #restore(): Promise<void> {
    const file = join(root, `backup-${this.#made++}`);
    expectOk(await this.store.backup(file));
    const then = this.tracks.map((track) => ({ ...track }));
    this.#add(3);
    this.#edit(pick(this.random, this.tracks));
    expectOk(this.store.cards());
    expectOk(this.store.restore(file));
    this.tracks = then;
  }
}

const deeds = [
  "add",
  "edit",
  "edit",
  "edit",
  "edit",
  "trash",
  "take back",
  "kit",
  "fail",
  "reopen",
  "restore",
] as const;
const roles: readonly Role[] = ["main", "fill", "edge", "hair", "background", "card"];
const texts = [
  "choir",
  "cho",
  "c",
  "portrait ",
  "octa 6",
  "hair strip",
  "paper choir ",
  "batt",
  "nobody",
  "  ",
  "main fill",
];

function randomFilter(random: () => number): CardFilter {
  const filter: { -readonly [K in keyof CardFilter]: CardFilter[K] } = {};
  if (random() < 0.3) filter.text = pick(random, texts);
  if (random() < 0.2) filter.lights = 1 + Math.floor(random() * 5);
  if (random() < 0.2) filter.mainToFill = Math.floor(random() * 8) / 2 + pick(random, [0, 0.05, 0.06]);
  if (random() < 0.2) filter.roles = [pick(random, roles), pick(random, roles)];
  if (random() < 0.2) filter.tag = pick(random, ["choir", "red", "hall", "none"]);
  if (random() < 0.2) filter.medium = pick(random, ["flash", "continuous"]);
  if (random() < 0.2) filter.met = random() < 0.5;
  if (random() < 0.2) filter.kitHere = true;
  if (random() < 0.2) filter.fitsHere = true;
  if (random() < 0.2) filter.trashed = true;
  if (random() < 0.3) filter.offset = Math.floor(random() * 30);
  if (random() < 0.5) filter.limit = Math.floor(random() * 40);
  return filter;
}

/** What one look at every document, opened from its log, says of each filter. */
interface Opened {
  readonly track: Track;
  readonly card: BookCard;
  readonly words: readonly string[];
  readonly kitHere: boolean;
}

function openAll({ store, tracks }: ShakenBook, kit: Kit | null): readonly Opened[] {
  const opened = tracks.map((track) => {
    const setup = expectOk(store.setup(track.id));
    const words = Object.values(wordsOf(setup)).flatMap((text) => text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? []);
    const card = cardOf(setup, new Date(track.changedMs).toISOString());
    return { track, card, words, kitHere: kit !== null && kitCanBuild(kit, setup).ok };
  });
  // The sort is stable: those of one moment stay in the order in which they were made.
  return opened.toSorted((a, b) => b.track.changedMs - a.track.changedMs);
}

function matches(filter: CardFilter, { track, card, words, kitHere }: Opened, kit: Kit | null): boolean {
  const room = kit?.rooms.find(({ id }) => id === kit.roomHereId);
  const fits = (needed: number, has: number): boolean =>
    Math.ceil(needed * 1000 - 1e-6) <= Math.floor(has * 1000 + 1e-6);
  const asked = filter.text?.match(/[\p{L}\p{N}]+/gu) ?? [];
  const open = filter.text?.endsWith(" ") === true ? null : asked.length - 1;
  return (
    track.trashed === (filter.trashed === true) &&
    asked.every((word, i) => words.some((has) => (i === open ? has.startsWith(word) : has === word))) &&
    (filter.lights === undefined || card.lights.length === filter.lights) &&
    (filter.mainToFill === undefined ||
      (card.mainToFillStops !== null && Math.abs(card.mainToFillStops - filter.mainToFill) <= 0.05 + 1e-9)) &&
    (filter.roles ?? []).every((role) => card.roles.includes(role)) &&
    (filter.tag === undefined || card.tags.includes(filter.tag)) &&
    (filter.medium === undefined || card.medium === filter.medium) &&
    (filter.met === undefined || card.met === filter.met) &&
    (filter.kitHere !== true || kitHere) &&
    (filter.fitsHere !== true ||
      (room !== undefined &&
        fits(card.space.widthM, room.widthM) &&
        fits(card.space.depthM, room.depthM) &&
        fits(card.space.heightM, room.heightM)))
  );
}

test(`after each of ${rounds} random changes, searches say what opening every document says (seed ${seed})`, async () => {
  const book = new ShakenBook();
  const done = new Map<string, number>();
  let found = 0;
  for (let round = 0; round < rounds; round++) {
    const did = await book.change();
    done.set(did, (done.get(did) ?? 0) + 1);
    const kit = book.store.find("kit") === null ? null : expectOk(book.store.kit());
    const opened = openAll(book, kit);
    for (let i = 0; i < 12; i++) {
      const filter = i === 0 ? {} : randomFilter(book.random);
      const expected = opened.filter((one) => matches(filter, one, kit)).map(({ card }) => card);
      const from = filter.offset ?? 0;
      const page = { total: expected.length, cards: expected.slice(from, from + (filter.limit ?? 60)) };
      assert.deepEqual(expectOk(book.store.cards(filter)), page, `${did}, round ${round}: ${JSON.stringify(filter)}`);
      found += page.cards.length;
    }
  }
  assert.ok(found > rounds * 20, `${found} cards compared`);
  for (const deed of deeds) assert.ok((done.get(deed) ?? 0) > 0, `${deed} happened`);
  book.store.close();
});

test("an import larger than the book, after a search, is found whole; prepareSearch may come at any time", () => {
  const store = expectOk(openStore({ dataDir: join(root, "large"), now: () => new Date(1e12), newId: () => "x" }));
  expectOk(store.prepareSearch());
  assert.equal(expectOk(store.cards({ lights: 2 })).total, 0);
  const random = seeded(5);
  const setups = Array.from({ length: 1500 }, (_, i) => sampleSetup(random, `s${i}`));
  expectOk(store.addSetups(setups));
  expectOk(store.prepareSearch());
  assert.equal(expectOk(store.cards()).total, 1500);
  assert.equal(expectOk(store.cards({ lights: 2 })).total, setups.filter((setup) => setup.lights.length === 2).length);
  store.close();
});
