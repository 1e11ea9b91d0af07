/**
 * Memory of a solver: answers kept by a text of everything they depend on. Equal inputs find the same
 * answer whether or not they are the same objects, so a document that came back from a file or a peer costs
 * nothing. Bounded: when full, the older half goes. Seen from outside nothing changes but time.
 */

import type { Front } from "../photometry/index.ts";

/** A bounded map that computes what it does not hold. */
export interface Kept<T> {
  get(key: string, make: () => T): T;
}

export function keep<T>(most: number): Kept<T> {
  const held = new Map<string, T>();
  return {
    get(key, make) {
      const known = held.get(key);
      if (known !== undefined) return known;
      const made = make();
      if (held.size >= most) forgetOlderHalf(held);
      held.set(key, made);
      return made;
    },
  };
}

/** Short numbers for long texts; a number is never given twice. */
export interface Numbering {
  of(text: string): number;
}

export function numbering(): Numbering {
  const ids = keep<number>(20_000);
  let next = 0;
  return { of: (text) => ids.get(text, () => next++) };
}

/** A front as a text: equal fronts in equal places have equal texts. Measured beams are told apart as objects. */
export function frontText(front: Front, webs: WeakMap<object, number>): string {
  const { grid, web } = front;
  if (web && !webs.has(web)) webs.set(web, nextWeb++);
  const first = front.outline[0] ?? [0, 0, 0];
  return [
    ...[front.shape, ...front.centre, ...front.normal, ...front.up, ...first, front.outline.length, front.areaM2],
    ...[front.lipM, front.lobeExponent, front.hotCentre, grid?.cellM, grid?.depthM, grid?.openFraction],
    web ? webs.get(web) : "",
  ].join(" ");
}

let nextWeb = 0;

function forgetOlderHalf(held: Map<string, unknown>): void {
  let left = held.size >> 1;
  for (const key of held.keys()) {
    if (left-- <= 0) return;
    held.delete(key);
  }
}
