import assert from "node:assert/strict";
import { test } from "node:test";
import { matchesGolden } from "../../test/golden.ts";
import { lightBody, positionOf } from "../setup/index.ts";
import { choirReport, choirSetup } from "./choir-example.ts";
import { elevation } from "./elevation.ts";
import { overlapArea } from "./labels.ts";
import { textBox } from "./measure.ts";
import { plan } from "./plan.ts";
import { boxCorners, flat } from "./shape.ts";
import { toSvg } from "./svg.ts";
import type { Drawing, TextShape } from "./types.ts";

const textsOf = (drawing: Drawing): readonly TextShape[] =>
  [...flat(drawing.shapes)].filter((s): s is TextShape => s.kind === "text");

test("the room is as wide, deep and high as the scale says", () => {
  const { view } = plan(choirSetup, { perMetre: 75.6 });
  assert.ok(Math.abs(view.width - 4.2 * 75.6) < 1e-9 && Math.abs(view.height - 5.4 * 75.6) < 1e-9);
  const side = elevation(choirSetup, { perMetre: 75.6 }).view;
  assert.ok(Math.abs(side.width - 5.4 * 75.6) < 1e-9 && Math.abs(side.height - 2.9 * 75.6) < 1e-9);
});

test("a place in the drawing reads back as the place in the room", () => {
  for (const drawn of [plan(choirSetup, { perMetre: 66 }), elevation(choirSetup, { perMetre: 40 })]) {
    for (const light of choirSetup.lights) {
      const [x, y, z] = positionOf(light.place, choirSetup);
      const back = drawn.toWorld(...drawn.view.project([x, y, z]));
      if (back.xM !== undefined) assert.ok(Math.abs(back.xM - x) < 1e-9);
      if (back.yM !== undefined) assert.ok(Math.abs(back.yM - y) < 1e-9);
      assert.ok(back.zM !== undefined && Math.abs(back.zM - z) < 1e-9);
    }
  }
});

test("camera left is on the left, the camera below the sitter, a high light high", () => {
  const { view } = plan(choirSetup, { perMetre: 60 });
  const main = lightBody(choirSetup, choirSetup.lights[0] as never).centre;
  const nose = view.project([0, 1.25, 0]);
  assert.ok(view.project(main)[0] < nose[0]);
  assert.ok(view.project([0, 1.25, 2.6])[1] > nose[1]);
  const side = elevation(choirSetup, { perMetre: 60 }).view;
  assert.ok(side.project(main)[1] < side.project([0, 1.25, 0])[1]);
  assert.ok(side.project([0, 1.25, 2.6])[0] > side.project([0, 1.25, 0])[0]);
});

test("labels do not lie on one another, in metres and in feet, large and small", () => {
  for (const units of ["metres", "feet"] as const) {
    for (const perMetre of [55, 66, 75.6, 110]) {
      for (const drawn of [
        plan(choirSetup, { perMetre, units, selected: "light-f" }),
        elevation(choirSetup, { perMetre, units }),
      ]) {
        const boxes = textsOf(drawn)
          .filter((t) => t.rotateDeg === undefined)
          .map((t) => ({ t, box: textBox(t) }));
        boxes.forEach((a, i) => {
          for (const b of boxes.slice(i + 1)) {
            const shared = overlapArea(boxCorners(a.box), b.box);
            const words = `${a.t.runs[0]?.text} on ${b.t.runs[0]?.text} at ${perMetre} ${units}`;
            assert.ok(shared <= 0.08 * Math.min(a.box.width * a.box.height, b.box.width * b.box.height), words);
          }
        });
      }
    }
  }
});

test("every distance, height and room side is written", () => {
  const inPlan = textsOf(plan(choirSetup, { perMetre: 66 })).map((t) => t.runs[0]?.text);
  for (const words of ["1.25 m", "2.00 m", "1.50 m", "1.05 m", "4.20 m", "5.40 m", "5.7 kg"])
    assert.ok(inPlan.includes(words), words);
  const inSide = textsOf(elevation(choirSetup, { perMetre: 66 })).map((t) => t.runs[0]?.text);
  for (const words of ["1.78 m", "1.60 m", "1.35 m", "1.99 m", "2.90 m"]) assert.ok(inSide.includes(words), words);
});

test("the pointer can take hold of lights, handles, panels and camera", () => {
  const svg = toSvg(plan(choirSetup, { perMetre: 66, selected: "light-f" }));
  for (const part of ["light:light-m", "light:light-f:front", "light:light-f:aim", "panel:panel-left", "camera"]) {
    assert.ok(svg.includes(`data-part="${part}"`), part);
  }
});

test("names cannot break out of the drawing", () => {
  const title = `<script>alert("x")</script> & ]]>`;
  const svg = toSvg(plan({ ...choirSetup, title }, { perMetre: 40 }));
  assert.ok(!svg.includes("<script") && svg.includes("&lt;script&gt;"));
});

test("on screen every colour is a custom property, in print none is", () => {
  const drawn = plan(choirSetup, { perMetre: 40 });
  assert.ok(!/"#[0-9a-f]{6}"/.test(toSvg(drawn)));
  assert.ok(toSvg(drawn).includes("var(--l1)"));
  assert.ok(!toSvg(drawn, { palette: "print" }).includes("var("));
});

test("plan and elevation look as they were approved", () => {
  assert.ok(choirReport.lights.length === 4);
  matchesGolden("plan", toSvg(plan(choirSetup, { perMetre: 66, selected: "light-f" })));
  matchesGolden("elevation", toSvg(elevation(choirSetup, { perMetre: 66 })));
});
