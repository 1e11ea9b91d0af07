import assert from "node:assert/strict";
import { test } from "node:test";
import { type HairFigures, hairFigures, RULE } from "./hair-rule.ts";

const options = { width: 72, samples: 4, seed: 4 } as const;
const stops = (a: number, b: number): number => Math.log2(a / b);

test("the hair light's rule with the hair model of Chiang et al. 2016, as rendered (seed 4, common practice, no source): figures are reported, darker hair stays darker", (t) => {
  const classes = ["dark", "mid", "fair"] as const;
  const own = classes.map((hair) => hairFigures(hair, options));
  // Brown 1.3 and blond 0.3 as documented, dark between brown and black, every strand alike.
  const alike = classes.map((hair, i) => hairFigures(hair, { ...options, eumelanin: [3.2, 1.3, 0.3][i]! }));
  for (const [what, figures] of [
    ["strands mixed as the classes are", own],
    ["every strand alike: 3.2, 1.3, 0.3", alike],
  ] as const) {
    const row = (measure: (f: HairFigures) => number): string =>
      classes
        .map((hair, i) => `${hair} ${RULE[hair]} under ${measure(at(figures[i]!, RULE[hair])).toFixed(4)}`)
        .join(", ");
    t.diagnostic(`${what}: mean ${row((f) => f.mean)}; brightest tenth from ${row((f) => f.bright)}`);
    const [dark, , fair] = figures.map((f, i) => at(f, RULE[classes[i]!]).mean) as [number, number, number];
    t.diagnostic(`fair over dark by the rule: ${stops(fair, dark).toFixed(2)} stops; equal would be 0`);
  }
  for (const figures of [own, alike]) {
    figures.forEach((f) => {
      assert.ok(f.pixels > 500, `${f.pixels} pixels of hair`);
    });
    // At one setting of the light less melanin is brighter, by far more than noise.
    assert.ok(stops(figures[1]!.mean, figures[0]!.mean) > 0.2);
    assert.ok(stops(figures[2]!.mean, figures[1]!.mean) > 0.5);
  }
  // Lighter strands in fair hair can only brighten it.
  assert.ok(own[2]!.mean > alike[2]!.mean);
  assert.deepEqual(hairFigures("fair", options), own[2]);
});

const at = (f: HairFigures, under: number): HairFigures => ({
  ...f,
  mean: f.mean * 2 ** -under,
  bright: f.bright * 2 ** -under,
});
