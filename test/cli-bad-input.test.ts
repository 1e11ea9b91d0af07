/**
 * Bad input to every command, each time in a process of its own: an exit code that is not 0, faults with codes that
 * say what, where and how to mend it, nothing on standard output, no stack trace, nothing written.
 */

import assert from "node:assert/strict";
import { mkdirSync, readFileSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { after, before, suite, test } from "node:test";
import { contents, root, scratchFolder, stopwise } from "./run-cli.ts";

const scratch = scratchFolder("bad");
const here = (name: string): string => join(scratch.path, name);
const good: string = join(root, "examples", "clamshell.json");

/** What the folder held before any command ran. */
let made: ReadonlyMap<string, string> = new Map();

before(makeFiles);
after(scratch.done);

/** What is wrong, the words, the codes that must be told, what goes to standard input. */
type Case = readonly [what: string, words: readonly string[], codes: readonly string[], input?: string | Uint8Array];

const TURN = ["turn", "5.6", "--target", "5.6", "--dial"] as const;

const CASES: readonly Case[] = [
  ["no such command", ["forecast"], ["command-unknown"]],
  ["a command mistyped", ["predcit", good], ["command-unknown"]],
  ["half a command", ["book"], ["command-unknown"]],
  ["a part of the book that is none", ["book", "imprt", "x"], ["command-unknown"]],
  ["an option before the command", ["--paper", "sum", "5.6"], ["command-unknown"]],
  ["a command that is a property of every object", ["constructor"], ["command-unknown"]],
  ["an unknown option, and the nearest named", ["sum", "5.6", "--jsn"], ["option-unknown"]],
  ["an option that is a property of every object", ["sum", "5.6", "--__proto__=1"], ["option-unknown"]],
  ["short options", ["sum", "-abc"], ["option-unknown"]],
  ["a value where none belongs", ["sum", "5.6", "--json=yes"], ["option-value"]],
  ["no value where one belongs", ["ratio", "--stops"], ["option-value"]],
  ["another option where a value belongs", ["turn", "5.6", "--dial", "--target", "4"], ["option-value"]],
  ["an empty value", ["ratio", "--stops="], ["option-value"]],
  ["an option twice", ["ratio", "--stops", "1", "--stops", "2"], ["option-twice"]],
  ["one word too many", ["predict", good, good], ["words-many"]],
  ["one word too few", ["predict"], ["words-few"]],
  ["escape codes in a word", ["\u001b[31mred\u001b[0m"], ["command-unknown"]],

  ["render: no file named", ["render", good], ["option-missing"]],
  [
    "render: every fault of its words at once",
    [
      "render",
      good,
      "--out",
      "x.jpg",
      "--size",
      "big",
      "--noise",
      "0",
      "--samples",
      "1.5",
      "--sixteen",
      "--false-colour",
    ],
    ["render-ending", "size-form", "number-range", "number-whole", "options-clash"],
  ],
  ["render: a side too short", ["render", good, "--out", "x.png", "--size", "0x600"], ["size-range"]],
  ["render: too many pixels", ["render", good, "--out", "x.png", "--size", "9000x9000"], ["size-range"]],
  [
    "render: a size without an end",
    ["render", good, "--out", "x.png", "--size", `${"9".repeat(5000)}x1`],
    ["size-form"],
  ],
  ["render: out in a folder that is not there", ["render", good, "--out", "nowhere/x.png"], ["no-file"]],
  ["render: out is there already", ["render", good, "--out", "there.png"], ["file-exists"]],
  ["render: an unknown tag", ["render", good, "--out", "x.png", "--alone", "\u001b[31mQ"], ["tag-unknown"]],
  ["render: layers into a file", ["render", good, "--out", "x.png", "--layers", "there.pdf"], ["no-folder"]],
  ["render: layers in a folder that is not there", ["render", good, "--out", "x.png", "--layers", "no/l"], ["no-file"]],
  ["render: layers that are there already", ["render", good, "--out", "x.png", "--layers", "layered"], ["file-exists"]],
  ["render: every light off", ["render", "all-off.json", "--out", "x.png"], ["picture-dark"]],
  ["render: no such setup", ["render", "nowhere.json", "--out", "x.png"], ["no-file"]],

  ["turn: no options", ["turn", "5.6"], ["option-missing", "option-missing"]],
  ["turn: an ambiguous reading", ["turn", "5.67", "--target", "5.6", "--dial", "-1"], ["reading-ambiguous"]],
  ["turn: an ambiguous target", ["turn", "5.6", "--target", "8.5", "--dial", "-1"], ["reading-ambiguous"]],
  [
    "turn: three faults at once",
    ["turn", "5.67", "--target", "x", "--dial", "7"],
    ["reading-ambiguous", "reading-form", "dial-scale"],
  ],
  ["turn: an empty reading", ["turn", "", "--target", "5.6", "--dial", "-1"], ["reading-empty"]],
  [
    "turn: a reading too long to be one",
    ["turn", "5".repeat(5000), "--target", "5.6", "--dial", "-1"],
    ["reading-too-long"],
  ],
  ["turn: tenths over nothing", ["turn", "5^7", "--target", "5.6", "--dial", "-1"], ["reading-mark"]],
  ["turn: eleven tenths", ["turn", "5.6^11", "--target", "5.6", "--dial", "-1"], ["reading-tenth"]],
  ["turn: f/0", ["turn", "0", "--target", "5.6", "--dial", "-1"], ["reading-range"]],
  ["turn: a negative reading", ["turn", "--target", "5.6", "--dial", "-1", "--", "-5.6"], ["reading-form"]],
  ["turn: a dial that does not say how it counts", [...TURN, "6.3"], ["dial-scale"]],
  ["turn: no such scale", [...TURN, "-1", "--scale", "fractions"], ["dial-scale"]],
  ["turn: 1/12 is no fraction of a head", [...TURN, "1/12"], ["dial-fraction"]],
  ["turn: above full", [...TURN, "120%"], ["dial-above-full"]],
  ["turn: below the lowest", [...TURN, "-6", "--lowest", "-5"], ["dial-below-lowest"]],
  ["turn: between two positions", [...TURN, "-3.75"], ["dial-step"]],
  ["turn: watt-seconds of a head whose full is not said", [...TURN, "100 Ws"], ["option-missing"]],
  ["turn: a step of nothing", [...TURN, "-1", "--step", "0"], ["number-range"]],
  ["turn: a tolerance that is no number", [...TURN, "-1", "--tolerance", "NaN"], ["number-form"]],
  ["turn: a full that is infinite", [...TURN, "6", "--scale", "number", "--full", "Infinity"], ["number-form"]],

  ["sum: no reading", ["sum"], ["words-few"]],
  ["sum: two of three are wrong", ["sum", "5.6", "5.67", "x"], ["reading-ambiguous", "reading-form"]],
  ["sum: off the scale", ["sum", "4096"], ["reading-range"]],
  ["ratio: no question", ["ratio"], ["ratio-question"]],
  ["ratio: two questions", ["ratio", "--stops", "3", "--lit-to-shadow", "9"], ["ratio-question"]],
  ["ratio: lit to shadow of one", ["ratio", "--lit-to-shadow", "1"], ["ratio-range"]],
  ["ratio: nothing to one", ["ratio", "--light-to-light", "0"], ["ratio-range"]],
  ["ratio: to nothing", ["ratio", "--light-to-light", "8:0"], ["ratio-range"]],
  ["ratio: three numbers", ["ratio", "--light-to-light", "8:2:1"], ["ratio-form"]],
  ["ratio: words", ["ratio", "--light-to-light", "eight"], ["number-form"]],
  ["ratio: a hundred stops", ["ratio", "--stops", "100"], ["stops-range"]],
  ["ratio: up and minus", ["ratio", "--stops", "up -1"], ["stops-sign-twice"]],

  ["light-file: no such file", ["light-file", "nowhere.ies"], ["no-file"]],
  ["light-file: a folder", ["light-file", "folder"], ["is-a-folder"]],
  ["light-file: nothing in it", ["light-file", "empty.ies"], ["file-empty"]],
  ["light-file: a device", ["light-file", "/dev/zero"], ["not-a-file"]],
  ["light-file: larger than any", ["light-file", "huge.ies"], ["too-big"]],
  ["light-file: bytes of anything", ["light-file", "binary.bin"], ["photometric-unknown"]],
  ["light-file: a setup", ["light-file", good], ["photometric-unknown"]],
  ["light-file: cut off", ["light-file", "cut.ies"], []],
  ["light-file: falling angles", ["light-file", "falling.ies"], []],
  ["light-file: an .ldt of one line", ["light-file", "short.ldt"], []],

  ["predict: no such file", ["predict", "nowhere.json"], ["no-file"]],
  ["predict: neither file nor book", ["predict", "demo-choir"], ["no-file"]],
  ["predict: a folder", ["predict", "folder"], ["is-a-folder"]],
  ["predict: a name with a null", ["predict", "./a%00b.json"], ["no-file"]],
  ["predict: a name of 5000 letters", ["predict", `${"a".repeat(5000)}.json`], ["no-file"]],
  ["predict: a part of the name is a file", ["predict", join(good, "x.json")], ["no-file"]],
  ["predict: nothing in it", ["predict", "empty.json"], ["file-empty"]],
  ["predict: nothing on standard input", ["predict", "-"], ["file-empty"], ""],
  ["predict: not JSON", ["predict", "not.json"], ["bad-json"]],
  ["predict: half a setup", ["predict", "half.json"], ["bad-json"]],
  ["predict: bytes of anything", ["predict", "binary.bin"], ["not-text"]],
  ["predict: UTF-16", ["predict", "-"], ["not-text"], Buffer.from('{"format":1}', "utf16le")],
  ["predict: larger than any setup", ["predict", "huge.json"], ["too-big"]],
  ["predict: a list", ["predict", "-"], [], "[]"],
  ["predict: null", ["predict", "-"], [], "null"],
  ["predict: another document", ["predict", "-"], [], '{"format":"something","version":1}'],
  ["predict: a kit", ["predict", "-"], [], '{"format":"stopwise-kit","version":1}'],
  ["predict: a version to come", ["predict", "newer.json"], []],
  ["predict: a version that is text", ["predict", "-"], [], '{"format":"stopwise-setup","version":"1"}'],
  ["predict: nested ten thousand deep", ["predict", "-"], [], `${'{"a":'.repeat(10_000)}1${"}".repeat(10_000)}`],
  [
    "predict: several things wrong, all told",
    ["predict", "several.json"],
    ["not-a-number", "not-a-choice", "duplicate-id"],
  ],
  ["predict: a measured front without its file", ["predict", "no-beam.json"], []],
  ["predict: numbers beyond numbers", ["predict", "beyond.json"], []],
  ["predict: a light that stands in the nose", ["predict", "at-nose.json"], ["place-at-nose"]],
  ["predict: why of a light that is not there", ["predict", good, "--why=Q"], ["no-light"]],
  ["check: no such file", ["check", "nowhere.json"], ["no-file"]],
  ["check: not JSON", ["check", "not.json"], ["bad-json"]],
  ["check: several things wrong", ["check", "several.json"], ["not-a-number", "not-a-choice", "duplicate-id"]],

  ["sheet: no place to write to", ["sheet", good], ["option-missing"]],
  ["sheet: an ending that nobody knows", ["sheet", good, "--out", "x.docx"], ["sheet-ending"]],
  [
    "sheet: no such paper, and no such ending",
    ["sheet", good, "--out", "x", "--paper", "a0"],
    ["sheet-ending", "not-a-choice"],
  ],
  [
    "sheet: a paper that is a property of every object",
    ["sheet", good, "--out", "x.pdf", "--paper", "constructor"],
    ["not-a-choice"],
  ],
  ["sheet: over a file that is there", ["sheet", good, "--out", "there.pdf"], ["file-exists"]],
  ["sheet: over a page that is there", ["sheet", good, "--out", "there.svg"], ["file-exists"]],
  ["sheet: into a folder that is not there", ["sheet", good, "--out", "nowhere/x.pdf"], ["no-file"]],
  ["sheet: of nothing", ["sheet", "nowhere.json", "--out", "x.pdf"], ["no-file"]],

  ["book list: no book", ["book", "list", "--data", "no-book"], ["no-book"]],
  ["book list: a file for a folder", ["book", "list", "--data", "not.json"], ["no-book"]],
  ["book list: half a light", ["book", "list", "--lights", "1.5"], ["number-whole"]],
  [
    "book list: two bad filters",
    ["book", "list", "--role", "key", "--medium", "gas"],
    ["not-a-choice", "not-a-choice"],
  ],
  ["book list: a damaged book", ["book", "list", "--data", "damaged"], []],
  ["book export: no book", ["book", "export", "x.json", "--data", "no-book"], ["no-book"]],
  ["book export: over a file", ["book", "export", "there.pdf", "--data", "no-book"], ["file-exists"]],
  ["book back-up: no book", ["book", "back-up", "x.sqlite", "--data", "no-book"], ["no-book"]],
  ["book back-up: over a file", ["book", "back-up", "there.pdf", "--data", "no-book"], ["file-exists"]],
  ["book import: no such file", ["book", "import", "nowhere.json", "--data", "new"], ["no-file"]],
  ["book import: not JSON", ["book", "import", "not.json", "--data", "new"], ["bad-json"]],
  ["book import: a setup instead", ["book", "import", good, "--data", "new"], ["wrong-format"]],
  [
    "book import: a version to come",
    ["book", "import", "-", "--data", "new"],
    ["bad-version"],
    '{"format":"stopwise-book","version":2}',
  ],
  [
    "book import: a setup in it is wrong",
    ["book", "import", "bad-book.json", "--data", "new"],
    ["not-a-number", "not-a-choice"],
  ],
  ["book import: the same id twice", ["book", "import", "twice.json", "--data", "new"], ["duplicate-id"]],
  ["book restore: no such file", ["book", "restore", "nowhere.sqlite", "--data", "new"], ["no-file"]],
  ["book restore: an exported book", ["book", "restore", "twice.json", "--data", "new"], ["not-a-book"]],
  ["book restore: a folder", ["book", "restore", "folder", "--data", "new"], ["is-a-folder"]],
  ["book restore: somebody else's database", ["book", "restore", "other.sqlite", "--data", "new"], []],
  ["book restore: half a database", ["book", "restore", "cut.sqlite", "--data", "new"], []],
  ["start: a port that is none", ["start", "--no-open", "--port", "70000", "--data", "new"], ["number-range"]],
  ["start: a port in words", ["start", "--no-open", "--port", "http", "--data", "new"], ["number-form"]],
  [
    "start: a way to let phones in that is none",
    ["start", "--no-open", "--network=open", "--data", "new"],
    ["bad-value"],
  ],
  [
    "start: a port for phones that is none",
    ["start", "--no-open", "--network-port", "x", "--data", "new"],
    ["number-form"],
  ],
  ["start: a word too many", ["start", "now", "--data", "new"], ["words-many"]],
];

suite(`${CASES.length} bad inputs`, { concurrency: 2 }, () => {
  for (const [what, words, codes, input] of CASES) {
    test(what, async () => {
      const ran = await stopwise(scratch.path, words, input ?? "");
      assert.equal(ran.status, 2, ran.stderr);
      assert.equal(ran.stdout, "");
      const told = [...ran.stderr.matchAll(/ \[([a-z0-9-]+)\]$/gm)].map(([, code]) => code);
      for (const code of codes) {
        const at = told.indexOf(code);
        assert.ok(at >= 0, `${code} is not told:\n${ran.stderr}`);
        told.splice(at, 1);
      }
      assert.ok(codes.length > 0 || told.length > 0, ran.stderr);
      assert.doesNotMatch(ran.stderr, /our-mistake|\n\s+at |node:internal|\.ts:\d/);
      // Nothing that a file or a caller wrote may drive the terminal.
      // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for
      assert.doesNotMatch(ran.stderr, /[\u0000-\u0009\u000b-\u001f\u007f-\u009f]/);
    });
  }
});

test("after all of them every file is as it was, and nothing is there that was not", () => {
  assert.deepEqual([...contents(scratch.path).keys()], [...made.keys()]);
  assert.deepEqual(contents(scratch.path), made);
});

test("every fault says what, where and how to mend it", async () => {
  const { stdout } = await stopwise(scratch.path, ["predict", "several.json", "--json"]);
  const { faults } = JSON.parse(stdout) as { faults: readonly Record<string, string>[] };
  assert.ok(faults.length >= 3);
  for (const f of faults) {
    assert.match(f.code ?? "", /^[a-z0-9-]+$/);
    for (const key of ["what", "where", "mend"]) assert.ok((f[key] ?? "").length > 0, `${key} of ${f.code}`);
    assert.match(f.where ?? "", /several\.json/);
  }
});

test("an unknown option is answered with the nearest that is known", async () => {
  const { stderr } = await stopwise(scratch.path, ["turn", "4", "--targt", "3"]);
  assert.match(stderr, /--target/);
  const command = await stopwise(scratch.path, ["predcit"]);
  assert.match(command.stderr, /stopwise predict/);
});

function makeFiles(): void {
  const setup = JSON.parse(readFileSync(good, "utf8")) as Record<string, unknown> & {
    lights: Record<string, unknown>[];
  };
  const [light = {}] = setup.lights;
  const text = JSON.stringify(setup);
  const { noseHeightM } = setup.subject as { noseHeightM: number };
  const several = {
    ...setup,
    exposure: { ...(setup.exposure as object), iso: "100", medium: "gas" },
    lights: [light, light],
  };
  const withLight = (change: Record<string, unknown>): string =>
    JSON.stringify({ ...setup, lights: [{ ...light, ...change }, ...setup.lights.slice(1)] });
  const ies = readFileSync(join(root, "fixtures", "photometric", "measured-module.ies"), "utf8");
  mkdirSync(here("folder"));
  mkdirSync(here("no-book"));
  mkdirSync(here("damaged"));
  mkdirSync(here("layered"));
  const files: Readonly<Record<string, string | Uint8Array>> = {
    "empty.json": "",
    "empty.ies": "",
    "not.json": "this is not JSON\n",
    "half.json": text.slice(0, text.length / 2),
    "binary.bin": Uint8Array.from({ length: 4096 }, (_, i) => (i * 131 + 7) % 256),
    "newer.json": JSON.stringify({ ...setup, version: 99 }),
    "several.json": JSON.stringify(several),
    "no-beam.json": withLight({
      modifier: { ...(light.modifier as object), shape: "measured", photometricFile: null },
    }),
    "beyond.json": text.replace(/"iso":\d+/, '"iso":1e999'),
    "at-nose.json": withLight({ place: { kind: "cartesian", xM: 0, yM: noseHeightM, zM: 0 } }),
    "there.pdf": "somebody's own file",
    "there.png": "somebody's own picture",
    "layered/layers.json": "somebody's own layers",
    "all-off.json": JSON.stringify({
      ...setup,
      room: { ...(setup.room as object), ambientLx: null },
      lights: setup.lights.map((each) => ({ ...(each as object), on: false })),
    }),
    "there-1.svg": "somebody's own page",
    "cut.ies": ies.slice(0, ies.length - 700),
    "falling.ies": ies.replace("0 5 10 15", "0 15 10 5"),
    "short.ldt": "A maker\r\n",
    "bad-book.json": JSON.stringify({ format: "stopwise-book", version: 1, setups: [setup, several], kits: [] }),
    "twice.json": JSON.stringify({ format: "stopwise-book", version: 1, setups: [setup, setup], kits: [] }),
    "damaged/book.sqlite": "this was a book once, and then it was not",
  };
  for (const [name, content] of Object.entries(files)) writeFileSync(here(name), content);
  for (const [name, size] of [
    ["huge.json", 70e6],
    ["huge.ies", 9e6],
  ] as const) {
    // Sparse: a hole on the disc, but as large as it says.
    writeFileSync(here(name), "{");
    truncateSync(here(name), size);
  }
  for (const name of ["other.sqlite", "cut.sqlite"]) {
    const db = new DatabaseSync(here(name));
    db.exec("CREATE TABLE other (a TEXT); INSERT INTO other VALUES (hex(randomblob(20000)))");
    db.close();
  }
  truncateSync(here("cut.sqlite"), 5000);
  made = contents(scratch.path);
}
