/**
 * The tracer against closed forms: patches under every kind of front, shadows, the furnace, reciprocity, a room
 * against photometry's radiosity. Stops are of the layer's mean luminance over the patch.
 */

import assert from "node:assert/strict";
import test from "node:test";
import {
  bareFront,
  DISC,
  discFront,
  type Front,
  frontFactor,
  gatherRoom,
  type IntensityField,
  lobeFront,
  measuredFront,
  octagonFront,
  type Pose,
  rectangleFront,
  roomGeometry,
  solveRoom,
  umbrellaFront,
} from "../photometry/index.ts";
import type { Material } from "../scene/index.ts";
import type { Vec3 } from "../units/index.ts";
import { addScaled, normalize } from "../units/index.ts";
import { renderLayers } from "./render.ts";
import { meshMaker, patchCorners, testCamera } from "./testing.ts";
import { usualRequest } from "./types.ts";

const grey: Material = { kind: "diffuse", name: "card", reflectance: [0.18, 0.18, 0.18] };
const BEAM: IntensityField = {
  intensity: (theta, phi) =>
    theta < 90 ? Math.cos((theta * Math.PI) / 180) ** 3 * (1 + 0.3 * Math.cos((phi * Math.PI) / 180)) : 0,
  fluxLm: (2 * Math.PI) / 4,
};

const fronts: readonly (readonly [string, (pose: Pose) => Front, number])[] = [
  ["rectangle", (pose) => rectangleFront(pose, 0.6, 0.9), 16],
  ["octagon", (pose) => octagonFront(pose, 0.95, "across-flats"), 16],
  ["disc", (pose) => discFront(pose, 0.56), 16],
  ["umbrella with a hot centre", (pose) => umbrellaFront(pose, 1, { hotCentre: 0.6 }), 64],
  [
    "gridded strip",
    (pose) => rectangleFront(pose, 0.3, 1.2, { grid: { cellM: 0.05, depthM: 0.05, openFraction: 0.9 } }),
    256,
  ],
  ["lobe with a dish", (pose) => lobeFront(pose, 65, 0.18), 64],
  ["lobe as a point", (pose) => lobeFront(pose, 40, 0), 4],
  ["bare tube", (pose) => bareFront(pose), 4],
  ["measured beam with an opening", (pose) => measuredFront(pose, BEAM, 0.3, 0.2), 256],
  ["measured beam as a point", (pose) => measuredFront(pose, BEAM), 4],
];

const places: readonly (readonly [string, number, number])[] = [
  ["near", 0.4, 0],
  ["at portrait distance", 1.2, 35],
  ["far and tilted", 4, 65],
];

for (const [name, make, samples] of fronts) {
  for (const [where, distance, tiltDeg] of places) {
    test(`a Lambertian patch under a ${name}, ${where}, is within 0.02 stop of photometry (seed 7)`, () => {
      const direction = normalize([0.5, 0.4, 0.8]);
      const front = make({
        centre: addScaled([0, 1.2, 0], direction, distance),
        normal: [-direction[0], -direction[1] + 0.1, -direction[2]],
      });
      const tilt = (tiltDeg * Math.PI) / 180;
      const normal = normalize(
        addScaled(addScaled([0, 0, 0], direction, Math.cos(tilt)), normalize([0.8, 0, -0.5]), Math.sin(tilt)),
      );
      const rendered = patchLayer(front, normal, samples);
      const expected = 0.18 * frontFactor(front, [0, 1.2, 0], normal, DISC);
      assertStops(rendered, expected, 0.02);
    });
  }
}

/** Mean luminance of a 1 mm patch at (0, 1.2, 0) under the front. */
function patchLayer(front: Front, normal: Vec3, samples: number): number {
  const maker = meshMaker();
  maker.quad(...patchCorners([0, 1.2, 0], normal, 0.02), 0);
  const scene = maker.build([grey], [front], testCamera(addScaled([0, 1.2, 0], normal, 0.05), [0, 1.2, 0], 1));
  const { layers } = renderLayers(scene, { ...usualRequest(8, 8, [0], 7), bounces: 0 }, samples);
  return mean(layers[0]!.rgb);
}

test("half of a front behind a flag gives half its light, at the middle of the penumbra (seed 3, 0.02 stop)", () => {
  const front = rectangleFront({ centre: [0, 1.2, 1], normal: [0, 0, -1] }, 0.4, 0.4);
  const maker = meshMaker();
  maker.quad(...patchCorners([0, 1.2, 0], [0, 0, 1], 0.01), 0);
  // Covers x > 0 as seen from the patch.
  maker.quad([0, 0, 0.5], [2, 0, 0.5], [2, 3, 0.5], [0, 3, 0.5], 0);
  const scene = maker.build([grey], [front], testCamera([-0.05, 1.2, 0.05], [0, 1.2, 0], 0.2));
  const { layers } = renderLayers(scene, { ...usualRequest(16, 16, [0], 3), bounces: 0 }, 64);
  assertStops(mean(layers[0]!.rgb), 0.09 * frontFactor(front, [0, 1.2, 0], [0, 0, 1], DISC), 0.02);
});

const furnaceMaterials: readonly (readonly [Material, number, number])[] = [
  [{ kind: "diffuse", name: "white", reflectance: [1, 1, 1] }, 1, 1],
  [{ kind: "diffuse", name: "grey", reflectance: [0.5, 0.5, 0.5] }, 0.5, 0.5],
  [{ kind: "glossy", name: "gloss on white", reflectance: [1, 1, 1], roughness: 0.3, ior: 1.5 }, 0.97, 1.001],
  [{ kind: "glossy", name: "gloss on black", reflectance: [0, 0, 0], roughness: 0.2, ior: 1.5 }, 0.03, 0.2],
  [
    {
      kind: "skin",
      name: "skin",
      luminous: 0.35,
      reflectance: [0.35, 0.35, 0.35],
      roughness: 0.35,
      ior: 1.4,
      scatterM: [0, 0, 0],
    },
    0.35,
    0.42,
  ],
  [{ kind: "mirror", name: "mirror", reflectance: [1, 1, 1] }, 1, 1],
  [{ kind: "glass", name: "pane", ior: 1.5, tint: [1, 1, 1], thin: true }, 1, 1],
  [{ kind: "glass", name: "ball", ior: 1.5, tint: [1, 1, 1], thin: false }, 1, 1],
];

for (const [material, least, most] of furnaceMaterials) {
  test(`furnace: a sphere of ${material.name} in a uniform field of 1 returns ${least} to ${most} (seed 11, 0.5 %)`, () => {
    const maker = meshMaker();
    maker.sphere([0, 0, 0], 0.2, 0, 32);
    const scene = maker.build([material], [], testCamera([0, 0, 2], [0, 0, 0], 8));
    const value = fieldMean(scene);
    assert.ok(value >= least * 0.995 && value <= most * 1.005, `${value}`);
  });
}

/** Mean of the ambient layer, whose field is 1 wherever a path leaves the scene. */
function fieldMean(scene: Parameters<typeof renderLayers>[0]): number {
  const { layers } = renderLayers(scene, { ...usualRequest(16, 16, [], 11), ambient: true }, 64);
  return mean(layers[0]!.rgb);
}

test("reciprocity: light and lens change places over a coated patch, within 0.03 stop (seed 5)", () => {
  const gloss: Material = { kind: "glossy", name: "gloss", reflectance: [0.4, 0.4, 0.4], roughness: 0.4, ior: 1.5 };
  const [a, b]: [Vec3, Vec3] = [normalize([0.9, 0, 0.6]), normalize([-0.2, 0, 1])];
  const from = (light: Vec3, lens: Vec3): number => {
    const maker = meshMaker();
    maker.quad(...patchCorners([0, 0, 0], [0, 0, 1], 0.05), 0);
    const front = discFront({ centre: addScaled([0, 0, 0], light, 3), normal: addScaled([0, 0, 0], light, -1) }, 0.05);
    const scene = maker.build([gloss], [front], testCamera(addScaled([0, 0, 0], lens, 2), [0, 0, 0], 0.2));
    const { layers } = renderLayers(scene, { ...usualRequest(8, 8, [0], 5), bounces: 0 }, 64);
    return mean(layers[0]!.rgb) / frontFactor(front, [0, 0, 0], [0, 0, 1], DISC);
  };
  assertStops(from(a, b), from(b, a), 0.03);
});

test("a closed box lit by a panel matches photometry's patch radiosity within 0.05 stop (seed 2)", () => {
  const [min, max]: [Vec3, Vec3] = [
    [-2, 0, -2],
    [2, 2.6, 2],
  ];
  const reflectance = { ceiling: 0.7, floor: 0.3, left: 0.6, right: 0.6, back: 0.5, front: 0.5 };
  const front = rectangleFront({ centre: [0, 2.2, 0], normal: [0, -1, 0] }, 0.6, 0.6);
  const point: Vec3 = [0.8, 1.1, 0.4];
  const geometry = roomGeometry({ min, max, reflectance }, [], { wallM: 0.5, panelM: 0.4 });
  const solution = solveRoom(geometry, front);
  const expected = gatherRoom(geometry, point, [0, 0, 1], DISC);
  let walls = 0;
  solution.exitance.forEach((exitance, i) => {
    walls += exitance * (expected.weights[i] as number);
  });
  const shade = (value: number): Material => ({
    kind: "diffuse",
    name: String(value),
    reflectance: [value, value, value],
  });
  const maker = meshMaker();
  maker.room(min, max, [2, 2, 1, 0, 3, 3]);
  // A tiny white patch that changes nothing.
  maker.quad(...patchCorners(point, [0, 0, 1], 0.004), 4);
  const scene = maker.build(
    [shade(0.7), shade(0.3), shade(0.6), shade(0.5), shade(1)],
    [front],
    testCamera(addScaled(point, [0.3, 0, 1], 0.05), point, 0.5),
  );
  const all = { ...usualRequest(16, 16, [0], 2), bounces: 24 };
  const whole = mean(renderLayers(scene, all, 256).layers[0]!.rgb);
  const direct = mean(renderLayers(scene, { ...all, bounces: 0 }, 64).layers[0]!.rgb);
  assertStops(whole - direct, walls, 0.05);
});

test("one seed gives the same bits, whatever the tiles and the passes; another seed does not", () => {
  const maker = meshMaker();
  maker.sphere([0, 1, 0], 0.2, 0, 12);
  const scene = maker.build(
    [grey],
    [rectangleFront({ centre: [1, 1.5, 1], normal: [-1, -0.5, -1] }, 0.6, 0.9)],
    testCamera([0, 1, 2], [0, 1, 0], 14),
  );
  const request = usualRequest(20, 24, [0], 9);
  const once = renderLayers(scene, request, 4).layers[0]!.rgb;
  assert.deepEqual(renderLayers(scene, request, 4, 7).layers[0]!.rgb, once);
  assert.notDeepEqual(renderLayers(scene, { ...request, seed: 10 }, 4).layers[0]!.rgb, once);
});

test("noise falls with the samples and is estimated within a factor 2 of the true deviation (seed 4)", () => {
  const maker = meshMaker();
  maker.room([-2, 0, -2], [2, 2.6, 2], [0, 0, 0, 0, 0, 0]);
  maker.sphere([0, 1, 0], 0.2, 0, 12);
  const light = rectangleFront({ centre: [1, 1.5, 1], normal: [-1, -0.5, -1] }, 0.6, 0.9);
  const scene = maker.build(
    [{ kind: "diffuse", name: "wall", reflectance: [0.6, 0.6, 0.6] }],
    [light],
    testCamera([0, 1, 1.8], [0, 1, 0], 20),
  );
  const at = (samples: number, seed: number) =>
    renderLayers(scene, usualRequest(24, 24, [0], seed), samples).layers[0]!;
  const reference = at(1024, 99).rgb;
  const [few, more] = [at(8, 4), at(64, 4)];
  assert.ok(
    more.estimatedNoiseStops < few.estimatedNoiseStops / 1.7,
    `${few.estimatedNoiseStops} ${more.estimatedNoiseStops}`,
  );
  const errors = Array.from({ length: 576 }, (_, i) =>
    Math.abs(Math.log2((few.rgb[3 * i] as number) / (reference[3 * i] as number))),
  ).sort((x, y) => x - y);
  const truth = errors[Math.floor(0.95 * 575)] as number;
  assert.ok(
    few.estimatedNoiseStops > truth / 2 && few.estimatedNoiseStops < truth * 2,
    `${few.estimatedNoiseStops} against ${truth}`,
  );
});

function mean(rgb: Float32Array): number {
  let sum = 0;
  for (const value of rgb) sum += value;
  return sum / rgb.length;
}

function assertStops(got: number, expected: number, tolerance: number): void {
  const stops = Math.log2(got / expected);
  assert.ok(Math.abs(stops) <= tolerance, `${stops.toFixed(4)} stop: ${got} against ${expected}`);
}
