/**
 * From world to paper and back. Plan: seen from above, camera at the foot of the page, x to the right, z down.
 * Elevation: seen from camera left, back wall on the left, z to the right, y up. Metres to the drawing's unit by
 * one scale, so that a ruler on the print measures the room.
 */

import type { Room, XYZ } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import type { Point } from "./shape.ts";
import type { Drawing } from "./types.ts";
import type { LengthUnits } from "./words.ts";

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

export interface RoomDrawingOptions {
  /** Drawing units per metre. */
  readonly perMetre: number;
  readonly selected?: string | null;
  readonly units?: LengthUnits;
  /** Distances, heights, names; on unless said. */
  readonly labels?: boolean;
  /** Room dimensions outside the walls; on unless said. */
  readonly dimensions?: boolean;
  /** Handles on the selected light; on unless said. Paper has none. */
  readonly handles?: boolean;
  readonly textSize?: number;
  readonly tagWidth?: number;
  /** Only the room, without lights, sitter and camera. */
  readonly bare?: boolean;
}

export interface RoomDrawing extends Drawing {
  readonly view: View;
  /** From the drawing back to the room, for dragging. */
  readonly toWorld: View["toWorld"];
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
