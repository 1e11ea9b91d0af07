/** The labels of the plan: distances, counterweights, panels, backdrop, windows, furniture; and what they keep clear of. */

import { noseOf, panelOutline, polarOf, type Setup } from "../setup/index.ts";
import { type Label, type LabelSpot, lineObstacle, type Obstacle, placeLabels } from "./labels.ts";
import { runsWidth } from "./measure.ts";
import { furnitureOutline, openingPoint } from "./room.ts";
import { boxCorners, hull, type Point, text } from "./shape.ts";
import { type DrawnLight, lightOutline } from "./symbols.ts";
import { type TagSpot, tagObstacle } from "./tag-spot.ts";
import type { Shape } from "./types.ts";
import type { RoomDrawingOptions, View } from "./view.ts";
import { backdropName, lengthText, runsOf } from "./words.ts";

export function planLabels(
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

const centred = ([x, y]: Point, size: number): { x: number; y: number; width: number; height: number } => ({
  x: x - size / 2,
  y: y - size / 2,
  width: size,
  height: size,
});

function middleOf(points: readonly Point[]): Point {
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
export function roomNames(view: View, setup: Setup, size: number): readonly Shape[] {
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
