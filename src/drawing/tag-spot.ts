/** The tag that rides on a light's symbol, the line from a light to the nose, and what lies before what. */

import { addScaled, type Vec3 } from "../units/index.ts";
import { bead } from "./bead.ts";
import type { Obstacle } from "./labels.ts";
import { boxCorners, line } from "./shape.ts";
import { type DrawnLight, weightOf } from "./symbols.ts";
import type { Shape } from "./types.ts";
import type { View } from "./view.ts";

export interface TagSpot {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** The tag rides behind the head, kept inside the room. */
export function tagSpot(view: View, { body }: DrawnLight, width: number): TagSpot {
  const height = width * 0.6;
  const tail = [...body.head].reduce((far, p) => (along(p, body) < along(far, body) ? p : far), body.centre);
  const behind = -along(tail, body);
  const [x, y] = view.project(addScaled(body.centre, body.axis, -behind));
  const [cx, cy] = view.project(body.centre);
  const length = Math.hypot(x - cx, y - cy);
  const [ux, uy] = length < 1e-6 ? [0, -1] : [(x - cx) / length, (y - cy) / length];
  const away = (Math.abs(ux) * width + Math.abs(uy) * height) / 2 + 1;
  const inside = (value: number, low: number, high: number): number => Math.min(Math.max(value, low), high);
  return {
    x: inside(x + ux * away, view.left + width / 2 + 1, view.left + view.width - width / 2 - 1),
    y: inside(y + uy * away, view.top + height / 2 + 1, view.top + view.height - height / 2 - 1),
    width,
    height,
  };
}

const along = (p: Vec3, body: DrawnLight["body"]): number =>
  (p[0] - body.centre[0]) * body.axis[0] +
  (p[1] - body.centre[1]) * body.axis[1] +
  (p[2] - body.centre[2]) * body.axis[2];

export function tagBead({ light }: DrawnLight, spot: TagSpot): readonly Shape[] {
  return bead({ ...spot, hue: light.hue, tag: light.tag, state: light.on ? "solid" : "hollow", ground: "floor" });
}

export const tagObstacle = (spot: TagSpot): Obstacle => ({
  outline: boxCorners({
    x: spot.x - spot.width / 2,
    y: spot.y - spot.height / 2,
    width: spot.width,
    height: spot.height,
  }),
  weight: 10,
});

/** The nearest to the eye last: the highest in plan, the one farthest to camera left in elevation. */
export function sortedFor(view: View, lights: readonly DrawnLight[]): readonly DrawnLight[] {
  const nearness = ({ body }: DrawnLight): number => (view.kind === "plan" ? body.centre[1] : -body.centre[0]);
  return [...lights].sort((a, b) => nearness(a) - nearness(b));
}

/** Solid for the selected light, broken for the others; on a light ground a fine dark edge lifts the pale hues. */
export function distanceLine(view: View, { body, colour, selected }: DrawnLight, nose: Vec3): readonly Shape[] {
  const w = weightOf(view);
  const ends = [view.project(body.centre), view.project(nose)];
  const strokeWidth = selected ? 2 * w : 1.3 * w;
  const dash = selected ? {} : { dash: [5 * w, 4 * w] };
  return [
    line(ends, { stroke: "key", strokeWidth: strokeWidth + 0.9 * w, ...dash }),
    line(ends, { stroke: colour, strokeWidth, ...dash }),
  ];
}
