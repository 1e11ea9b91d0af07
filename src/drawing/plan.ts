/**
 * The plan: the setup seen from above, to scale, with distances, angles and the room's dimensions written where a
 * tape measures them. Text sizes do not scale with the room.
 */

import { noseOf, panelOutline, polarOf, type Setup } from "../setup/index.ts";
import { addScaled, type Vec3 } from "../units/index.ts";
import { bead } from "./bead.ts";
import { type Label, type LabelSpot, lineObstacle, type Obstacle, placeLabels } from "./labels.ts";
import { runsWidth } from "./measure.ts";
import {
  backdropShapes,
  detectorShapes,
  fieldShapes,
  furnitureOutline,
  furnitureShapes,
  openingPoint,
  openingsInPlan,
  shell,
  wallM,
} from "./room.ts";
import { arcPoints, boxCorners, ellipse, group, hull, line, lines, type Point, rectangle, text } from "./shape.ts";
import { sitterSymbol } from "./sitter.ts";
import {
  cameraSymbol,
  carrierSymbol,
  type DrawnLight,
  domeMark,
  drawnLights,
  lightOutline,
  lightSymbol,
  panelSymbol,
  weightOf,
} from "./symbols.ts";
import type { Drawing, Shape } from "./types.ts";
import { planView, type View } from "./view.ts";
import { backdropName, type LengthUnits, lengthText, runsOf } from "./words.ts";

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
    ...lights.map((l) => distanceLine(view, l, nose)),
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

/** The nearest to the eye last: the highest in plan, the one farthest to camera left in elevation. */
export function sortedFor(view: View, lights: readonly DrawnLight[]): readonly DrawnLight[] {
  const nearness = ({ body }: DrawnLight): number => (view.kind === "plan" ? body.centre[1] : -body.centre[0]);
  return [...lights].sort((a, b) => nearness(a) - nearness(b));
}

/** Solid for the selected light, broken for the others. */
export function distanceLine(view: View, { body, colour, selected }: DrawnLight, nose: Vec3): Shape {
  const w = weightOf(view);
  return line([view.project(body.centre), view.project(nose)], {
    stroke: colour,
    strokeWidth: selected ? 2 * w : 1.3 * w,
    ...(selected ? {} : { dash: [5 * w, 4 * w] }),
  });
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

function planLabels(
  view: View,
  setup: Setup,
  lights: readonly DrawnLight[],
  beads: readonly TagSpot[],
  size: number,
  options: RoomDrawingOptions,
): readonly Shape[] {
  const units = options.units ?? "metres";
  const nose = noseOf(setup);
  const quiet = { weight: 400, fill: "ink2", halo: "floor" } as const;
  const labels: Label[] = [];
  for (const l of [...lights].sort((a, b) => Number(b.selected) - Number(a.selected))) {
    const runs = runsOf(lengthText(polarOf(l.body.centre, setup).distanceM, units));
    const bold = l.selected ? size + 1.5 : size + 0.5;
    const spots = spotsAlong(view.project(l.body.centre), view.project(nose), runsWidth(runs, bold, 600), bold);
    labels.push({ runs, size: bold, weight: 600, fill: "ink", halo: "floor", spots });
    if (l.selected && options.handles !== false) labels.push(azimuthLabel(view, setup, l, size));
  }
  for (const l of lights) {
    if (l.body.boom === null || l.body.boom.counterweightKg <= 0) continue;
    const at = view.project(l.body.boom.tail);
    const runs = runsOf(`${Number(l.body.boom.counterweightKg.toFixed(1))} kg`);
    labels.push({
      runs,
      size,
      weight: 600,
      fill: "ink",
      halo: "floor",
      spots: spotsAround(at, 0.16 * view.scale, size),
    });
  }
  for (const panel of setup.panels) {
    const outline = hull(panelOutline(setup, panel).map(view.project));
    const spots = [middleOf(outline), ...farthestPair(outline)].flatMap((at) => spotsAround(at, 8, size - 1));
    labels.push({ ...quiet, runs: runsOf(panel.name), size: size - 1, spots });
  }
  const { backdrop } = setup;
  if (backdrop !== null) {
    const at = view.project([backdrop.xM - backdrop.widthM / 2, 0, backdrop.zM]);
    const end = view.project([backdrop.xM + backdrop.widthM / 2, 0, backdrop.zM]);
    const runs = runsOf(backdropName(backdrop, units));
    const spots: readonly LabelSpot[] = [
      { x: at[0] + 2, y: at[1] - 7, anchor: "start" },
      { x: end[0] - 2, y: at[1] - 7, anchor: "end" },
      { x: end[0] - 2, y: at[1] + size + 4, anchor: "end" },
      { x: at[0] + 2, y: at[1] + size + 4, anchor: "start" },
    ];
    labels.push({ ...quiet, runs, size, spots });
  }
  return [
    ...placeLabels([...labels, ...windowLabels(view, setup, size)], obstaclesIn(view, setup, lights, beads), {
      x: view.left,
      y: view.top,
      width: view.width,
      height: view.height,
    }),
    ...furnitureNames(view, setup, size),
  ];
}

function azimuthLabel(view: View, setup: Setup, l: DrawnLight, size: number): Label {
  const { azimuthDeg } = polarOf(l.body.centre, setup);
  const [x, y] = view.project([0, 0, 0]);
  const spots = [0.5, 0.35, 0.65, 0.2].flatMap((part) =>
    [15, -12].map((out): LabelSpot => {
      const angle = Math.PI / 2 - (azimuthDeg * part * Math.PI) / 180;
      const r = 0.62 * view.scale + out;
      return { x: x + r * Math.cos(angle), y: y + r * Math.sin(angle) + size * 0.34, anchor: "middle" };
    }),
  );
  const runs = runsOf(`${Math.abs(Math.round(azimuthDeg))}°`);
  return { runs, size: size + 0.5, weight: 600, fill: "ink", halo: "floor", spots };
}

function windowLabels(view: View, setup: Setup, size: number): readonly Label[] {
  return setup.room.openings
    .filter((opening) => opening.kind === "window")
    .map((opening) => {
      const at = openingPoint(view, setup.room, opening);
      const [x, y] = at(opening.widthM / 2, -0.12);
      const anchor = opening.wall === "left" ? "start" : opening.wall === "right" ? "end" : "middle";
      const runs = runsOf(opening.covered ? "blind down" : opening.name);
      const spots = [0, -1.4, 1.4, 2.8].map((rows): LabelSpot => ({ x, y: y + size * (0.34 + rows), anchor }));
      return { runs, size: size - 1, weight: 400, fill: "ink3", halo: "floor", spots };
    });
}

/** What labels keep clear of, the worst first: tags, fronts, the sitter, panels, arms, lines. */
function obstaclesIn(
  view: View,
  setup: Setup,
  lights: readonly DrawnLight[],
  beads: readonly TagSpot[],
): readonly Obstacle[] {
  const nose = view.project(noseOf(setup));
  const r = 0.25 * view.scale;
  const camera = setup.camera.position;
  return [
    ...beads.map(tagObstacle),
    ...lights.map((l) => ({ outline: lightOutline(view, l.body), weight: 4 })),
    ...lights.map((l) => lineObstacle(view.project(l.body.centre), nose, 2, 2)),
    ...lights.flatMap(({ body }) =>
      body.boom === null ? [] : [lineObstacle(view.project(body.boom.load), view.project(body.boom.tail), 6, 5)],
    ),
    ...lights.flatMap(({ body: { stand } }) =>
      stand === null ? [] : stand.legEnds.map((end) => lineObstacle(view.project(stand.foot), view.project(end), 2, 2)),
    ),
    ...setup.panels.map((p) => {
      const [a, b] = farthestPair(hull(panelOutline(setup, p).map(view.project)));
      return lineObstacle(a, b, 7, 8);
    }),
    { outline: boxCorners({ x: nose[0] - r, y: nose[1] - r, width: 2 * r, height: 2.6 * r }), weight: 4 },
    { outline: boxCorners({ ...centred(view.project([camera.xM, 0, camera.zM + 0.1]), 0.2 * view.scale) }), weight: 6 },
    ...setup.room.furniture.map((_, i) => ({ outline: furnitureOutline(view, setup.room, i), weight: 3 })),
    ...(setup.backdrop === null
      ? []
      : [
          lineObstacle(
            view.project([setup.backdrop.xM - setup.backdrop.widthM / 2, 0, setup.backdrop.zM]),
            view.project([setup.backdrop.xM + setup.backdrop.widthM / 2, 0, setup.backdrop.zM]),
            5,
            6,
          ),
        ]),
  ];
}

export const centred = ([x, y]: Point, size: number): { x: number; y: number; width: number; height: number } => ({
  x: x - size / 2,
  y: y - size / 2,
  width: size,
  height: size,
});

export function middleOf(points: readonly Point[]): Point {
  const n = Math.max(1, points.length);
  return [points.reduce((s, p) => s + p[0], 0) / n, points.reduce((s, p) => s + p[1], 0) / n];
}

function farthestPair(points: readonly Point[]): readonly [Point, Point] {
  let best: readonly [Point, Point] = [points[0] ?? [0, 0], points[0] ?? [0, 0]];
  let far = -1;
  for (const a of points) {
    for (const b of points) {
      const d = Math.hypot(a[0] - b[0], a[1] - b[1]);
      if (d > far) [best, far] = [[a, b], d];
    }
  }
  return best;
}

/** On the line first, then beside it, from its middle outward. */
function spotsAlong(from: Point, to: Point, width: number, size: number): readonly LabelSpot[] {
  const beside = width / 2 + 4;
  return [0.42, 0.55, 0.3, 0.68, 0.2, 0.8].flatMap((t): readonly LabelSpot[] => {
    const [x, y] = [from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t];
    const base = y + size * 0.34;
    return [
      { x, y: base, anchor: "middle" },
      { x: x + beside, y: base, anchor: "middle" },
      { x: x - beside, y: base, anchor: "middle" },
      { x, y: base - size, anchor: "middle" },
      { x, y: base + size, anchor: "middle" },
    ];
  });
}

/** Right, left, below and above of a point, near and a little farther. */
export function spotsAround([x, y]: Point, away: number, size: number): readonly LabelSpot[] {
  return [away, away * 1.8 + 4, away * 2.6 + 14].flatMap((d): readonly LabelSpot[] => [
    { x: x + d, y: y + size * 0.34, anchor: "start" },
    { x: x - d, y: y + size * 0.34, anchor: "end" },
    { x, y: y + d + size * 0.8, anchor: "middle" },
    { x, y: y - d - size * 0.1, anchor: "middle" },
    { x: x + d * 0.8, y: y + d + size * 0.5, anchor: "start" },
    { x: x - d * 0.8, y: y + d + size * 0.5, anchor: "end" },
    { x: x + d * 0.8, y: y - d, anchor: "start" },
    { x: x - d * 0.8, y: y - d, anchor: "end" },
  ]);
}

function furnitureNames(view: View, setup: Setup, size: number): readonly Shape[] {
  return setup.room.furniture.flatMap((f, i) => {
    const outline = furnitureOutline(view, setup.room, i);
    const [x, y] = middleOf(outline);
    const upright = f.depthM > f.widthM;
    const runs = runsOf(f.name);
    const room = Math.max(f.widthM, f.depthM) * view.scale - 4;
    if (runsWidth(runs, size - 0.5, 400) > room || Math.min(f.widthM, f.depthM) * view.scale < size * 1.2) return [];
    const style = { anchor: "middle", fill: "ink2", halo: "floor" } as const;
    return [
      upright
        ? text(x + size * 0.34, y, size - 0.5, runs, { ...style, rotateDeg: -90 })
        : text(x, y + size * 0.34, size - 0.5, runs, style),
    ];
  });
}

/** Names of openings for the bare room. */
function roomNames(view: View, setup: Setup, size: number): readonly Shape[] {
  const doors = setup.room.openings
    .filter((opening) => opening.kind === "door")
    .map((opening): Label => {
      const at = openingPoint(view, setup.room, opening)(opening.widthM / 2, -opening.widthM - 0.1);
      const runs = runsOf(`${opening.name} ${opening.widthM.toFixed(2)}`);
      return { runs, size, weight: 400, fill: "ink2", halo: "floor", spots: spotsAround(at, 2, size) };
    });
  const page = { x: view.left, y: view.top, width: view.width, height: view.height };
  return [
    ...placeLabels([...doors, ...windowLabels(view, setup, size)], [], page),
    ...furnitureNames(view, setup, size),
  ];
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
