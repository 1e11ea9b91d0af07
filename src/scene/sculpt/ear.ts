/**
 * An ear as one closed sheet: rim (helix) and inner fold (antihelix), bowl (concha), the flaps before and
 * below it (tragus, antitragus) and the lobe, by our own hand. About 62 mm high and 35 mm wide (usual adult
 * values, from memory), its opening 125 mm behind the nose tip (domain 7.1). Millimetres, the head's frame.
 */

import { type Draft, finish, newDraft, type Part, vertex } from "../part.ts";

const halfHeight = 31;
const halfWidth = 17;
/** Where the ear's own middle lies on the head, and how it stands: leaning back, its rear edge out. */
const middle = { x: 70.5, y: 13, z: -131 } as const;
const leanDeg = 9;
const flareDeg = 24;

/** The ear of one side (1: picture-right). */
export function earPart(side: 1 | -1, [rings, spokes]: readonly [number, number] = [26, 56]): Part {
  const draft = newDraft();
  const first = vertex(draft, ...placed(0, 0, height(0, 0), side));
  for (let i = 1; i <= rings; i++) {
    for (let s = 0; s < spokes; s++) {
      const [a, b] = outline((2 * Math.PI * s) / spokes, i / rings);
      vertex(draft, ...placed(a, b, height(a, b, i / rings, (2 * Math.PI * s) / spokes), side));
    }
  }
  // Round the edge and back to the skull behind.
  const back: readonly (readonly [share: number, depth: number])[] = [
    [1.015, -1.6],
    [0.97, -3.4],
    [0.8, -4.6],
    [0.5, -9],
    [0.2, -13],
  ];
  for (const [share, depth] of back) {
    for (let s = 0; s < spokes; s++) {
      const angle = (2 * Math.PI * s) / spokes;
      const [a, b] = outline(angle, share);
      vertex(draft, ...placed(a, b, depth + rimRise(angle) * 0.5, side));
    }
  }
  const last = vertex(draft, ...placed(0, 0, -14, side));
  join(draft, first, last, rings + back.length, spokes, side);
  return finish(draft, "skin");
}

function join(draft: Draft, first: number, last: number, rings: number, spokes: number, side: 1 | -1): void {
  const face = (a: number, b: number, c: number): void => {
    if (side > 0) draft.indices.push(a, b, c);
    else draft.indices.push(a, c, b);
  };
  for (let s = 0; s < spokes; s++) {
    const t = (s + 1) % spokes;
    face(first, first + 1 + t, first + 1 + s);
    for (let i = 0; i + 1 < rings; i++) {
      const at = first + 1 + i * spokes;
      face(at + s, at + t, at + spokes + t);
      face(at + s, at + spokes + t, at + spokes + s);
    }
    face(first + 1 + (rings - 1) * spokes + s, first + 1 + (rings - 1) * spokes + t, last);
  }
}

/** Forward and up from the ear's middle: angle 0 is forward, 90° up; wide above, narrow at the lobe. */
function outline(angle: number, share: number): [forward: number, up: number] {
  const up = Math.sin(angle);
  const width = halfWidth * (1 + 0.16 * up - 0.1 * up * up);
  // The front edge is straighter than the back.
  const forward = Math.cos(angle) * width * (Math.cos(angle) > 0 ? 0.84 : 1.06);
  return [forward * share, halfHeight * up * share];
}

const bump = (far: number, width: number): number => Math.exp(-(far * far) / (width * width));

/** How far the rim stands out: from its root in front over the top and down the back, fading into the lobe. */
function rimRise(angle: number): number {
  const deg = (angle * 180) / Math.PI;
  const rise = (from: number, to: number): number => {
    const t = Math.min(1, Math.max(0, (deg - from) / (to - from)));
    return t * t * (3 - 2 * t);
  };
  return 5.2 * rise(20, 70) * (1 - rise(195, 262));
}

/** Height of the outer face over the ear's plane. */
function height(a: number, b: number, share = 0, angle = 0): number {
  const rim = rimRise(angle) * bump(share - 0.93, 0.1);
  // The rim's root runs into the bowl over the opening.
  const root = 2.6 * bump(Math.hypot((a - 6) / 7, (b - 5 - 0.35 * a) / 2.6), 1);
  const fold =
    5 * bump(Math.hypot((a + 1) / 10.8, (b + 1) / 17.5) - 1, 0.24) * (a < 3 ? 1 : Math.max(0, 1 - (a - 3) / 6));
  const bowl = -7.5 * bump(Math.hypot((a - 1.5) / 9, (b + 4) / 10.5) ** 2, 1);
  const tragus = 5 * bump(Math.hypot((a - 12.5) / 4.2, (b + 4) / 6), 1);
  const antitragus = 3.4 * bump(Math.hypot((a - 2) / 5, (b + 16.5) / 3.4), 1);
  const lobe = 1.6 * bump(Math.hypot((a - 3) / 9, (b + 25) / 7), 1);
  return 1 + rim + root + fold + bowl + tragus + antitragus + lobe;
}

/** From the ear's plane to the head: forward a, up b, outward c. */
function placed(a: number, b: number, c: number, side: 1 | -1): [number, number, number] {
  const lean = (leanDeg * Math.PI) / 180;
  const flare = (flareDeg * Math.PI) / 180;
  const forward = a * Math.cos(lean) - b * Math.sin(lean);
  const up = a * Math.sin(lean) + b * Math.cos(lean);
  // Turned about the upright line through its front edge.
  const hinge = forward - 12;
  const x = middle.x - hinge * Math.sin(flare) + c * Math.cos(flare) - 4;
  const z = middle.z + 12 + hinge * Math.cos(flare) + c * Math.sin(flare);
  return [side * x, middle.y + up, z];
}
