/**
 * Time to look for cautions, every mend on offer proved by judging the changed setup again: what the page asks after
 * an edit. With the predictor's proof, as the page does, and without.
 */

import { checkSetup } from "../src/care/index.ts";
import { demoKit, demoSetups, type Setup } from "../src/setup/index.ts";
import { createSolver } from "../src/solve/index.ts";
import { printMachine, printSink, race } from "./harness.ts";

const kit = demoKit();
const solver = createSolver();
const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
/** The fill 0.1 mm further every round, so that nothing remembered answers. */
const moved = (round: number): Setup => ({
  ...choir,
  lights: choir.lights.map((light) =>
    light.tag === "F" && light.place.kind === "polar"
      ? { ...light, place: { ...light.place, distanceM: 1.7 + (round + 500) * 1e-4 } }
      : light,
  ),
});
let next = choir;
const prepare = (round: number): void => {
  next = moved(round);
  solver.report(next);
};

console.log(`cautions: the choir, ${checkSetup(choir, solver.report(choir), kit, solver.report).length} found`);
printMachine();
race(
  [
    {
      name: "after one light was moved, room and rigging alone",
      prepare,
      run: () => checkSetup(next, solver.report(next), kit).length,
    },
    {
      name: "after one light was moved, light proved too",
      prepare,
      run: () => checkSetup(next, solver.report(next), kit, solver.report).length,
    },
  ],
  { rounds: 20, warm: 5 },
);
printSink();
