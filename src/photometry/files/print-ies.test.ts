import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { expectOk } from "../../units/index.ts";
import { type Opening, type PhotometricWeb, parseIes, printIes } from "./index.ts";
import { iesLines, webOf } from "./samples.ts";

const ascending = (first: number, last: number): fc.Arbitrary<number[]> =>
  fc
    .uniqueArray(fc.double({ min: first, max: last, noNaN: true }), { maxLength: 6 })
    .map((inner) => [...new Set([first, ...inner, last])].filter((x) => !Object.is(x, -0)).sort((a, b) => a - b));

const size = fc.double({ min: 0.001, max: 15, noNaN: true });
const opening: fc.Arbitrary<Opening> = fc.oneof(
  fc.constant<Opening>({ shape: "point", widthM: 0, lengthM: 0, heightM: 0 }),
  size.map((d): Opening => ({ shape: "disc", widthM: d, lengthM: d, heightM: 0 })),
  size.map((d): Opening => ({ shape: "sphere", widthM: d, lengthM: d, heightM: d })),
  size.map((d): Opening => ({ shape: "disc-upright", widthM: d, lengthM: 0, heightM: d })),
  size.map((l): Opening => ({ shape: "line", widthM: 0, lengthM: l, heightM: 0 })),
  fc.tuple(size, size).map(([w, l]): Opening => ({ shape: "rectangle", widthM: w, lengthM: l, heightM: 0 })),
  fc.tuple(size, size, size).map(([w, l, h]): Opening => ({ shape: "box", widthM: w, lengthM: l, heightM: h })),
  fc
    .tuple(size, size, size)
    .map(([w, l, h]): Opening => ({ shape: "cylinder-upright", widthM: w, lengthM: l, heightM: h })),
  fc
    .tuple(size, size, size)
    .map(([w, l, h]): Opening => ({ shape: "cylinder-lengthwise", widthM: w, lengthM: l, heightM: h })),
  fc
    .tuple(size, size, size)
    .map(([w, l, h]): Opening => ({ shape: "cylinder-crosswise", widthM: w, lengthM: l, heightM: h })),
);

type Grid = Pick<PhotometricWeb, "type" | "symmetry" | "verticalDeg" | "horizontalDeg">;
const grid: fc.Arbitrary<Grid> = fc
  .constantFrom<
    readonly [
      PhotometricWeb["type"],
      PhotometricWeb["symmetry"],
      readonly [number, number],
      readonly [number, number] | null,
    ]
  >(
    ["C", "axial", [0, 90], null],
    ["C", "quadrant", [0, 90], [0, 90]],
    ["C", "bilateral", [0, 180], [0, 180]],
    ["C", "bilateral-90", [90, 180], [90, 270]],
    ["C", "none", [0, 180], [0, 360]],
    ["B", "none", [-90, 90], [-90, 90]],
    ["B", "quadrant", [0, 90], [0, 90]],
    ["A", "bilateral", [-90, 90], [0, 90]],
    ["A", "up-down", [0, 90], [-90, 90]],
  )
  .chain(([type, symmetry, v, h]) =>
    fc
      .tuple(ascending(...v), h === null ? fc.constant([0]) : ascending(...h))
      .map(([verticalDeg, horizontalDeg]) => ({ type, symmetry, verticalDeg, horizontalDeg })),
  );

const word = fc
  .string({ unit: "grapheme-ascii", minLength: 1, maxLength: 20 })
  .map((s) => s.replace(/[[\]\\]/g, "").trim())
  .filter((s) => s !== "");
const keywords = fc.array(
  fc.tuple(
    word.map((w) => w.toUpperCase()).filter((w) => w !== "MORE"),
    fc.array(word, { minLength: 1, maxLength: 3 }).map((w) => w.join("\n")),
  ),
  { maxLength: 4 },
);

const web: fc.Arbitrary<PhotometricWeb> = fc
  .tuple(grid, opening, keywords, fc.nat(2000), fc.option(fc.nat(90)))
  .chain(([table, open, words, watts, tilt]) =>
    fc
      .array(
        fc.array(fc.double({ min: 0, max: 1e6, noNaN: true }), {
          minLength: table.verticalDeg.length,
          maxLength: table.verticalDeg.length,
        }),
        {
          minLength: table.horizontalDeg.length,
          maxLength: table.horizontalDeg.length,
        },
      )
      .filter((candela) => candela.flat().some((cd) => cd > 0))
      .map((candela) => ({
        ...webOf({ ...table, candela }),
        source: { format: "LM-63-2019", title: "", keywords: words } as const,
        opening: open,
        inputWatts: watts,
        tilt: tilt === null ? null : { geometry: 2 as const, anglesDeg: [0, tilt + 1], factors: [1, 0.5] },
      })),
  );

test("What is printed reads back the same, for 1000 webs of every type, symmetry and opening (seed 63)", () => {
  fc.assert(
    fc.property(web, (given) => {
      const read = expectOk(parseIes(printIes(given)));
      assert.deepEqual(
        [
          read.type,
          read.symmetry,
          read.verticalDeg,
          read.horizontalDeg,
          read.candela,
          read.tilt,
          read.inputWatts,
          read.absolute,
          read.source.keywords,
        ],
        [
          given.type,
          given.symmetry,
          given.verticalDeg,
          given.horizontalDeg,
          given.candela,
          given.tilt,
          given.inputWatts,
          true,
          given.source.keywords,
        ],
      );
      assert.deepEqual(read.opening, given.opening);
      assert.equal(printIes(read), printIes(given));
    }),
    { seed: 63, numRuns: 1000 },
  );
});

test("Printed lines end in CR LF and stay short", () => {
  const lines = printIes(expectOk(parseIes(iesLines.join("\n")))).split("\r\n");
  assert.equal(lines[0], "IES:LM-63-2019");
  assert.ok(lines.every((line) => line.length <= 120));
});
