/**
 * The plan: the setup seen from above, to scale, with distances, angles and the room's dimensions written where a
 * tape measures them. Text sizes do not scale with the room.
 */

import { noseOf, polarOf, type Setup } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";
import { planLabels, roomNames } from "./plan-labels.ts";
import { backdropShapes, detectorShapes, fieldShapes, furnitureShapes, openingsInPlan, shell, wallM } from "./room.ts";
import { arcPoints, ellipse, group, line, lines, type Point, rectangle, text } from "./shape.ts";
import { sitterSymbol } from "./sitter.ts";
import {
  cameraSymbol,
  carrierSymbol,
  type DrawnLight,
  domeMark,
  drawnLights,
  lightSymbol,
  panelSymbol,
  weightOf,
} from "./symbols.ts";
import { distanceLine, sortedFor, type TagSpot, tagBead, tagSpot } from "./tag-spot.ts";
import type { Shape } from "./types.ts";
import { planView, type RoomDrawing, type RoomDrawingOptions, type View } from "./view.ts";
import { type LengthUnits, lengthText, runsOf } from "./words.ts";

export function plan(setup: Setup, options: RoomDrawingOptions): RoomDrawing {
  const size = options.textSize ?? 13;
  const wall = wallM * options.perMetre;
  const dimensions = options.dimensions !== false;
  const view = planView(setup.room, options.perMetre, wall + 2, wall + 2);
  const lights = options.bare ? [] : drawnLights(setup, options.selected ?? null);
  const shapes: readonly Shape[] = [
    ...shell(view),
    ...openingsInPlan(view, setup.room),
    ...furnitureShapes(view, setup.room),
    ...detectorShapes(view, setup.room),
    ...(dimensions ? roomDimensions(view, setup, size, options.units ?? "metres") : []),
    ...(options.bare ? roomNames(view, setup, size) : contents(view, setup, lights, options, size)),
  ];
  return {
    ...planSize(setup.room, options),
    unit: "px",
    title: `Plan of ${setup.title}, to scale`,
    shapes,
    view,
    toWorld: view.toWorld,
  };
}

/** How large the plan will be, without drawing it. */
export function planSize(
  room: Setup["room"],
  options: RoomDrawingOptions,
): { readonly width: number; readonly height: number } {
  const around =
    2 * (wallM * options.perMetre + 2) + (options.dimensions === false ? 0 : (options.textSize ?? 13) * 1.5);
  return { width: room.widthM * options.perMetre + around, height: room.depthM * options.perMetre + around };
}

function contents(
  view: View,
  setup: Setup,
  lights: readonly DrawnLight[],
  options: RoomDrawingOptions,
  size: number,
): readonly Shape[] {
  const nose = noseOf(setup);
  const w = weightOf(view);
  const beads = lights.map((l) => tagSpot(view, l, options.tagWidth ?? size * 2.4));
  const camera = setup.camera.position;
  const labelled = options.labels !== false;
  return [
    ...backdropShapes(view, setup),
    group(
      "camera",
      [
        ...fieldShapes(view, setup),
        line([view.project(nose), view.project([camera.xM, 0, camera.zM])], {
          stroke: "ink3",
          strokeWidth: w,
          dash: [10 * w, 3 * w, 2 * w, 3 * w],
        }),
        ...cameraSymbol(view, setup),
      ],
      `Camera, ${setup.camera.focalLengthMm} mm`,
    ),
    ...lights.flatMap((l) => carrierSymbol(view, l)),
    ...lights.flatMap((l) => distanceLine(view, l, nose)),
    ...sitterSymbol(view, setup),
    ...setup.panels.map((p) => group(`panel:${p.id}`, panelSymbol(view, setup, p), p.name)),
    ...sortedFor(view, lights).map((l) =>
      group(`light:${l.light.id}`, lightSymbol(view, l), `${l.light.role} ${l.light.tag}`),
    ),
    ...lights.map((l, i) => group(`light:${l.light.id}`, tagBead(l, beads[i] as TagSpot))),
    ...floorCross(view, w),
    domeMark(view, nose),
    ...(labelled ? planLabels(view, setup, lights, beads, size, options) : []),
    ...lights.flatMap((l) => (l.selected && options.handles !== false ? handles(view, setup, l) : [])),
  ];
}

/** The cross on the floor under the nose, from which stands are measured. */
function floorCross(view: View, w: number): readonly Shape[] {
  const [x, y] = view.project([0, 0, 0]);
  const r = 7 * w;
  return [
    lines(
      [
        [
          [x - r, y],
          [x + r, y],
        ],
        [
          [x, y - r],
          [x, y + r],
        ],
      ],
      { stroke: "ink", strokeWidth: 1.4 * w },
    ),
  ];
}

/** Handles of the selected light: its middle, the two ends of its front, and its azimuth as an arc. */
function handles(view: View, setup: Setup, { light, body }: DrawnLight): readonly Shape[] {
  const [x, y] = view.project(body.centre);
  const front = body.front.map(view.project);
  const far = [...front].sort((a, b) => Math.hypot(b[0] - x, b[1] - y) - Math.hypot(a[0] - x, a[1] - y));
  const first = far[0] ?? [x, y];
  const second: Point = [2 * x - first[0], 2 * y - first[1]];
  const square = ([sx, sy]: Point): Shape =>
    rectangle(sx - 4.5, sy - 4.5, 9, 9, { fill: "panel", stroke: "ink", strokeWidth: 1.8 });
  return [
    ...azimuthArc(view, setup, body.centre),
    group(`light:${light.id}:aim`, [square(first), square(second)], "Turn the light"),
    group(
      `light:${light.id}:front`,
      [ellipse(x, y, 6, 6, { fill: "ink", stroke: "panel", strokeWidth: 2 })],
      "Move the light",
    ),
  ];
}

function azimuthArc(view: View, setup: Setup, centre: Vec3): readonly Shape[] {
  const { azimuthDeg } = polarOf(centre, setup);
  const [x, y] = view.project([0, 0, 0]);
  const radius = 0.62 * view.scale;
  // Azimuth 0 points down the page, positive to the right.
  const from = Math.PI / 2;
  const to = Math.PI / 2 - (azimuthDeg * Math.PI) / 180;
  return [line(arcPoints(x, y, radius, from, to), { stroke: "ink", strokeWidth: 1.2 })];
}

/** Width under the plan, depth beside it. */
function roomDimensions(view: View, setup: Setup, size: number, units: LengthUnits): readonly Shape[] {
  const { widthM, depthM } = setup.room;
  const edge = wallM * view.scale;
  const below = view.top + view.height + edge + size * 1.15;
  const beside = view.left + view.width + edge + size * 0.45;
  return [
    text(view.left + view.width / 2, below, size, runsOf(lengthText(widthM, units)), {
      anchor: "middle",
      fill: "ink2",
    }),
    text(beside, view.top + view.height / 2, size, runsOf(lengthText(depthM, units)), {
      anchor: "middle",
      fill: "ink2",
      rotateDeg: 90,
    }),
  ];
}
