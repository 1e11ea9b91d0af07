/**
 * The room itself: walls, floor, one-metre grid from the camera-left and back walls, doors with their swing, windows,
 * furniture, detectors on the ceiling, backdrop, and the camera's field on it.
 */

import { cameraField, type Opening, onPlane, type Room, type Setup } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import { arcPoints, boxCorners, ellipse, hatch, line, lines, type Point, polygon, rectangle } from "./shape.ts";
import { weightOf } from "./symbols.ts";
import type { PathShape, Shape } from "./types.ts";
import type { View } from "./view.ts";

/** Drawn thickness of the walls, m; the line a tape measures to is their inner edge. */
export const wallM = 0.07;

/** Walls, floor and grid. */
export function shell(view: View): readonly Shape[] {
  const { left, top, width, height, scale } = view;
  const t = wallM * scale;
  const grid: (readonly Point[])[] = [];
  for (let x = left + scale; x < left + width - 1; x += scale)
    grid.push([
      [x, top],
      [x, top + height],
    ]);
  // In elevation metres count from the floor up.
  if (view.kind === "plan") {
    for (let y = top + scale; y < top + height - 1; y += scale)
      grid.push([
        [left, y],
        [left + width, y],
      ]);
  } else {
    for (let y = top + height - scale; y > top + 1; y -= scale)
      grid.push([
        [left, y],
        [left + width, y],
      ]);
  }
  return [
    rectangle(left - t, top - t, width + 2 * t, height + 2 * t, { fill: "wall" }),
    rectangle(left, top, width, height, { fill: "floor" }),
    lines(grid, { stroke: "line", strokeWidth: 0.6 }),
  ];
}

/** Doors and windows in plan. */
export function openingsInPlan(view: View, room: Room): readonly Shape[] {
  return room.openings.flatMap((opening) => openingInPlan(view, room, opening));
}

/** Corners of an opening: along its wall, `out` metres outward (negative: into the room). */
export function openingPoint(view: View, room: Room, opening: Opening): (along: number, out: number) => Point {
  const [x0, z0] = [-room.crossFromLeftM, -room.crossFromBackM];
  const world = (along: number, out: number): Vec3 => {
    switch (opening.wall) {
      case "left":
        return [x0 - out, 0, z0 + opening.fromM + along];
      case "right":
        return [x0 + room.widthM + out, 0, z0 + opening.fromM + along];
      case "back":
        return [x0 + opening.fromM + along, 0, z0 - out];
      case "front":
        return [x0 + opening.fromM + along, 0, z0 + room.depthM + out];
    }
  };
  return (along, out) => view.project(world(along, out));
}

function openingInPlan(view: View, room: Room, opening: Opening): readonly Shape[] {
  const at = openingPoint(view, room, opening);
  const w = weightOf(view);
  const length = opening.widthM;
  const gap = polygon([at(0, -0.01), at(length, -0.01), at(length, wallM + 0.01), at(0, wallM + 0.01)], {
    fill: "floor",
  });
  if (opening.kind === "window") {
    return [gap, line([at(0, wallM / 2), at(length, wallM / 2)], { stroke: "ink2", strokeWidth: 1.2 * w })];
  }
  if (!opening.opensInward)
    return [gap, line([at(0, wallM / 2), at(length, wallM / 2)], { stroke: "edge", strokeWidth: w })];
  // Hinged at its far end: the leaf stands open into the room, the arc shows what it sweeps.
  const hinge = at(length, 0);
  const leaf = at(length, -length);
  const shut = at(0, 0);
  const from = Math.atan2(leaf[1] - hinge[1], leaf[0] - hinge[0]);
  let to = Math.atan2(shut[1] - hinge[1], shut[0] - hinge[0]);
  if (to - from > Math.PI) to -= 2 * Math.PI;
  if (to - from < -Math.PI) to += 2 * Math.PI;
  const sweep = arcPoints(hinge[0], hinge[1], length * view.scale, from, to);
  return [gap, line([hinge, ...sweep], { stroke: "edge", strokeWidth: w })];
}

/** The outline of a piece of furniture in this view. */
export function furnitureOutline(view: View, room: Room, index: number): readonly Point[] {
  const f = room.furniture[index];
  if (f === undefined) throw new RangeError(`no furniture ${index}`);
  const [x, z] = [f.fromLeftM - room.crossFromLeftM, f.fromBackM - room.crossFromBackM];
  if (view.kind === "plan") {
    const [left, top] = view.project([x, 0, z]);
    return boxCorners({ x: left, y: top, width: f.widthM * view.scale, height: f.depthM * view.scale });
  }
  const [left, top] = view.project([x, f.heightM, z]);
  return boxCorners({ x: left, y: top, width: f.depthM * view.scale, height: f.heightM * view.scale });
}

export function furnitureShapes(view: View, room: Room): readonly Shape[] {
  const w = weightOf(view);
  return room.furniture.flatMap((_, i) => {
    const outline = furnitureOutline(view, room, i);
    if (view.kind === "elevation") return [polygon(outline, { stroke: "line", strokeWidth: w })];
    return [
      polygon(outline, { fill: "floor" }),
      hatch(outline, Math.max(4, view.scale / 11), { stroke: "line", strokeWidth: w }),
      polygon(outline, { stroke: "edge", strokeWidth: w }),
    ];
  });
}

/** A detector or sprinkler on the ceiling: a small ringed dot. */
export function detectorShapes(view: View, room: Room): readonly Shape[] {
  const w = weightOf(view);
  return room.detectors.flatMap((d) => {
    const [x, y] = view.project([d.xM, d.yM, d.zM]);
    return [
      ellipse(x, y, 4.5 * w, 4.5 * w, { stroke: "edge", strokeWidth: w }),
      ellipse(x, y, 1.5 * w, 1.5 * w, { fill: "edge" }),
    ];
  });
}

/** Paper or cloth: a bar in plan with its sweep, the curve of the sweep from the side. */
export function backdropShapes(view: View, setup: Setup): readonly Shape[] {
  const { backdrop } = setup;
  if (backdrop === null) return [];
  const w = weightOf(view);
  const half = backdrop.widthM / 2;
  const { xM: x, zM: z, heightM: top, sweepM: sweep } = backdrop;
  if (view.kind === "plan") {
    const ends = [view.project([x - half, 0, z]), view.project([x + half, 0, z])] as const;
    const toFront = (end: number): readonly Point[] => [
      view.project([x + end, 0, z]),
      view.project([x + end, 0, z + Math.max(sweep, 0.06)]),
    ];
    const front = [view.project([x - half, 0, z + sweep]), view.project([x + half, 0, z + sweep])] as const;
    return [
      ...(sweep > 0.1 ? [lines([toFront(-half), toFront(half), front], { stroke: "line", strokeWidth: w })] : []),
      line(ends, { stroke: "paper", strokeWidth: 4.5 * w }),
    ];
  }
  const radius = Math.min(0.4, sweep);
  const [x0, y0] = view.project([x, top, z]);
  const bend = view.project([x, radius, z]);
  const corner = view.project([x, 0.01, z]);
  const flatStart = view.project([x, 0.01, z + radius]);
  const end = view.project([x, 0.01, z + sweep]);
  const curve: PathShape = {
    kind: "path",
    steps: [
      ["M", x0, y0],
      ["L", ...bend],
      ["C", ...corner, ...corner, ...flatStart],
      ["L", ...end],
    ],
    stroke: "paper",
    strokeWidth: 3 * w,
  };
  return [curve, ellipse(x0, y0, 3.6 * w, 3.6 * w, { fill: "paper" })];
}

/** The field on the plane of the backdrop (or the back wall): its two edges and the area between. */
export function fieldShapes(view: View, setup: Setup): readonly Shape[] {
  const field = cameraField(setup);
  const z = setup.backdrop?.zM ?? -setup.room.crossFromBackM;
  const [u, v] = view.kind === "plan" ? [1, 0] : [0, 1];
  const ends = [onPlane(field, -u, -v, z), onPlane(field, u, v, z)];
  const [a, b] = ends;
  if (!a || !b) return [];
  const lens = view.project(field.position);
  const clipped = [a, b].map((end) => insideRoom(view, lens, view.project(end)));
  const [p, q] = clipped as [Point, Point];
  const w = weightOf(view);
  return [
    polygon([lens, p, q], { fill: "ink", fillOpacity: 0.045 }),
    lines(
      [
        [lens, p],
        [lens, q],
      ],
      { stroke: "ink2", strokeWidth: w, dash: [7 * w, 4 * w] },
    ),
  ];
}

/** The end of a line from a point in the room, drawn back to the wall that it passes. */
function insideRoom(view: View, from: Point, to: Point): Point {
  const limits = [
    [view.left, view.left + view.width],
    [view.top, view.top + view.height],
  ] as const;
  let t = 1;
  for (const axis of [0, 1] as const) {
    const step = to[axis] - from[axis];
    for (const limit of limits[axis]) {
      const at = (limit - from[axis]) / step;
      if (Math.abs(step) > 1e-9 && at > 0 && limit === limits[axis][step > 0 ? 1 : 0]) t = Math.min(t, at);
    }
  }
  return [from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t];
}
