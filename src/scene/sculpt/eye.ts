/**
 * An eye: white, iris with its pupil, and the cornea as a clear cap. The cornea's radius is 7.8 mm and the
 * limbus 5.9 mm (domain 7.1); the apex then stands 13.15 mm before the ball's middle. Millimetres about the
 * middle of the ball, looking along +z.
 */

import { type Draft, finish, newDraft, type Part, vertex } from "../part.ts";
import type { Rgb } from "../types.ts";
import { eyeMm } from "./head-field.ts";

export const corneaRadiusMm = 7.8;
export const limbusMm = 5.9;
/** The white ends at the limbus, this far before the middle. */
const limbusZ = Math.sqrt(eyeMm.radius ** 2 - limbusMm ** 2);
/** Middle of the cornea's sphere. */
export const corneaCentreZ: number = limbusZ - Math.sqrt(corneaRadiusMm ** 2 - limbusMm ** 2);
/** A pupil in studio light (from memory: 3…4 mm across). */
const pupilMm = 1.9;

/** White, iris, cornea; `iris` is its colour as a share of white. */
export function eyeParts(iris: Rgb): readonly Part[] {
  return [white(), irisDisc(iris), cornea()];
}

/** Rings of revolution about z from ring(0) to the last; counter-clockwise seen from +z when radii fall. */
function lathe(draft: Draft, rings: readonly (readonly [radius: number, z: number])[], sides: number): void {
  const first = draft.positions.length / 3;
  for (const [r, z] of rings) {
    for (let s = 0; s < sides; s++) {
      const angle = (2 * Math.PI * s) / sides;
      vertex(draft, r * Math.cos(angle), r * Math.sin(angle), z);
    }
  }
  for (let i = 0; i + 1 < rings.length; i++) {
    for (let s = 0; s < sides; s++) {
      const [a, b] = [first + i * sides + s, first + i * sides + ((s + 1) % sides)];
      draft.indices.push(a, b, b + sides, a, b + sides, a + sides);
    }
  }
}

/** Closes the last ring of a lathe with a flat face. */
function close(draft: Draft, sides: number): void {
  const first = draft.positions.length / 3 - sides;
  for (let s = 1; s + 1 < sides; s++) draft.indices.push(first, first + s, first + s + 1);
}

function white(): Part {
  const draft = newDraft();
  const start = Math.PI * 0.97;
  const end = Math.asin(limbusMm / eyeMm.radius);
  const rings = Array.from({ length: 14 }, (_, i) => {
    const angle = start + (i / 13) * (end - start);
    return [eyeMm.radius * Math.sin(angle), eyeMm.radius * Math.cos(angle)] as const;
  });
  lathe(draft, rings, 32);
  const part = finish(draft, "eye-white");
  const tints = new Float32Array(part.positions.length);
  for (let i = 0; i < tints.length; i += 3) {
    // Redder and darker toward the corners.
    const far = Math.min(1, Math.abs(part.positions[i]!) / eyeMm.radius) ** 3;
    tints.set([1 - 0.15 * far, 1 - 0.38 * far, 1 - 0.38 * far], i);
  }
  return { ...part, tints };
}

function irisDisc(colour: Rgb): Part {
  const draft = newDraft();
  // From the limbus inward the iris lies a little deeper; the pupil is a black well behind it.
  const rings = Array.from({ length: 9 }, (_, i) => {
    const r = limbusMm - 0.02 + (i / 8) * (pupilMm - limbusMm);
    return [r, limbusZ - 0.5 - 0.12 * (limbusMm - r)] as const;
  });
  lathe(draft, [...rings, [pupilMm - 0.05, limbusZ - 1.6], [0.01, limbusZ - 1.7]], 48);
  close(draft, 48);
  const part = finish(draft, "iris");
  const tints = new Float32Array(part.positions.length);
  for (let i = 0; i < tints.length; i += 3) {
    const [x, y] = [part.positions[i]!, part.positions[i + 1]!];
    const r = Math.hypot(x, y);
    const angle = Math.atan2(y, x);
    // Fibres run to the pupil; a dark ring closes the iris outside.
    const fibre = 0.8 + 0.28 * Math.sin(angle * 31 + 2.1 * Math.sin(angle * 7)) * Math.sin(r * 2.2);
    const ring = r > limbusMm - 0.9 ? 0.4 : r < pupilMm + 0.9 ? 0.75 : 1;
    const k = r < pupilMm ? 0.02 : fibre * ring;
    for (let c = 0; c < 3; c++) tints[i + c] = Math.min(1, (colour[c] as number) * k);
  }
  return { ...part, tints };
}

function cornea(): Part {
  const draft = newDraft();
  const edge = Math.asin((limbusMm + 0.05) / corneaRadiusMm);
  const rings = Array.from({ length: 8 }, (_, i) => {
    const angle = edge * (1 - i / 7);
    return [corneaRadiusMm * Math.sin(angle) + 1e-4, corneaCentreZ + corneaRadiusMm * Math.cos(angle)] as const;
  });
  lathe(draft, rings, 32);
  close(draft, 32);
  const part = finish(draft, "cornea");
  // The highlight needs the sphere's own normals, not those of its facets.
  for (let i = 0; i < part.normals.length; i += 3) {
    part.normals[i] = part.positions[i]! / corneaRadiusMm;
    part.normals[i + 1] = part.positions[i + 1]! / corneaRadiusMm;
    part.normals[i + 2] = (part.positions[i + 2]! - corneaCentreZ) / corneaRadiusMm;
  }
  return part;
}
