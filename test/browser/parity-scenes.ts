/** The seeded scenes on which both twins of the tracer are compared: every material, every kind of front. */

import {
  bareFront,
  discFront,
  type IntensityField,
  lobeFront,
  measuredFront,
  octagonFront,
  rectangleFront,
  umbrellaFront,
} from "../../src/photometry/index.ts";
import { meshMaker, patchCorners, testCamera } from "../../src/picture/testing.ts";
import type { Material, Scene } from "../../src/scene/index.ts";

const BEAM: IntensityField = {
  intensity: (theta) => (theta < 90 ? Math.cos((theta * Math.PI) / 180) ** 3 : 0),
  fluxLm: (2 * Math.PI) / 4,
};

const materials: readonly Material[] = [
  { kind: "diffuse", name: "wall", reflectance: [0.6, 0.5, 0.4] },
  {
    ...{ kind: "skin", name: "skin", luminous: 0.35, reflectance: [0.5, 0.33, 0.25], roughness: 0.35, ior: 1.4 },
    scatterM: [0.0037, 0.0014, 0.0007],
  },
  { kind: "glossy", name: "gloss", reflectance: [0.05, 0.05, 0.1], roughness: 0.1, ior: 1.5 },
  { kind: "mirror", name: "mirror", reflectance: [0.9, 0.9, 0.9] },
  { kind: "glass", name: "pane", ior: 1.5, tint: [1, 1, 1], thin: true },
  { kind: "glass", name: "ball", ior: 1.5, tint: [0.9, 1, 0.95], thin: false },
  {
    ...{ kind: "hair", name: "hair", eumelanin: 1.3, pheomelanin: 0, absorption: [0.54, 0.91, 1.78] },
    ...{ betaM: 0.3, betaN: 0.3, tiltDeg: 2, ior: 1.55 },
  },
];

/** A box room with a ball of each material and eight fronts. */
export function parityScene(): Scene {
  const maker = meshMaker();
  maker.room([-2, 0, -1.5], [2, 2.6, 2.5], [0, 0, 0, 0, 0, 0]);
  maker.sphere([-0.5, 1.3, 0], 0.2, 1, 16);
  maker.sphere([0, 1.3, 0], 0.2, 2, 16);
  maker.sphere([0.5, 1.3, 0], 0.2, 5, 16);
  maker.quad(...patchCorners([-0.4, 0.8, 0], [0, 0, 1], 0.35), 6, [0.2, 0.98, 0]);
  maker.quad(...patchCorners([0.1, 0.8, -0.1], [0.2, 0.1, 1], 0.35), 3);
  maker.quad(...patchCorners([0.55, 0.8, 0.2], [0, 0, 1], 0.35), 4);
  const grid = { cellM: 0.05, depthM: 0.05, openFraction: 0.9 };
  const fronts = [
    rectangleFront({ centre: [1.2, 1.9, 1], normal: [-1, -0.6, -0.9] }, 0.6, 0.9),
    octagonFront({ centre: [-1.3, 1.6, 1], normal: [1, -0.2, -0.9] }, 0.95, "across-flats"),
    discFront({ centre: [0, 2.4, 0.4], normal: [0, -1, -0.3] }, 0.4),
    umbrellaFront({ centre: [-0.8, 2, 1.2], normal: [0.7, -0.6, -1] }, 1, { hotCentre: 0.6 }),
    rectangleFront({ centre: [1.5, 1.4, -0.6], normal: [-1, 0, 0.5] }, 0.3, 1.2, { grid }),
    lobeFront({ centre: [0.6, 2.2, 0.8], normal: [-0.5, -1, -0.8] }, 65, 0.18),
    bareFront({ centre: [-1.2, 2.2, 0.3], normal: [0, -1, 0] }),
    measuredFront({ centre: [0.2, 1.5, 1.6], normal: [0, -0.1, -1] }, BEAM, 0.3, 0.2),
  ];
  return maker.build(materials, fronts, testCamera([0, 1.1, 2.2], [0, 1.1, 0], 44));
}
