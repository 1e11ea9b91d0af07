/**
 * Named places where a meter is held, in world axes (m), with the normal of the surface there. Left and
 * right are camera left and camera right; words for a body add the sitter's own side. Points on head and
 * body stand half a dome off the skin, so that the skin does not shade its own reading.
 */

import { addScaled, distance, type Vec3 } from "../units/index.ts";
import { cameraField, onPlane } from "./camera-field.ts";
import { bodyOf, headOf, onHead } from "./head.ts";
import { noseOf, positionOf } from "./place.ts";
import type { Light, PointName, Setup } from "./types.ts";

export interface PointPlace {
  readonly name: PointName;
  readonly position: Vec3;
  readonly normal: Vec3;
  /** "cheek, camera left (sitter's right)" */
  readonly words: string;
}

const standOffM = 0.015;

const bodyPoints: readonly PointName[] = [
  "nose",
  "cheek-left",
  "cheek-right",
  "temple-left",
  "temple-right",
  "crown",
  "shoulder-left",
  "shoulder-right",
];
const backdropPoints: readonly PointName[] = [
  "backdrop-centre",
  "backdrop-upper-left",
  "backdrop-upper-right",
  "backdrop-lower-left",
  "backdrop-lower-right",
];

/** The points that mean something in this setup, in the order a list shows them. */
export function pointNames(setup: Setup): readonly PointName[] {
  const body: readonly PointName[] = setup.subject.kind === "object" ? ["nose"] : bodyPoints;
  return [...body, ...(setup.backdrop === null ? [] : backdropPoints), "lens"];
}

/** Normals on the head by azimuth and elevation in the head's own frame; left is negative. */
const headNormals: Partial<Record<PointName, readonly [number, number]>> = {
  "cheek-left": [-40, -10],
  "cheek-right": [40, -10],
  "temple-left": [-80, 5],
  "temple-right": [80, 5],
  crown: [0, 90],
};

/**
 * Where the point is. An object has no head: its body points all lie at its reference point, with the
 * normal that the head would have there. Without a backdrop the back wall stands in for it.
 */
export function pointOf(setup: Setup, name: PointName): PointPlace {
  const words = wordsOf(setup, name);
  if (name === "lens") {
    const field = cameraField(setup);
    return { name, position: field.position, normal: field.forward, words };
  }
  if (name.startsWith("backdrop-")) return { name, position: backdropPoint(setup, name), normal: [0, 0, 1], words };
  return { name, ...onSitter(setup, name), words };
}

/** The cheek nearer to the main; camera left when there is none or it stands in the middle. */
export function litCheek(setup: Setup): "cheek-left" | "cheek-right" {
  const main = mainOf(setup);
  if (main === undefined) return "cheek-left";
  const from = positionOf(main.place, setup);
  const left = distance(from, pointOf(setup, "cheek-left").position);
  const right = distance(from, pointOf(setup, "cheek-right").position);
  return right < left - 1e-6 ? "cheek-right" : "cheek-left";
}

/** The other cheek. */
export const shadowCheek = (setup: Setup): "cheek-left" | "cheek-right" =>
  litCheek(setup) === "cheek-left" ? "cheek-right" : "cheek-left";

/** The light that the working aperture hangs on: the first main, else the first light. */
export function mainOf(setup: Pick<Setup, "lights">): Light | undefined {
  return setup.lights.find((light) => light.role === "main") ?? setup.lights[0];
}

/** Nose tips of all who sit or stand: the cross alone, or the group. */
export function noseTips(setup: Setup): readonly Vec3[] {
  const nose = noseOf(setup);
  if (setup.subject.group.length === 0) return [nose];
  return setup.subject.group.map((p) => [p.xM, nose[1] + p.yM, p.zM]);
}

function onSitter(setup: Setup, name: PointName): { position: Vec3; normal: Vec3 } {
  const head = headOf(setup);
  const body = bodyOf(setup);
  const nose = noseOf(setup);
  const normals = headNormals[name];
  if (head === null || body === null) {
    const [azimuth, elevation] = normals ?? [0, name.startsWith("shoulder") ? 90 : 0];
    return { position: nose, normal: unit(azimuth, elevation) };
  }
  if (normals !== undefined) {
    const { position, normal } = onHead(head, normals[0], normals[1]);
    return { position: addScaled(position, normal, standOffM), normal };
  }
  if (name === "nose") return { position: nose, normal: head.forward };
  const top = name === "shoulder-left" ? body.shoulderLeft : body.shoulderRight;
  return { position: addScaled(top, [0, 1, 0], standOffM), normal: [0, 1, 0] };
}

function unit(azimuthDeg: number, elevationDeg: number): Vec3 {
  const [a, e] = [(azimuthDeg * Math.PI) / 180, (elevationDeg * Math.PI) / 180];
  return [Math.sin(a) * Math.cos(e), Math.sin(e), Math.cos(a) * Math.cos(e)];
}

/** The paper, or the back wall when nothing hangs before it. */
function surfaceOf(setup: Setup): { left: number; right: number; top: number; z: number } {
  const { backdrop, room } = setup;
  if (backdrop === null) {
    const left = -room.crossFromLeftM;
    return { left, right: left + room.widthM, top: room.heightM, z: -room.crossFromBackM };
  }
  const half = backdrop.widthM / 2;
  return { left: backdrop.xM - half, right: backdrop.xM + half, top: backdrop.heightM, z: backdrop.zM };
}

/** Corners of the camera's field on the backdrop, kept on the paper; the centre is the middle of the four. */
function backdropPoint(setup: Setup, name: PointName): Vec3 {
  const surface = surfaceOf(setup);
  const field = cameraField(setup);
  const corner = (u: -1 | 1, v: -1 | 1): Vec3 => {
    const seen = onPlane(field, u, v, surface.z);
    const x = seen?.[0] ?? (u < 0 ? surface.left : surface.right);
    const y = seen?.[1] ?? (v < 0 ? 0 : surface.top);
    return [clamp(x, surface.left, surface.right), clamp(y, 0, surface.top), surface.z];
  };
  if (name === "backdrop-upper-left") return corner(-1, 1);
  if (name === "backdrop-upper-right") return corner(1, 1);
  if (name === "backdrop-lower-left") return corner(-1, -1);
  if (name === "backdrop-lower-right") return corner(1, -1);
  const all = [corner(-1, 1), corner(1, 1), corner(-1, -1), corner(1, -1)];
  const mean = (axis: 0 | 1): number => all.reduce((sum, p) => sum + p[axis], 0) / all.length;
  return [mean(0), mean(1), surface.z];
}

const clamp = (value: number, low: number, high: number): number => Math.min(Math.max(value, low), high);

const personWords: Record<PointName, string> = {
  nose: "nose tip",
  "cheek-left": "cheek, camera left (sitter's right)",
  "cheek-right": "cheek, camera right (sitter's left)",
  "temple-left": "temple, camera left (sitter's right)",
  "temple-right": "temple, camera right (sitter's left)",
  crown: "crown of the head",
  "shoulder-left": "shoulder, camera left (sitter's right)",
  "shoulder-right": "shoulder, camera right (sitter's left)",
  "backdrop-centre": "backdrop, centre",
  "backdrop-upper-left": "backdrop, upper left corner of the picture",
  "backdrop-upper-right": "backdrop, upper right corner of the picture",
  "backdrop-lower-left": "backdrop, lower left corner of the picture",
  "backdrop-lower-right": "backdrop, lower right corner of the picture",
  lens: "lens",
};

function wordsOf(setup: Setup, name: PointName): string {
  if (setup.backdrop === null && name.startsWith("backdrop-"))
    return personWords[name].replace("backdrop", "back wall");
  if (setup.subject.kind === "object" && bodyPoints.includes(name)) {
    return name === "nose"
      ? "the object's reference point"
      : `the object's reference point (${name.replace("-", ", camera ")})`;
  }
  return personWords[name];
}
