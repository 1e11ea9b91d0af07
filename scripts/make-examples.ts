/**
 * Writes examples/: the setups of our own scenario as files, and one that is lit by a measured beam. Run it again
 * after a change of the demo setups; test/examples.test.ts holds the files to what this makes.
 */

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { applyEdits, demoSetups, type Light, printSetup, type Setup } from "../src/setup/index.ts";
import { planDials, predict } from "../src/solve/index.ts";
import { expectOk } from "../src/units/index.ts";

const root: string = join(import.meta.dirname, "..");

/** File name and text of every example. */
export function exampleFiles(): ReadonlyMap<string, string> {
  const demo = demoSetups();
  return new Map([...demo, measuredBeam(demo)].map((setup) => [`${fileName(setup.title)}.json`, printSetup(setup)]));
}

const fileName = (title: string): string =>
  title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-|-$/g, "");

/**
 * The interview with its main's front replaced by a measured beam, and every dial set to what the plan asks. The file
 * counts radiant intensity of a lamp that must never light a person, so its shape alone is used, on our own head.
 */
function measuredBeam(demo: readonly Setup[]): Setup {
  const interview = demo.find(({ id }) => id === "demo-interview");
  const main = interview?.lights.find(({ role }) => role === "main");
  if (interview === undefined || main === undefined) throw new RangeError("the demo has no interview with a main");
  const lit: Setup = {
    ...interview,
    id: "example-measured-beam",
    title: "Measured beam",
    notes:
      "The panel interview, its main given the beam of a real measured file (fixtures/photometric). Invented, but for " +
      "the file. Only the shape of the beam is used: the file counts the radiation of an ultraviolet lamp, which must " +
      "never light a person.",
    tags: ["LED", "measured"],
    readings: [],
    asShot: [],
    lights: interview.lights.map((light) => (light.id === main.id ? withMeasuredFront(light) : light)),
  };
  return expectOk(applyEdits(lit, planDials(lit, predict(lit).lights)));
}

const MEASURED_FILE = "measured-module.ies";

/** Further back than the panel's soft face stood: a beam this narrow is too strong near by. */
function withMeasuredFront(light: Light): Light {
  return {
    ...light,
    place: { kind: "polar", azimuthDeg: -35, distanceM: 2.4, heightM: 2.05 },
    modifier: {
      ...light.modifier,
      id: "front-measured-module",
      name: "Measured module",
      shape: "measured",
      // The file's luminous opening, 0.05 ft.
      widthM: 0.015,
      heightM: 0.015,
      depthM: 0.02,
      transmission: 1,
      layers: [],
      lipM: 0,
      grid: null,
      beamDeg: null,
      hotCentre: 0,
      photometricFile: {
        name: MEASURED_FILE,
        text: readFileSync(join(root, "fixtures", "photometric", MEASURED_FILE), "utf8"),
        absolute: false,
      },
      learnedStops: 0,
      learnedReadings: 0,
    },
  };
}

if (import.meta.main) {
  for (const [name, text] of exampleFiles()) {
    writeFileSync(join(root, "examples", name), text);
    console.log(`examples/${name}`);
  }
}
