/**
 * The elevation: the setup seen from camera left, to scale, backdrop on the left and camera on the right, with the
 * height of each front's middle.
 */

import { noseOf, panelOutline, type Setup } from "../setup/index.ts";
import { type Label, type LabelSpot, lineObstacle, type Obstacle, placeLabels } from "./labels.ts";
import { spotsAround } from "./plan-labels.ts";
import { backdropShapes, detectorShapes, fieldShapes, furnitureShapes, shell, wallM } from "./room.ts";
import { boxCorners, ellipse, group, hull, line, text } from "./shape.ts";
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
import { distanceLine, sortedFor, type TagSpot, tagBead, tagObstacle, tagSpot } from "./tag-spot.ts";
import type { Shape } from "./types.ts";
import { elevationView, type RoomDrawing, type RoomDrawingOptions, type View } from "./view.ts";
import { type LengthUnits, lengthText, runsOf } from "./words.ts";

export function elevation(setup: Setup, options: RoomDrawingOptions): RoomDrawing {
  const size = options.textSize ?? 13;
  const wall = wallM * options.perMetre;
  const dimensions = options.dimensions !== false;
  const view = elevationView(setup.room, options.perMetre, wall + 2, wall + 2);
  const lights = drawnLights(setup, options.selected ?? null);
  const beads = lights.map((l) => tagSpot(view, l, options.tagWidth ?? size * 2.4));
  const nose = noseOf(setup);
  const w = weightOf(view);
  const lens = setup.camera.position;
  const shapes: readonly Shape[] = [
    ...shell(view),
    ...furnitureShapes(view, setup.room),
    ...detectorShapes(view, setup.room),
    ...(dimensions ? roomDimensions(view, setup, size, options.units ?? "metres") : []),
    ...backdropShapes(view, setup),
    ...setup.panels.map((p) => group(`panel:${p.id}`, panelSymbol(view, setup, p), p.name)),
    ...lights.flatMap((l) => carrierSymbol(view, l)),
    group(
      "camera",
      [
        ...fieldShapes(view, setup),
        line([view.project(nose), view.project([0, lens.yM, lens.zM])], {
          stroke: "ink3",
          strokeWidth: w,
          dash: [10 * w, 3 * w, 2 * w, 3 * w],
        }),
        ...cameraSymbol(view, setup),
      ],
      `Camera, ${setup.camera.focalLengthMm} mm`,
    ),
    ...lights.flatMap((l) => distanceLine(view, l, nose)),
    ...sitterSymbol(view, setup),
    ...sortedFor(view, lights).map((l) =>
      group(`light:${l.light.id}`, lightSymbol(view, l), `${l.light.role} ${l.light.tag}`),
    ),
    ...lights.map((l, i) => group(`light:${l.light.id}`, tagBead(l, beads[i] as TagSpot))),
    domeMark(view, nose),
    ...(options.labels === false ? [] : heightLabels(view, setup, lights, beads, size, options.units ?? "metres")),
    ...lights.flatMap((l) => (l.selected && options.handles !== false ? [frontHandle(view, l)] : [])),
  ];
  return {
    ...elevationSize(setup.room, options),
    unit: "px",
    title: `Elevation of ${setup.title} from camera left, to scale`,
    shapes,
    view,
    toWorld: view.toWorld,
  };
}

/** How large the elevation will be, without drawing it. */
export function elevationSize(
  room: Setup["room"],
  options: RoomDrawingOptions,
): { readonly width: number; readonly height: number } {
  const around = 2 * (wallM * options.perMetre + 2);
  const below = options.dimensions === false ? 0 : (options.textSize ?? 13) * 1.4;
  return { width: room.depthM * options.perMetre + around, height: room.heightM * options.perMetre + around + below };
}

function frontHandle(view: View, { light, body }: DrawnLight): Shape {
  const [x, y] = view.project(body.centre);
  const dot = ellipse(x, y, 6, 6, { fill: "ink", stroke: "panel", strokeWidth: 2 });
  return group(`light:${light.id}:front`, [dot], "Move the light");
}

function heightLabels(
  view: View,
  setup: Setup,
  lights: readonly DrawnLight[],
  beads: readonly TagSpot[],
  size: number,
  units: LengthUnits,
): readonly Shape[] {
  const nose = noseOf(setup);
  const lens = setup.camera.position;
  const common = { weight: 600, fill: "ink", halo: "floor", size } as const;
  const heights = lights.map((l): Label => {
    const [x, y] = view.project(l.body.centre);
    const over: readonly LabelSpot[] = [
      { x, y: y - size, anchor: "middle" },
      { x, y: y + size * 1.6, anchor: "middle" },
      { x, y: y + size * 0.34, anchor: "middle" },
    ];
    const away = 0.25 * view.scale;
    return {
      ...common,
      runs: runsOf(lengthText(l.body.centre[1], units)),
      spots: [...over, ...spotsAround([x, y], away, size)],
    };
  });
  const [nx, ny] = view.project(nose);
  const [cx, cy] = view.project([0, lens.yM, lens.zM]);
  const point = setup.subject.kind === "person" ? "nose" : "point";
  const level = Math.abs(lens.yM - nose[1]) < 0.005;
  const quiet = { weight: 400, fill: "ink2", halo: "floor", size } as const;
  const noseWords = `${level ? `${point}, lens` : point} ${lengthText(nose[1], units)}`;
  const between: readonly LabelSpot[] = [0.45, 0.6, 0.3].flatMap((t): readonly LabelSpot[] => {
    const [x, y] = [nx + (cx - nx) * t, ny + (cy - ny) * t];
    return [size * 3.2, size * 1.6, size * 4.8, size * 6.4, -size].map((dy) => ({
      x,
      y: y + dy,
      anchor: "middle" as const,
    }));
  });
  const points: readonly Label[] = [
    { ...quiet, runs: runsOf(noseWords), spots: between },
    ...(level
      ? []
      : [
          {
            ...quiet,
            runs: runsOf(`lens ${lengthText(lens.yM, units)}`),
            spots: spotsAround([cx, cy], 0.25 * view.scale, size),
          },
        ]),
  ];
  const page = { x: view.left, y: view.top, width: view.width, height: view.height };
  return placeLabels([...heights, ...points], obstaclesIn(view, setup, lights, beads, size), page);
}

function obstaclesIn(
  view: View,
  setup: Setup,
  lights: readonly DrawnLight[],
  beads: readonly TagSpot[],
  size: number,
): readonly Obstacle[] {
  const nose = view.project(noseOf(setup));
  const k = view.scale;
  const lens = setup.camera.position;
  const height = `${lengthText(setup.room.heightM, "metres")}`.length * size * 0.55;
  return [
    ...beads.map(tagObstacle),
    ...lights.map((l) => ({ outline: lightOutline(view, l.body), weight: 1.5 })),
    ...lights.map((l) => lineObstacle(view.project(l.body.centre), nose, 2, 2)),
    ...lights.flatMap(({ body }) =>
      body.boom === null ? [] : [lineObstacle(view.project(body.boom.load), view.project(body.boom.tail), 5, 4)],
    ),
    ...lights.flatMap(({ body: { stand } }) =>
      stand === null ? [] : [lineObstacle(view.project(stand.foot), view.project(stand.top), 2, 2)],
    ),
    ...setup.panels.map((p) => ({ outline: hull(panelOutline(setup, p).map(view.project)), weight: 0.2 })),
    {
      outline: boxCorners({ x: nose[0] - 0.25 * k, y: nose[1] - 0.15 * k, width: 0.28 * k, height: 1.4 * k }),
      weight: 4,
    },
    { outline: boxCorners({ x: nose[0], y: nose[1] + 0.45 * k, width: 0.45 * k, height: 0.8 * k }), weight: 4 },
    lineObstacle(view.project([0, lens.yM, lens.zM - 0.05]), view.project([0, lens.yM, lens.zM + 0.25]), 0.14 * k, 6),
    lineObstacle(view.project([0, lens.yM, lens.zM + 0.16]), view.project([0, 0, lens.zM + 0.16]), 3, 2),
    // The room's height stands in its upper right corner.
    {
      outline: boxCorners({
        x: view.left + view.width - height - 6,
        y: view.top,
        width: height + 6,
        height: size * 1.6,
      }),
      weight: 10,
    },
  ];
}

function roomDimensions(view: View, setup: Setup, size: number, units: LengthUnits): readonly Shape[] {
  const { depthM, heightM } = setup.room;
  const below = view.top + view.height + wallM * view.scale + size * 1.15;
  return [
    text(view.left + view.width / 2, below, size, runsOf(lengthText(depthM, units)), {
      anchor: "middle",
      fill: "ink2",
    }),
    text(view.left + view.width - 5, view.top + size * 1.2, size, runsOf(lengthText(heightM, units)), {
      anchor: "end",
      fill: "ink2",
    }),
  ];
}
