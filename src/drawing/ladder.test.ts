import assert from "node:assert/strict";
import { test } from "node:test";
import { matchesGolden } from "../../test/golden.ts";
import { choirReport, choirSetup } from "./choir-example.ts";
import { ladder } from "./ladder.ts";
import { boundsOf, flat } from "./shape.ts";
import { toSvg } from "./svg.ts";
import type { GroupShape, Shape } from "./types.ts";

const groups = (shapes: readonly Shape[]): readonly GroupShape[] =>
  shapes.flatMap((s) => (s.kind === "group" ? [s, ...groups(s.shapes)] : []));

const middleOf = (shapes: readonly Shape[]): number => {
  const box = boundsOf(shapes.filter((s) => s.kind === "path"));
  return box.y + box.height / 2;
};

test("one stop is the same height everywhere, and a height reads back as its Av", () => {
  const drawn = ladder(choirSetup, choirReport, { style: "desk", width: 760, height: 430 });
  const stop = drawn.yOf(4) - drawn.yOf(5);
  for (let av = 0; av < 7; av++) assert.ok(Math.abs(drawn.yOf(av) - drawn.yOf(av + 1) - stop) < 1e-9);
  assert.ok(Math.abs(drawn.avAt(drawn.yOf(3.7)) - 3.7) < 1e-9);
});

test("beads stand at the reading, or at the prediction while nothing was metered; jaws at the target", () => {
  const drawn = ladder(choirSetup, choirReport, { style: "desk" });
  const parts = groups(drawn.shapes);
  for (const told of choirReport.lights) {
    const bead = parts.find((g) => g.part === `light:${told.lightId}:bead`);
    const jaws = parts.find((g) => g.part === `light:${told.lightId}:jaws`);
    assert.ok(bead && jaws);
    assert.ok(Math.abs(middleOf(bead.shapes) - drawn.yOf(told.readingAv ?? told.predicted.av ?? 0)) < 0.01);
    assert.ok(Math.abs(middleOf(jaws.shapes) - drawn.yOf(told.targetAv)) < 0.01);
  }
});

test("jaws are as high as the tolerance, and never lower than the bead", () => {
  const drawn = ladder(choirSetup, choirReport, { style: "desk", height: 900 });
  const stop = drawn.yOf(4) - drawn.yOf(5);
  const edge = groups(drawn.shapes).find((g) => g.part === "light:light-e:jaws");
  assert.ok(edge);
  assert.ok(Math.abs(boundsOf(edge.shapes).height - 0.6 * stop) < 0.01);
  const main = groups(drawn.shapes).find((g) => g.part === "light:light-m:jaws");
  assert.ok(main && boundsOf(main.shapes).height >= 24);
});

test("every shape of every style lies inside its drawing", () => {
  for (const style of ["desk", "phone", "rail", "card", "sheet"] as const) {
    const drawn = ladder(choirSetup, choirReport, { style, ...(style === "rail" ? { only: "light-f" } : {}) });
    const box = boundsOf(drawn.shapes);
    assert.ok(box.x >= -1 && box.y >= -1, style);
    assert.ok(box.x + box.width <= drawn.width + 1 && box.y + box.height <= drawn.height + 1, style);
  }
});

test("the turn is told in words, what the dial cannot reach as over", () => {
  const words = [...flat(ladder(choirSetup, choirReport, { style: "phone" }).shapes)].flatMap((s) =>
    s.kind === "text" ? [s.runs.map((r) => r.text).join("")] : [],
  );
  for (const wanted of ["up 0.3", "down 0.4", "0.4 over", "6.6:1", "bare"]) assert.ok(words.includes(wanted), wanted);
});

test("a light without light has no bead, and says dark", () => {
  const [first, ...rest] = choirReport.lights;
  assert.ok(first);
  const dark = { ...first, predicted: { ...first.predicted, av: null }, readingAv: null };
  const drawn = ladder(choirSetup, { ...choirReport, lights: [dark, ...rest] }, { style: "desk" });
  const group = groups(drawn.shapes).find((g) => g.part === "light:light-m");
  assert.match(group?.label ?? "", /dark/);
  assert.equal(
    groups(drawn.shapes).some((g) => g.part === "light:light-m:bead"),
    false,
  );
});

test("the desk, phone and card ladders look as they were approved", () => {
  const desk = ladder(choirSetup, choirReport, { style: "desk", width: 760, height: 430, selected: "light-f" });
  matchesGolden("ladder-desk", toSvg(desk));
  matchesGolden("ladder-phone", toSvg(ladder(choirSetup, choirReport, { style: "phone", width: 386 })));
  matchesGolden("ladder-card", toSvg(ladder(choirSetup, choirReport, { style: "card" })));
});
