/**
 * From world to paper and back. Plan: seen from above, camera at the foot of the page, x to the right, z down.
 * Elevation: seen from camera left, back wall on the left, z to the right, y up. Metres to the drawing's unit by
 * one scale, so that a ruler on the print measures the room.
 */

import type { Room, XYZ } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import type { Point } from "./shape.ts";

export interface View {
  readonly kind: "plan" | "elevation";
  /** Drawing units per metre. */
  readonly scale: number;
  /** The room's outline in the drawing. */
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly project: (point: Vec3) => Point;
  /** The two coordinates that the view shows, m. */
  readonly toWorld: (x: number, y: number) => Partial<XYZ>;
}

export function planView(room: Room, scale: number, left: number, top: number): View {
  return {
    kind: "plan",
    scale,
    left,
    top,
    width: room.widthM * scale,
    height: room.depthM * scale,
    project: ([x, , z]) => [left + (x + room.crossFromLeftM) * scale, top + (z + room.crossFromBackM) * scale],
    toWorld: (x, y) => ({ xM: (x - left) / scale - room.crossFromLeftM, zM: (y - top) / scale - room.crossFromBackM }),
  };
}

export function elevationView(room: Room, scale: number, left: number, top: number): View {
  return {
    kind: "elevation",
    scale,
    left,
    top,
    width: room.depthM * scale,
    height: room.heightM * scale,
    project: ([, y, z]) => [left + (z + room.crossFromBackM) * scale, top + (room.heightM - y) * scale],
    toWorld: (x, y) => ({ zM: (x - left) / scale - room.crossFromBackM, yM: room.heightM - (y - top) / scale }),
  };
}
