import assert from "node:assert/strict";
import { test } from "node:test";
import type { Vec3 } from "../units/index.ts";
import { ev, luxSeconds, stops } from "../units/index.ts";
import * as x from "./index.ts";
import { near } from "./kit.test.ts";

test("[P4] [CV31] (D) three stops under is 8:1 light to light and 9:1 lit to shadow", () => {
  near(x.lightToLight(stops(3)), 8, 1e-9);
  near(x.litToShadow(stops(3)), 9, 1e-9);
  near(x.litToShadowOf(8, 1), 9, 1e-12);
});

test("[P4] [CV32] [CV33] (D) lit to shadow 3:1 is one stop under, 4:1 is 1.585", () => {
  near(x.stopsOfLitToShadow(3), 1, 1e-9);
  near(x.stopsOfLitToShadow(4), 1.58496, 1e-4);
  near(x.stopsOfLightToLight(8), 3, 1e-12);
});

test("[P4] [CV34] (D) one, two and three under add 0.585, 0.322 and 0.170 stop", () => {
  near(x.addedToMain(stops(1)), 0.58496, 1e-4);
  near(x.addedToMain(stops(2)), 0.32193, 1e-4);
  near(x.addedToMain(stops(3)), 0.16993, 1e-4);
});

test("[P3] [CV35] (D) f/8 and f/5.6 together are f/9.798", () => {
  near(2 ** (x.addAv([ev(6), ev(5)]) / 2), 9.79796, 5e-4);
});

test("[P3] [CV36] (D) f/8, f/5.6 and f/4 together are f/10.583", () => {
  const av = x.addAv([ev(6), ev(5), ev(4)]);
  near(av, 6.80735, 5e-4);
  near(2 ** (av / 2), 10.58301, 5e-4);
});

test("[P3] [CV37] (D) f/11, f/8, f/5.6 and f/4 together are f/15.492", () => {
  const av = x.addAv([ev(7), ev(6), ev(5), ev(4)]);
  near(av, 7.90689, 5e-4);
  near(2 ** (av / 2), 15.4919, 5e-4);
});

test("[P4] [CV38] (D) a main with lights 3, 2 and 2 under on the same patch gains 0.70044 stop", () => {
  near(x.addedByAll([stops(3), stops(2), stops(2)]), 0.70044, 1e-4);
});

const term = (label: string, change: Partial<x.SumTerm> = {}): x.SumTerm => ({
  label,
  point: "nose",
  receptor: "dome",
  aim: [0, 0, 1],
  aimName: "at the lens",
  exposure: luxSeconds(100),
  ...change,
});

test("[P3] readings at one point, with one receptor and one aim add", () => {
  const sum = x.sumReadings([
    term("Main"),
    term("Fill", { exposure: luxSeconds(12.5) }),
    term("Edge", { aim: [0, 0.02, 2] }),
  ]);
  assert.deepEqual(sum, { ok: true, value: 212.5 });
  assert.deepEqual(x.sumReadings([]), { ok: true, value: 0 });
});

test("[P3] every reading that may not be added is named, with why and what to do", () => {
  const aside: Vec3 = [1, 0, 0];
  const sum = x.sumReadings([
    term("Main"),
    term("Hair", { point: "crown", aim: aside, aimName: "at the light" }),
    term("Fill", { receptor: "disc" }),
  ]);
  assert.ok(!sum.ok);
  assert.deepEqual(
    sum.faults.map((f) => [f.code, f.where]),
    [
      ["sum-point", "readings[1]"],
      ["sum-aim", "readings[1]"],
      ["sum-receptor", "readings[2]"],
    ],
  );
  for (const f of sum.faults) assert.ok(f.what.length > 20 && f.mend.length > 20);
});
