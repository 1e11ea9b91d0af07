/**
 * Lights as geometry: the emitting front in its exact place (the predictor's own outline), its lip, the dark
 * shell and head behind it, the stand or boom. World axes, metres. Tubes' thickness is usual (common practice,
 * no source). A front without area stays a point; what is built is only the head behind it.
 */

import { frontOf, type Light, type LightBody, lightBody, type Setup } from "../setup/index.ts";
import { addScaled, distance, normalize, subtract, type Vec3 } from "../units/index.ts";
import type { Piece } from "./assemble.ts";
import { type Draft, finish, newDraft, type Part, polygon, quad, tube, vertex } from "./part.ts";
import { flat } from "./studio.ts";
import type { SceneEmitter } from "./types.ts";

type Front = SceneEmitter["front"];

export interface LightPieces {
  readonly light: Light;
  readonly front: Front;
  /** The emitting face alone; null for a point. */
  readonly face: Piece | null;
  readonly equipment: readonly Piece[];
}

/** The cloth begins this far behind the emitting face. */
const clothGapM = 0.002;
const columnM = 0.015;
const legM = 0.011;
const armM = 0.016;

export function lightPieces(setup: Setup, light: Light, index: number, hidden: boolean): LightPieces {
  const front = frontOf(setup, light);
  const body = lightBody(setup, light);
  const owner = { ownerId: light.id } as const;
  const face: Piece | null =
    front.outline.length === 0
      ? null
      : { ...owner, name: `front:${light.id}`, kind: "front", parts: [flat(front.outline, `emitter:${index}`)] };
  const shell: Piece = {
    ...owner,
    name: `shell:${light.id}`,
    kind: "shell",
    hiddenFromCamera: hidden,
    parts: shellParts(front, body),
  };
  const stand: Piece = {
    ...owner,
    name: `stand:${light.id}`,
    kind: "stand",
    hiddenFromCamera: hidden,
    parts: standParts(body),
  };
  return { light, front, face, equipment: stand.parts.length === 0 ? [shell] : [shell, stand] };
}

function shellParts(front: Front, body: LightBody): readonly Part[] {
  const cloth = newDraft();
  if (front.outline.length > 0) {
    loft(
      cloth,
      front.outline.map((p) => addScaled(p, body.axis, -clothGapM)),
      body,
    );
    const lipM = front.lipM ?? 0;
    if (lipM > 0) lip(cloth, front.outline, body.axis, lipM);
  }
  const half = body.head.length / 2;
  const [fore, aft] = [body.head.slice(0, half), body.head.slice(half)];
  const head = newDraft();
  ringBox(head, fore, aft);
  return [...(cloth.positions.length > 0 ? [finish(cloth, "shell")] : []), finish(head, "stand")];
}

/** Cloth from the rim of the front back to the ring, closed by the ring: same number of points on both. */
function loft(draft: Draft, rim: readonly Vec3[], body: LightBody): void {
  const count = 48;
  const first = draft.positions.length / 3;
  for (const outline of [rim, body.ring]) {
    for (let i = 0; i < count; i++) vertex(draft, ...along(outline, body, (2 * Math.PI * i) / count));
  }
  for (let i = 0; i < count; i++) {
    const j = (i + 1) % count;
    quad(draft, first + i, first + count + i, first + count + j, first + j);
  }
  polygon(draft, [...body.ring].reverse());
}

/** Where the ray from the outline's middle at an angle (counter-clockwise seen from in front) meets the outline. */
function along(outline: readonly Vec3[], body: LightBody, angle: number): Vec3 {
  const right = cross(body.up, body.axis);
  const middle = mean(outline);
  const flatten = (p: Vec3): readonly [number, number] => {
    const d = subtract(p, middle);
    return [dot(d, right), dot(d, body.up)];
  };
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  let best = 0;
  outline.forEach((p, i) => {
    const [ax, ay] = flatten(p);
    const [bx, by] = flatten(outline[(i + 1) % outline.length]!);
    // Ray t·d against the edge a + s·(b − a).
    const det = dx * (ay - by) - dy * (ax - bx);
    if (Math.abs(det) < 1e-12) return;
    const t = (ax * (ay - by) - ay * (ax - bx)) / det;
    const s = (dx * ay - dy * ax) / det;
    if (t > best && s >= -1e-6 && s <= 1 + 1e-6) best = t;
  });
  return addScaled(addScaled(middle, right, best * dx), body.up, best * dy);
}

/** A sheet standing forward along the rim. */
function lip(draft: Draft, rim: readonly Vec3[], axis: Vec3, depthM: number): void {
  rim.forEach((p, i) => {
    const q = rim[(i + 1) % rim.length]!;
    polygon(draft, [p, q, addScaled(q, axis, depthM), addScaled(p, axis, depthM)]);
  });
}

/** Two rings of like corners as a closed prism; `fore` lies ahead. */
function ringBox(draft: Draft, fore: readonly Vec3[], aft: readonly Vec3[]): void {
  fore.forEach((p, i) => {
    const j = (i + 1) % fore.length;
    polygon(draft, [p, aft[i]!, aft[j]!, fore[j]!]);
  });
  polygon(draft, fore);
  polygon(draft, [...aft].reverse());
}

function standParts({ stand, boom }: LightBody): readonly Part[] {
  const draft = newDraft();
  if (stand !== null) {
    tube(draft, [stand.foot, stand.top], () => columnM, 8);
    const height = distance(stand.foot, stand.top);
    const collar = addScaled(stand.foot, normalize(subtract(stand.top, stand.foot)), Math.min(0.45, height * 0.4));
    for (const end of stand.legEnds) tube(draft, [addScaled(end, [0, 1, 0], legM), collar], () => legM, 6);
  }
  if (boom !== null) tube(draft, [boom.load, boom.tail], () => armM, 8);
  const parts = draft.positions.length > 0 ? [finish(draft, "stand")] : [];
  if (boom === null || boom.counterweightKg <= 0) return parts;
  const weight = newDraft();
  // Iron, 7.2 t/m³: a drum as wide as high that hangs under the tail.
  const side = Math.cbrt(boom.counterweightKg / 7200 / (Math.PI / 4));
  tube(
    weight,
    [addScaled(boom.tail, [0, 1, 0], -0.12), addScaled(boom.tail, [0, 1, 0], -0.12 - side)],
    () => side / 2,
    14,
  );
  return [...parts, finish(weight, "weight")];
}

function mean(points: readonly Vec3[]): Vec3 {
  const n = points.length;
  const sum = (k: 0 | 1 | 2): number => points.reduce((s, p) => s + p[k], 0) / n;
  return [sum(0), sum(1), sum(2)];
}

const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
