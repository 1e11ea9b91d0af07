/**
 * The whole set of predictions of the demo's four lights: 12 named points, dome and disc, two of the fronts
 * gridded strips, every one a ledger. Asked again unchanged; after a turn of one dial; after one light moved;
 * and of a solver that has seen nothing (code warm, memory empty). Target for the warm set: under 1 ms.
 */

import { demoSetups, type Light, type MeterPlace, pointNames, type Setup } from "../src/setup/index.ts";
import { createSolver, type Ledger, type Solver, usualPlace } from "../src/solve/index.ts";
import { printMachine, printRatio, printSink, printTarget, race } from "./harness.ts";

const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
const places: readonly MeterPlace[] = pointNames(choir)
  .slice(0, 12)
  .flatMap((point) => (["dome", "disc"] as const).map((receptor) => ({ ...usualPlace(point), receptor })));
const grids = choir.lights.filter(({ modifier }) => modifier.grid !== null).length;

/** Rows of a ledger, added: every row is read. */
const added = (ledger: Ledger): number =>
  ledger.kind === "chain"
    ? ledger.rows.reduce((sum, row) => sum + row.stops + row.sigmaStops, 0)
    : ledger.parts.reduce((sum, part) => sum + added(part), 0);

function wholeSet(solver: Solver, setup: Setup): number {
  let sum = 0;
  for (const light of setup.lights) {
    for (const place of places) {
      const { luxSeconds, ledger } = solver.alone(setup, light.id, place);
      sum += luxSeconds + added(ledger);
    }
  }
  return sum;
}

const withLight = (tag: string, change: (light: Light) => Partial<Light>): Setup => ({
  ...choir,
  lights: choir.lights.map((light) => (light.tag === tag ? { ...light, ...change(light) } : light)),
});
/** A dial that stood nowhere before, for every round. */
const turned = (round: number): Setup => withLight("F", () => ({ dialStops: -((round + 5000) % 7000) / 1000 }));
/** A fill that stood nowhere before: 0.1 mm further every round. */
const moved = (round: number): Setup =>
  withLight("F", ({ place }) =>
    place.kind === "polar" ? { place: { ...place, distanceM: 1.7 + (round + 2000) * 1e-4 } } : {},
  );

const unchanged = createSolver();
const dials = createSolver();
const moves = createSolver();
const reports = createSolver();
const moveReports = createSolver();
for (const solver of [unchanged, dials, moves]) wholeSet(solver, choir);

console.log(`predict: ${choir.lights.length} lights (${grids} gridded) × ${places.length} readings, ledgers included`);
printMachine();
let next: Setup = choir;
let bare: Solver = unchanged;
const [warm, dial] = race(
  [
    { name: "asked again, nothing changed", run: () => wholeSet(unchanged, choir) },
    {
      name: "after one dial was turned",
      prepare: (round) => {
        next = turned(round);
      },
      run: () => wholeSet(dials, next),
    },
    {
      name: "after one light was moved",
      prepare: (round) => {
        next = moved(round);
      },
      run: () => wholeSet(moves, next),
    },
  ],
  { rounds: 400, warm: 300 },
);
const [cold] = race(
  [
    {
      name: "a solver that has seen nothing",
      prepare: () => {
        bare = createSolver();
      },
      run: () => wholeSet(bare, choir),
    },
  ],
  { rounds: 12, warm: 4 },
);
printTarget(warm, 1);
printTarget(dial, 1);
printRatio(cold, warm);

console.log("predict: the whole report (what the page asks after every edit)");
const total = (solver: Solver, setup: Setup): number =>
  solver.report(setup).lights.reduce((sum, { predicted }) => sum + predicted.luxSeconds, 0);
race(
  [
    {
      name: "report after one dial was turned",
      prepare: (round) => {
        next = turned(round);
      },
      run: () => total(reports, next),
    },
    {
      name: "report after one light was moved",
      prepare: (round) => {
        next = moved(round);
      },
      run: () => total(moveReports, next),
    },
  ],
  { rounds: 40, warm: 20 },
);
printSink();
