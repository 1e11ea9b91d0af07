/**
 * Reading what people type: parseReading over 10,000 strings in every accepted form, against a bare regular
 * expression and Number that know two of the forms and nothing of marks, thirds, ambiguity or faults.
 */

import { parseReading } from "../src/units/index.ts";
import { pick, seeded } from "../test/sample-book.ts";
import { printMachine, printRatio, printSink, race } from "./harness.ts";

const SEED = 20261125;
const random = seeded(SEED);
const marks = ["1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22"];
const raised = ["⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"];
const forms: readonly (() => string)[] = [
  () => `${pick(random, marks)}^${Math.floor(10 * random())}`,
  () => `${pick(random, marks)}${pick(random, raised)}`,
  () => `f/${pick(random, marks)} ${Math.floor(10 * random())}`,
  () => `${pick(random, marks)}+0.${Math.floor(10 * random())}`,
  () => `${pick(random, marks)} ${pick(random, ["1/3", "2/3", "⅓", "½"])}`,
  () => pick(random, ["7.1", "9", "6.3", "13", "1.8"]),
  () => `N=${(1 + 20 * random()).toFixed(2)}`,
  () => pick(random, ["5.67", "8.5", "eight", "5.6^12", ""]),
];
const texts = Array.from({ length: 10_000 }, () => pick(random, forms)());

const pattern = /^(?:f\/)?(\d+(?:\.\d+)?)(?:[\^ ](\d))?$/;
/** Av of a mark and tenths, marks taken literally; 0 for what it does not know. */
function plainly(text: string): number {
  const found = pattern.exec(text);
  return found ? 2 * Math.log2(Number(found[1])) + Number(found[2] ?? 0) / 10 : 0;
}
const carefully = (text: string): number => {
  const result = parseReading(text);
  return result.ok ? result.value.av : result.faults.length;
};

console.log(`notation: ${texts.length} readings as typed, one in eight with a fault (seed ${SEED})`);
printMachine();
const [ours, plain] = race(
  [
    { name: "parseReading", run: () => texts.reduce((sum, text) => sum + carefully(text), 0) },
    { name: "RegExp and Number", run: () => texts.reduce((sum, text) => sum + plainly(text), 0) },
  ],
  { rounds: 100, warm: 30 },
);
printRatio(ours, plain);
printSink();
