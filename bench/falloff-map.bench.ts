/**
 * A falloff map: 100,000 points of a plain 0.6 × 0.9 m softbox, the dome looking at its middle, by our closed form
 * through the solver's and photometry's doors; against the same integral as anybody would write it with a general
 * matrix library (ml-matrix): an 8 × 8 Gauss–Legendre rule over the front, points in blocks. Target: under 50 ms.
 */

import { Matrix } from "ml-matrix";
import { DOME, falloffMap, gaussLegendre, type PointSheet, rectangleFront } from "../src/photometry/index.ts";
import { demoSetups, type Setup } from "../src/setup/index.ts";
import { createSolver } from "../src/solve/index.ts";
import { printMachine, printRatio, printSink, printTarget, race } from "./harness.ts";

const [widthM, heightM] = [0.6, 0.9];
/** The front stands in the plane z = 0 and looks along +z; the sheet lies level, 0.5 to 3 m before it. */
const front = rectangleFront({ centre: [0, 0, 0], normal: [0, 0, 1] }, widthM, heightM);
const sheet: PointSheet = {
  origin: [-1.5, -0.35, 0.5],
  stepU: [3 / 399, 0, 0],
  stepV: [0, 0, 2.5 / 249],
  columns: 400,
  rows: 250,
};
const count = sheet.columns * sheet.rows;

const rule = gaussLegendre(8);
const abscissae = [...rule.nodes];
const nodes: readonly (readonly [x: number, y: number, weight: number])[] = abscissae.flatMap((u, i) =>
  abscissae.map((v, j): readonly [number, number, number] => [
    (u - 0.5) * widthM,
    (v - 0.5) * heightM,
    (rule.weights[i] ?? 0) * (rule.weights[j] ?? 0),
  ]),
);
const nodeMatrix = new Matrix(nodes.map(([x, y]) => [x, y, 0]));
const nodeSquares = nodes.map(([x, y]) => x * x + y * y);
const weights = Matrix.columnVector(nodes.map(([, , weight]) => weight));

/** M = ∫ (cos θ front) · (1 + cos θ receptor)/2 / (π d² A) dA by matrices: rows are points, columns nodes. */
function byMatrices(out: Float64Array): Float64Array {
  const block = 500;
  for (let from = 0; from < count; from += block) {
    const points = Array.from({ length: block }, (_, k) => pointOf(from + k));
    const squares = points.map(([x, y, z]) => x * x + y * y + z * z);
    // p · q for every point and node; then d² = |p|² + |q|² − 2 p·q, and (q − p)·(−p) = |p|² − p·q.
    const products = new Matrix(points).mmul(nodeMatrix.transpose());
    const received = Matrix.zeros(block, nodes.length);
    for (let k = 0; k < block; k++) {
      const [square, z] = [squares[k] ?? 0, points[k]?.[2] ?? 0];
      const far = Math.sqrt(square);
      for (let n = 0; n < nodes.length; n++) {
        const product = products.get(k, n);
        const d2 = square + (nodeSquares[n] ?? 0) - 2 * product;
        const d = Math.sqrt(d2);
        received.set(k, n, ((z / d) * (1 + (square - product) / (d * far))) / (2 * Math.PI * d2));
      }
    }
    out.set(received.mmul(weights).to1DArray(), from);
  }
  return out;
}

function pointOf(index: number): [number, number, number] {
  const [i, j] = [index % sheet.columns, Math.floor(index / sheet.columns)];
  return [sheet.origin[0] + i * sheet.stepU[0], sheet.origin[1], sheet.origin[2] + j * sheet.stepV[2]];
}

const sumOf = (map: Float64Array): number => map.reduce((sum, value) => sum + value, 0);
const [ours, theirs] = [new Float64Array(count), new Float64Array(count)];

// The same box as the demo's main, so that the solver's door, with its flux, is timed too.
const choir = demoSetups().find(({ title }) => title === "Choir headshots") as Setup;
const main = choir.lights[0] as Setup["lights"][number];
const plain = { ...main.modifier, shape: "rectangle" as const, widthM, heightM, lipM: 0, hotCentre: 0, grid: null };
const setup: Setup = { ...choir, lights: [{ ...main, modifier: plain }] };
const solver = createSolver();

console.log(`falloff map: ${count} points, plain softbox ${widthM} × ${heightM} m, dome at its middle`);
printMachine();
const [map, door, general] = race(
  [
    { name: "falloffMap (closed form)", run: () => sumOf(falloffMap(front, sheet, "front", DOME, ours)) },
    { name: "the solver's map", run: () => sumOf(solver.map(setup, main.id, sheet, "front", "dome")) },
    { name: "8 × 8 quadrature with ml-matrix", run: () => sumOf(byMatrices(theirs)) },
  ],
  { rounds: 25 },
);
printTarget(map, 50);
printTarget(door, 50);
printRatio(general, map);
const apart = ours.reduce((worst, value, i) => Math.max(worst, Math.abs(Math.log2(value / (theirs[i] ?? 0)))), 0);
console.log(`   the two maps lie ${apart.toExponential(1)} stop apart at most`);
printSink();
