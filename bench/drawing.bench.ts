/**
 * Time to draw: the ladder (asked at every move of a bead), plan and elevation, each as shapes and as SVG text.
 * As a scale, JSON.stringify of the same shapes.
 */

import { elevation } from "../src/drawing/elevation.ts";
import { ladder } from "../src/drawing/ladder.ts";
import { plan } from "../src/drawing/plan.ts";
import { toSvg } from "../src/drawing/svg.ts";
import type { Drawing } from "../src/drawing/types.ts";
import { demoSetups, type Setup } from "../src/setup/index.ts";
import { predict } from "../src/solve/index.ts";
import { printMachine, printRatio, printSink, race } from "./harness.ts";

const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
const report = predict(choir);
const desk = (): Drawing => ladder(choir, report, { style: "desk" });
const kept = desk();

console.log(`drawing: the choir's four lights; the ladder is ${toSvg(kept).length} characters of SVG`);
printMachine();
const [, ladderSvg, , , json] = race(
  [
    { name: "ladder, shapes", run: () => desk().shapes.length },
    { name: "ladder, shapes and SVG", run: () => toSvg(desk()).length },
    { name: "plan, shapes and SVG", run: () => toSvg(plan(choir, { perMetre: 100 })).length },
    { name: "elevation, shapes and SVG", run: () => toSvg(elevation(choir, { perMetre: 100 })).length },
    { name: "JSON.stringify of the ladder's shapes", run: () => JSON.stringify(kept.shapes).length },
  ],
  { rounds: 200, warm: 100 },
);
printRatio(ladderSvg, json);
printSink();
