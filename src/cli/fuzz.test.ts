/** Whatever words stand after a command, it answers in whole text or refuses with full faults; never a throw, never NaN. */

import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { counts } from "../../test/counts.ts";
import type { Command } from "./command.ts";
import { ratioCommand } from "./ratio.ts";
import { sumCommand } from "./sum.ts";
import { turnCommand } from "./turn.ts";
import { readWords } from "./words.ts";
import { realWorld } from "./world.ts";

const seed = 20261125;

// Words that come close to meaning something, and the traps of a command line.
const NEARLY =
  "5.6 5.6^7 8 2.8 4^6 5.67 f/8 N=5.67 1/16 1/16+0.3 -3.7 -1 0 3 100% 0.5 7/10 ½ +0.3 up down 1e9 -0 NaN Infinity " +
  "--target --target=5.6 --dial --dial=1/64 --scale --scale=fraction --lowest=-8 --step=0.1 --step=0 --full=10 " +
  "--tolerance=0.1 --stops --stops=3 --stops=-3 --light-to-light=8 --lit-to-shadow=9 --lit-to-shadow=1 --json --why " +
  "--help -- - -abc --no-json --json=yes --= --__proto__=1 --constructor ";
const word = fc.oneof(
  { weight: 6, arbitrary: fc.constantFrom(...NEARLY.split(" ")) },
  { weight: 1, arbitrary: fc.string({ unit: "binary", maxLength: 30 }) },
);

for (const command of [turnCommand, sumCommand, ratioCommand]) {
  test(`whatever words follow ${command.name}, it answers or refuses in full (seed ${seed})`, async () => {
    let answered = 0;
    const check = async (words: readonly string[]): Promise<void> => {
      if (await holds(command, words)) answered++;
    };
    // Each begins as a call that is right, so that the noise reaches past the first check.
    const start =
      command === turnCommand ? ["5.6", "--target=2.8", "--dial=1/16"] : command === sumCommand ? ["8"] : [];
    await fc.assert(
      fc.asyncProperty(fc.array(word, { maxLength: 7 }), async (words) => {
        await check(words);
        await check([...start, ...words.slice(0, 1)]);
      }),
      { seed, numRuns: counts(400, 20_000) },
    );
    assert.ok(answered > 20, `only ${answered} calls were answered: the noise never reaches the work`);
  });
}

/** True where the command answered. */
async function holds(command: Command, args: readonly string[]): Promise<boolean> {
  const told = JSON.stringify(args);
  const words = readWords(command, args);
  const answer = words.ok ? (words.value.has("help") ? null : await command.run(words.value, realWorld())) : words;
  if (answer === null) return false;
  if (!answer.ok) {
    assert.ok(answer.faults.length > 0, told);
    for (const { code, what, where, mend } of answer.faults) {
      assert.match(code, /^[a-z]+(-[a-z]+)*$/, told);
      assert.ok(what !== "" && where !== "" && mend !== "", `${told}: ${code}`);
      if (!told.includes("NaN")) assert.doesNotMatch(what + mend, /NaN|undefined|\[object/, told);
    }
    return false;
  }
  assert.doesNotMatch(answer.value.text, /NaN|Infinity|undefined/, told);
  return true;
}
