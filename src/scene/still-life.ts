/**
 * Things on a table for setups whose subject is an object: sphere, cylinder, box, vase and bottle, turned from
 * profiles of our own. The setup's reference point is the middle of the first thing, on its near side. World
 * axes, metres.
 */

import type { Setup } from "../setup/index.ts";
import { noseOf } from "../setup/index.ts";
import type { Piece } from "./assemble.ts";
import { type Draft, finish, newDraft, type Part, vertex } from "./part.ts";
import { box } from "./studio.ts";
import type { ObjectShape } from "./types.ts";

/** Half the first thing's height: the table top lies that far under the reference point. */
const middleOverTableM = 0.15;
const tableThicknessM = 0.03;

/** Height of the table top, m. */
export const tableTopM = (setup: Setup): number => Math.max(0.05, setup.subject.noseHeightM - middleOverTableM);

type Profile = readonly (readonly [radius: number, height: number])[];

/** Outlines from the foot up, as points that a smooth line joins; sizes in m. */
const profiles: Readonly<Record<"vase" | "bottle", Profile>> = {
  vase: [
    [0.042, 0],
    [0.05, 0.006],
    [0.072, 0.06],
    [0.087, 0.12],
    [0.086, 0.165],
    [0.066, 0.215],
    [0.041, 0.25],
    [0.034, 0.272],
    [0.041, 0.293],
    [0.047, 0.3],
  ],
  bottle: [
    [0.034, 0],
    [0.038, 0.006],
    [0.038, 0.06],
    [0.038, 0.16],
    [0.036, 0.19],
    [0.022, 0.222],
    [0.0145, 0.245],
    [0.0138, 0.285],
    [0.0155, 0.29],
    [0.0155, 0.302],
  ],
};

const places: readonly (readonly [x: number, z: number])[] = [
  [0, -0.09],
  [0.2, -0.16],
  [-0.2, -0.13],
  [0.34, -0.05],
  [-0.33, -0.02],
];

export function stillLifePieces(setup: Setup, shapes: readonly ObjectShape[]): readonly Piece[] {
  const [x, , z] = noseOf(setup);
  const top = tableTopM(setup);
  const table = newDraft();
  box(table, [x - 0.75, top - tableThicknessM, z - 0.6], [x + 0.75, top, z + 0.33]);
  for (const [lx, lz] of [
    [-0.7, -0.55],
    [0.7, -0.55],
    [-0.7, 0.28],
    [0.7, 0.28],
  ] as const)
    box(table, [x + lx - 0.025, 0.001, z + lz - 0.025], [x + lx + 0.025, top - tableThicknessM, z + lz + 0.025]);
  const pieces: Piece[] = [{ name: "table", kind: "furniture", ownerId: null, parts: [finish(table, "table")] }];
  shapes.slice(0, places.length).forEach((shape, i) => {
    const [dx, dz] = places[i]!;
    const mark = i === 0 ? "" : `#${i + 1}`;
    // The sheet of a sweep lies under the thing.
    const part = thing(shape, x + dx, top + 0.0035, z + dz);
    pieces.push({ name: `object${mark}`, kind: "object", ownerId: null, parts: [part] });
  });
  return pieces;
}

function thing(shape: ObjectShape, x: number, y: number, z: number): Part {
  const draft = newDraft();
  switch (shape) {
    case "sphere": {
      const rings = Array.from({ length: 41 }, (_, i): readonly [number, number] => {
        const a = (Math.PI * i) / 40;
        return [0.09 * Math.sin(a), 0.09 - 0.09 * Math.cos(a)];
      });
      turned(draft, rings, x, y, z);
      return finish(draft, "paint");
    }
    case "cylinder":
      turned(draft, rounded(0.06, 0.24, 0.004), x, y, z);
      return finish(draft, "paint");
    case "box":
      box(draft, [x - 0.07, y, z - 0.07], [x + 0.07, y + 0.2, z + 0.07]);
      return finish(draft, "card");
    case "vase":
      turned(draft, [...smooth(profiles.vase), ...inside(0.3)], x, y, z);
      return finish(draft, "stoneware");
    case "bottle":
      turned(draft, [...smooth(profiles.bottle), [0.011, 0.302], [0.011, 0.28], [0.0001, 0.28]], x, y, z);
      return finish(draft, "bottle");
  }
}

/** The inner wall of the vase, down to a floor. */
const inside = (h: number): Profile => [
  [0.043, h],
  [0.036, h - 0.008],
  [0.029, h - 0.03],
  [0.036, h - 0.055],
  [0.06, h - 0.09],
  [0.07, h - 0.16],
  [0.0001, h - 0.26],
];

const rounded = (r: number, h: number, e: number): Profile => [
  [0.0001, 0],
  [r - e, 0],
  [r, e],
  [r, h / 2],
  [r, h - e],
  [r - e, h],
  [0.0001, h],
];

/** A smooth line through the points (Catmull and Rom), six steps each. */
function smooth(points: Profile): Profile {
  const out: (readonly [number, number])[] = [[0.0001, points[0]![1]]];
  for (let i = 0; i + 1 < points.length; i++) {
    const [a, b, c, d] = [
      points[Math.max(0, i - 1)]!,
      points[i]!,
      points[i + 1]!,
      points[Math.min(points.length - 1, i + 2)]!,
    ];
    for (let s = 0; s < 6; s++) {
      const t = s / 6;
      const at = (k: 0 | 1): number =>
        0.5 *
        (2 * b[k] +
          (c[k] - a[k]) * t +
          (2 * a[k] - 5 * b[k] + 4 * c[k] - d[k]) * t * t +
          (3 * b[k] - a[k] - 3 * c[k] + d[k]) * t ** 3);
      out.push([Math.max(1e-4, at(0)), at(1)]);
    }
  }
  return [...out, points[points.length - 1]!];
}

/** The profile turned about the upright axis; it runs up the outside. */
function turned(draft: Draft, profile: Profile, x: number, y: number, z: number): void {
  const sides = 72;
  const first = draft.positions.length / 3;
  for (const [r, h] of profile) {
    for (let s = 0; s < sides; s++) {
      const a = (2 * Math.PI * s) / sides;
      vertex(draft, x + r * Math.sin(a), y + h, z + r * Math.cos(a));
    }
  }
  for (let i = 0; i + 1 < profile.length; i++) {
    for (let s = 0; s < sides; s++) {
      const t = (s + 1) % sides;
      const [a, b] = [first + i * sides, first + (i + 1) * sides];
      draft.indices.push(a + s, a + t, b + t, a + s, b + t, b + s);
    }
  }
}
