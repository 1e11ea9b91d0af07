/**
 * Time to draw: the ladder (asked at every move of a bead), plan, elevation and the Sheet's two pages, as SVG text.
 * As a scale, JSON.stringify of the same shapes.
 */

import { checkSetup } from "../src/care/index.ts";
import { type Drawing, elevation, ladder, plan, sheetPages, toSvg } from "../src/drawing/index.ts";
import { demoKit, demoSetups, type Setup } from "../src/setup/index.ts";
import { predict } from "../src/solve/index.ts";
import { printMachine, printRatio, printSink, race } from "./harness.ts";

const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
const report = predict(choir);
const cautions = checkSetup(choir, report, demoKit());
const desk = (): Drawing => ladder(choir, report, { style: "desk" });
const pages = (): readonly Drawing[] => sheetPages(choir, report, cautions, { paper: "A4", units: "metres" });
const lengthOf = (drawings: readonly Drawing[]): number => drawings.reduce((sum, one) => sum + toSvg(one).length, 0);
const kept = desk();

console.log(
  `drawing: the choir's four lights; ladder ${lengthOf([kept])}, sheet ${lengthOf(pages())} characters of SVG`,
);
printMachine();
const [, ladderSvg, , , , json] = race(
  [
    { name: "ladder, shapes", run: () => desk().shapes.length },
    { name: "ladder, shapes and SVG", run: () => lengthOf([desk()]) },
    { name: "plan, shapes and SVG", run: () => lengthOf([plan(choir, { perMetre: 100 })]) },
    { name: "elevation, shapes and SVG", run: () => lengthOf([elevation(choir, { perMetre: 100 })]) },
    { name: "the Sheet's two pages, shapes and SVG", run: () => lengthOf(pages()) },
    { name: "JSON.stringify of the ladder's shapes", run: () => JSON.stringify(kept.shapes).length },
  ],
  { rounds: 50, warm: 40 },
);
printRatio(ladderSvg, json);
printSink();
