/** A Lambertian patch under every kind of front, near, at portrait distance and tilted, far and tilted; for both twins. */

import {
  bareFront,
  DISC,
  discFront,
  type Front,
  frontFactor,
  type IntensityField,
  lobeFront,
  measuredFront,
  octagonFront,
  type Pose,
  rectangleFront,
  umbrellaFront,
} from "../../src/photometry/index.ts";
import { meshMaker, patchCorners, testCamera } from "../../src/picture/testing.ts";
import type { Scene } from "../../src/scene/index.ts";
import { addScaled, normalize, type Vec3 } from "../../src/units/index.ts";

export interface TruthCase {
  readonly name: string;
  readonly scene: Scene;
  /** ρ times photometry's factor: what the patch must carry. */
  readonly expected: number;
  readonly samples: number;
}

const REFLECTANCE = 0.18;
const SPOT: Vec3 = [0, 1.2, 0];
const BEAM: IntensityField = {
  intensity: (theta, phi) =>
    theta < 90 ? Math.cos((theta * Math.PI) / 180) ** 3 * (1 + 0.3 * Math.cos((phi * Math.PI) / 180)) : 0,
  fluxLm: (2 * Math.PI) / 4,
};
const GRID = { cellM: 0.05, depthM: 0.05, openFraction: 0.9 };

const fronts: readonly (readonly [string, (pose: Pose) => Front, number])[] = [
  ["rectangle", (pose) => rectangleFront(pose, 0.6, 0.9), 16],
  ["octagon", (pose) => octagonFront(pose, 0.95, "across-flats"), 16],
  ["disc", (pose) => discFront(pose, 0.56), 16],
  ["umbrella with a hot centre", (pose) => umbrellaFront(pose, 1, { hotCentre: 0.6 }), 64],
  ["gridded strip", (pose) => rectangleFront(pose, 0.3, 1.2, { grid: GRID }), 256],
  ["lobe with a dish", (pose) => lobeFront(pose, 65, 0.18), 64],
  ["lobe as a point", (pose) => lobeFront(pose, 40, 0), 4],
  ["bare tube", (pose) => bareFront(pose), 4],
  ["measured beam with an opening", (pose) => measuredFront(pose, BEAM, 0.3, 0.2), 256],
  ["measured beam as a point", (pose) => measuredFront(pose, BEAM), 4],
];

const places: readonly (readonly [string, number, number])[] = [
  ["near", 0.4, 0],
  ["at portrait distance and tilted", 1.2, 35],
  ["far and tilted", 4, 65],
];

export function truthCases(): readonly TruthCase[] {
  return fronts.flatMap(([name, make, samples]) =>
    places.map(([where, distance, tiltDeg]): TruthCase => {
      const direction = normalize([0.5, 0.4, 0.8]);
      const front = make({
        centre: addScaled(SPOT, direction, distance),
        normal: [-direction[0], -direction[1] + 0.1, -direction[2]],
      });
      const tilt = (tiltDeg * Math.PI) / 180;
      const straight = addScaled([0, 0, 0], direction, Math.cos(tilt));
      const normal = normalize(addScaled(straight, normalize([0.8, 0, -0.5]), Math.sin(tilt)));
      const expected = REFLECTANCE * frontFactor(front, SPOT, normal, DISC);
      return { name: `${name}, ${where}`, scene: patchScene(front, normal), expected, samples };
    }),
  );
}

/** A patch that fills the frame. */
function patchScene(front: Front, normal: Vec3): Scene {
  const maker = meshMaker();
  maker.quad(...patchCorners(SPOT, normal, 0.02), 0);
  const grey = [REFLECTANCE, REFLECTANCE, REFLECTANCE] as const;
  const camera = testCamera(addScaled(SPOT, normal, 0.05), SPOT, 1);
  return maker.build([{ kind: "diffuse", name: "card", reflectance: [...grey] }], [front], camera);
}
