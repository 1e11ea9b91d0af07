/**
 * Dragging and nudging as pure functions. From above a thing moves over the floor and keeps its height; from
 * the side it moves in depth and height. A light keeps the kind of place it has (polar stays polar).
 */

import {
  asCartesian,
  asPolar,
  type Edit,
  type Place,
  polarOf,
  positionOf,
  type Setup,
  type XYZ,
} from "../../../setup/index.ts";

/** What the pointer holds, and where in the room it was taken: the two coordinates that the view shows. */
export interface Grip {
  readonly kind: "light" | "panel" | "camera";
  readonly id: string;
  readonly tag: string;
  readonly setup: Setup;
  readonly from: Partial<XYZ>;
}

/** The grip of a drawing part ("light:ID:front", "panel:ID", "camera"); null when nothing is to be taken there. */
export function gripOf(setup: Setup, part: string): Grip | null {
  const [kind, id = ""] = part.split(":");
  const from = {};
  if (kind === "light") {
    const light = setup.lights.find((l) => l.id === id);
    return light === undefined ? null : { kind, id, tag: light.tag, setup, from };
  }
  if (kind === "panel") {
    const panel = setup.panels.find((p) => p.id === id);
    return panel === undefined ? null : { kind, id, tag: panel.name, setup, from };
  }
  if (kind === "camera") return { kind, id: "camera", tag: "the camera", setup, from };
  return null;
}

/** Edits that bring the held thing along with the pointer. */
export function moveEdits(grip: Grip, to: Partial<XYZ>): readonly Edit[] {
  const shift = (axis: keyof XYZ): number => (to[axis] ?? 0) - (grip.from[axis] ?? 0);
  return shiftEdits(grip.setup, grip.kind, grip.id, shift("xM"), shift("yM"), shift("zM"));
}

/** How far the pointer has gone in the room, m. */
export function movedBy(grip: Grip, to: Partial<XYZ>): number {
  return Math.hypot(...(["xM", "yM", "zM"] as const).map((axis) => (to[axis] ?? 0) - (grip.from[axis] ?? 0)));
}

const STEP_M = 0.01;
const STEP_DEG = 1;
const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** Edits of one key press; null when the key does not move anything. */
export function nudgeEdits(
  setup: Setup,
  id: string,
  key: string,
  alt: boolean,
  side: "top" | "side",
): readonly Edit[] | null {
  const arrow = ARROWS[key];
  if (arrow === undefined) return null;
  const light = setup.lights.find((l) => l.id === id);
  const kind = light !== undefined ? "light" : setup.panels.some((p) => p.id === id) ? "panel" : null;
  if (kind === null) return null;
  if (alt && light !== undefined) {
    const polar = asPolar(light.place, setup);
    if (polar.kind !== "polar") return null;
    const azimuthDeg = polar.azimuthDeg + STEP_DEG * (arrow[0] === 0 ? 0 : arrow[0]);
    const distanceM = polar.distanceM + STEP_M * arrow[1];
    return [{ kind: "light", id, set: { place: { ...polar, azimuthDeg, distanceM } } }];
  }
  // From above the screen's down is toward the camera; from the side the camera is to the right and up is up.
  return side === "top"
    ? shiftEdits(setup, kind, id, arrow[0] * STEP_M, 0, arrow[1] * STEP_M)
    : shiftEdits(setup, kind, id, 0, -arrow[1] * STEP_M, arrow[0] * STEP_M);
}

function shiftEdits(setup: Setup, kind: Grip["kind"], id: string, dx: number, dy: number, dz: number): readonly Edit[] {
  if (kind === "camera") {
    const p = setup.camera.position;
    return [{ kind: "camera", set: { position: { xM: p.xM + dx, yM: p.yM + dy, zM: p.zM + dz } } }];
  }
  const things = kind === "light" ? setup.lights : setup.panels;
  const thing = things.find((t) => t.id === id);
  if (thing === undefined) return [];
  const place = shifted(thing.place, setup, dx, dy, dz);
  return kind === "light" ? [{ kind: "light", id, set: { place } }] : [{ kind: "panel", id, set: { place } }];
}

function shifted(place: Place, setup: Setup, dx: number, dy: number, dz: number): Place {
  const [x, y, z] = positionOf(place, setup);
  const moved: Place = { kind: "cartesian", xM: x + dx, yM: Math.max(0.05, y + dy), zM: z + dz };
  if (place.kind === "cartesian") return asCartesian(moved, setup);
  // Straight above the nose a polar place has no azimuth of its own: keep the old one.
  const polar = polarOf(positionOf(moved, setup), setup);
  const azimuthDeg = Number.isFinite(polar.azimuthDeg) ? polar.azimuthDeg : place.azimuthDeg;
  return { kind: "polar", azimuthDeg, distanceM: polar.distanceM, heightM: polar.heightM };
}
