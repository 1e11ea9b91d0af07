import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { parseAzimuth, parseClock, parseDegrees, parseElevation } from "./angle.ts";
import { parseDial } from "./dial-notation.ts";
import { parseIlluminance } from "./illuminance.ts";
import { parseIso } from "./iso.ts";
import { parseLength } from "./length.ts";
import { parseReading, readingCandidates } from "./reading.ts";
import type { Result } from "./result.ts";
import { parseShutter } from "./shutter.ts";
import { parseStops, parseUnder } from "./stops.ts";
import { parseMiredShift, parseTemperature } from "./temperature.ts";

const SEED = 20261104;

/** The number inside every good answer: it must be finite, whatever was typed. */
const PARSERS: Readonly<Record<string, (text: string) => Result<number>>> = {
  reading: (text) => pick(parseReading(text), (r) => r.av),
  "reading, asking, half stops": (text) => pick(parseReading(text, { scale: "half", ambiguity: "ask" }), (r) => r.av),
  stops: (text) => parseStops(text),
  "target under": (text) => parseUnder(text),
  "plain angle": (text) => parseDegrees(text),
  shutter: (text) => pick(parseShutter(text), (r) => r.seconds),
  iso: (text) => pick(parseIso(text), (r) => r.iso),
  length: (text) => parseLength(text),
  azimuth: (text) => parseAzimuth(text),
  elevation: (text) => parseElevation(text),
  clock: (text) => parseClock(text),
  temperature: (text) => parseTemperature(text),
  "mired shift": (text) => parseMiredShift(text),
  illuminance: (text) => parseIlluminance(text),
  "fraction dial": (text) => parseDial(text, { kind: "fraction", lowestStops: -8, stepStops: 1 / 3 }),
  "below-full dial": (text) => parseDial(text, { kind: "below-full", lowestStops: -5, stepStops: 0.1 }),
  "number dial": (text) => parseDial(text, { kind: "number", top: 10, lowestStops: -8, stepStops: 0.1 }),
  "watt-second dial": (text) => parseDial(text, { kind: "watt-seconds", fullWs: 400, lowestStops: -5, stepStops: 0.1 }),
  "percent dial": (text) => parseDial(text, { kind: "percent", lowestPercent: 10, stepPercent: 1 }),
};

// Words and signs of the notations, so that most texts come close to meaning something.
const PIECES =
  "0 1 2 5 7 9 10 16 64 125 5.6 8.0 2.8 0.35 .5 1/3 1/16 1/0 ½ ⅔ ⅛ ⁷ ⁰ ^ + - − , . / ° ' \" ′ ″ = % f f/ ƒ N= t= at @ fps s m cm " +
  "ft in K mired lx fc Ws ISO up down under over stops level full video literal camera left right o'clock : half past 9999999999";
const nearly = fc
  .array(fc.constantFrom(" ", ...PIECES.split(" ")), { minLength: 1, maxLength: 9 })
  .map((pieces) => pieces.join(""));
const anything = fc.string({ unit: "binary", maxLength: 120 });

for (const [name, parse] of Object.entries(PARSERS)) {
  test(`whatever is typed, a ${name} is a finite number or a full fault, seed ${SEED}`, () => {
    let good = 0;
    const check = (text: string): void => {
      const result = parse(text);
      if (result.ok) {
        good++;
        assert.ok(Number.isFinite(result.value), `${JSON.stringify(text)} gave ${result.value}`);
        assert.ok(!Object.is(result.value, -0), `${JSON.stringify(text)} gave minus zero`);
        return;
      }
      assert.ok(result.faults.length > 0);
      for (const f of result.faults) assert.ok(f.code && f.what && f.where && f.mend, JSON.stringify(f));
    };
    fc.assert(fc.property(nearly, check), { seed: SEED, numRuns: 1500 });
    assert.ok(good > 0, "some of the texts are good, so the fuzz reaches past the first check");
    fc.assert(fc.property(anything, check), { seed: SEED, numRuns: 500 });
  });
}

test(`a reading has candidates just when it parses or is asked about, seed ${SEED}`, () => {
  fc.assert(
    fc.property(nearly, (text) => {
      const result = parseReading(text, { ambiguity: "ask" });
      const asked = !result.ok && result.faults[0]?.code === "reading-question";
      assert.equal(readingCandidates(text).length, result.ok ? 1 : asked ? 2 : 0);
    }),
    { seed: SEED, numRuns: 1500 },
  );
});

test("a very long text is refused at once", () => {
  for (const [name, parse] of Object.entries(PARSERS)) {
    for (const text of ["1 ".repeat(500_000), "9".repeat(1_000_000), " ".repeat(1_000_000)]) {
      const result = parse(text);
      assert.ok(!result.ok && result.faults[0]?.code.endsWith("-too-long"), name);
    }
  }
});

function pick<T>(result: Result<T>, number: (value: T) => number): Result<number> {
  return result.ok ? { ok: true, value: number(result.value) } : result;
}
