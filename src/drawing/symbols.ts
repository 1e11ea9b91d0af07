/**
 * What stands in the room, as symbols in plan and elevation. A light's symbol is the outline of its projected body
 * (convex hulls), so that tilt and turn show. Lengths m until the view projects them.
 */

import { type Light, type LightBody, lightBody, type Panel, panelOutline, type Setup } from "../setup/index.ts";
import { addScaled, type Vec3 } from "../units/index.ts";
import { ellipse, hull, line, type Point, polygon } from "./shape.ts";
import type { Paint, Shape } from "./types.ts";
import type { View } from "./view.ts";

/** Line widths for this scale: 1 on a screen of 60 px a metre and on paper at 1:50, thinner when smaller. */
export const weightOf = (view: View): number => Math.min(1.2, Math.max(0.45, view.scale / 68));

export interface DrawnLight {
  readonly light: Light;
  readonly body: LightBody;
  readonly colour: Paint;
  readonly selected: boolean;
}

export function drawnLights(setup: Setup, selected: string | null): readonly DrawnLight[] {
  return setup.lights.map((light) => ({
    light,
    body: lightBody(setup, light),
    colour: `hue-${light.hue}`,
    selected: light.id === selected,
  }));
}

const projected = (view: View, points: readonly Vec3[]): readonly Point[] => points.map(view.project);

/** Head, shell and front; a grid as a broken line before it. */
export function lightSymbol(view: View, { body, colour, selected, light }: DrawnLight): readonly Shape[] {
  const w = weightOf(view);
  const front = hull(projected(view, body.front));
  const shell = hull(projected(view, [...body.front, ...body.ring]));
  const ink = selected ? "ink" : "ink2";
  const heavy = selected ? 1.8 * w : 1.1 * w;
  return [
    polygon(hull(projected(view, body.head)), { fill: "well", stroke: "ink2", strokeWidth: 1.1 * w, join: "round" }),
    polygon(shell, { fill: selected ? "well" : "row", stroke: ink, strokeWidth: heavy, join: "round" }),
    polygon(front, {
      fill: colour,
      fillOpacity: light.on ? 0.34 : 0,
      stroke: "key",
      strokeWidth: 3.4 * w,
      join: "round",
    }),
    polygon(front, { stroke: colour, strokeWidth: 2.3 * w, join: "round" }),
    ...(body.grid === null
      ? []
      : [polygon(hull(projected(view, body.grid)), { stroke: colour, strokeWidth: w, dash: [2 * w, 2 * w] })]),
  ];
}

/** The outline that labels keep clear of. */
export const lightOutline = (view: View, body: LightBody): readonly Point[] =>
  hull(projected(view, [...body.front, ...body.ring, ...body.head]));

/** Stand or boom: legs, column, arm, counterweight. */
export function carrierSymbol(view: View, { body }: DrawnLight): readonly Shape[] {
  const w = weightOf(view);
  const { stand, boom } = body;
  const shapes: Shape[] = [];
  if (stand !== null) {
    const crown: Vec3 = view.kind === "plan" ? stand.foot : [stand.foot[0], 0.35, stand.foot[2]];
    for (const end of stand.legEnds) {
      shapes.push(line(projected(view, [crown, end]), { stroke: "edge", strokeWidth: 1.4 * w }));
    }
    if (view.kind === "elevation") {
      shapes.push(line(projected(view, [stand.foot, stand.top]), { stroke: "edge", strokeWidth: 1.8 * w }));
    }
  }
  if (boom === null) return shapes;
  const arm = projected(view, [boom.load, boom.tail]);
  const [px, py] = view.project(boom.pivot);
  const weight = hull(projected(view, counterweight(boom.pivot, boom.tail)));
  return [
    ...shapes,
    line(arm, { stroke: "ink2", strokeWidth: 3.2 * w }),
    line(arm, { stroke: "floor", strokeWidth: 1.1 * w }),
    ellipse(px, py, 3.4 * w, 3.4 * w, { fill: "floor", stroke: "ink2", strokeWidth: 1.5 * w }),
    polygon(weight, { fill: "ink2", stroke: "ink2", strokeWidth: w, join: "round" }),
  ];
}

/** A drum 14 cm long and 18 cm across on the tail (a usual size; common practice, no source). */
function counterweight(pivot: Vec3, tail: Vec3): readonly Vec3[] {
  const along: Vec3 = [tail[0] - pivot[0], 0, tail[2] - pivot[2]];
  const level = Math.hypot(along[0], along[2]);
  const ahead: Vec3 = level < 1e-6 ? [1, 0, 0] : [along[0] / level, 0, along[2] / level];
  const aside: Vec3 = [ahead[2], 0, -ahead[0]];
  const corners: Vec3[] = [];
  for (const a of [-0.07, 0.07]) {
    for (const b of [-0.09, 0.09]) {
      for (const drop of [0.02, -0.18]) {
        const p = addScaled(addScaled(tail, ahead, a), aside, b);
        corners.push([p[0], p[1] + drop, p[2]]);
      }
    }
  }
  return corners;
}

/** A card or a flag: its outline; edge on it is a bar. */
export function panelSymbol(view: View, setup: Setup, panel: Panel): readonly Shape[] {
  const w = weightOf(view);
  const outline = hull(projected(view, panelOutline(setup, panel)));
  const dark = panel.role === "flag";
  if (view.kind === "elevation") {
    return [
      polygon(outline, {
        fill: dark ? "ink" : "white",
        fillOpacity: dark ? 0.07 : 0.3,
        stroke: "ink2",
        strokeWidth: w,
        dash: [4 * w, 3 * w],
      }),
    ];
  }
  const style = { fill: dark ? "black" : "white", join: "round" } as const;
  const stroke: Paint = panel.hue >= 1 && panel.hue <= 7 && !dark ? `hue-${panel.hue}` : dark ? "black" : "ink2";
  return [
    polygon(outline, { stroke: "ink2", strokeWidth: 6.5 * w }),
    polygon(outline, { ...style, stroke, strokeWidth: 4 * w }),
  ];
}

/** Camera with its lens's principal point at the lens; a tripod in elevation. */
export function cameraSymbol(view: View, setup: Setup): readonly Shape[] {
  const w = weightOf(view);
  const { position, aim } = setup.camera;
  const at: Vec3 = [position.xM, position.yM, position.zM];
  const [x, y] = view.project(at);
  const [ax, ay] = view.project([aim.xM, aim.yM, aim.zM]);
  const length = Math.hypot(ax - x, ay - y);
  // Unit vector from the aim back to the camera, in the drawing.
  const [bx, by] = length < 1e-6 ? [0, 1] : [(x - ax) / length, (y - ay) / length];
  const k = view.scale;
  const corner = (back: number, aside: number): Point => [
    x + (back * bx - aside * by) * k,
    y + (back * by + aside * bx) * k,
  ];
  const slab = (from: number, to: number, half: number): readonly Point[] => [
    corner(from, -half),
    corner(from, half),
    corner(to, half),
    corner(to, -half),
  ];
  const tripod: readonly Shape[] = view.kind === "plan" ? [] : tripodSymbol(view, at, w);
  return [
    ...tripod,
    polygon(slab(0.13, 0.21, 0.07), { fill: "ink", stroke: "ink", strokeWidth: w, join: "round" }),
    polygon(slab(0, 0.14, 0.042), { fill: "well", stroke: "ink", strokeWidth: 1.2 * w }),
  ];
}

function tripodSymbol(view: View, at: Vec3, w: number): readonly Shape[] {
  const head: Vec3 = [at[0], at[1] - 0.06, at[2] + 0.16];
  const column: Vec3 = [at[0], Math.max(0.1, at[1] - 0.45), at[2] + 0.16];
  const foot = (z: number): Vec3 => [at[0], 0, at[2] + 0.16 + z];
  const style = { stroke: "edge", strokeWidth: 1.4 * w } as const;
  return [line(projected(view, [foot(-0.3), column, foot(0.3)]), style), line(projected(view, [head, foot(0)]), style)];
}

/** Half a dome at the nose, open side to the camera: where the meter is held. */
export function domeMark(view: View, nose: Vec3): Shape {
  const [x, y] = view.project(nose);
  const r = 5 * weightOf(view);
  const from = view.kind === "plan" ? 0 : -Math.PI / 2;
  const points = Array.from({ length: 13 }, (_, i): Point => {
    const angle = from + (i * Math.PI) / 12;
    return [x + r * Math.cos(angle), y + r * Math.sin(angle)];
  });
  return polygon(points, { fill: "floor", stroke: "ink", strokeWidth: 1.6 * weightOf(view) });
}
