/**
 * A starter pattern as a small plan: the head in the middle, each light as a bar across its own direction, camera at
 * the foot of the picture. Not to scale: only angles are true. CSS pixels.
 */

import { ellipse, line, type Point, polygon } from "./shape.ts";
import type { Drawing, Paint, Shape } from "./types.ts";

export interface IconLight {
  readonly azimuthDeg: number;
  readonly hue: number;
  /** Relative length of the bar, 1 for a middling front. */
  readonly breadth: number;
  /** A card is drawn without a head behind it. */
  readonly card: boolean;
}

export function patternIcon(name: string, lights: readonly IconLight[], size = 72): Drawing {
  const [cx, cy] = [size / 2, size * 0.44];
  const unit = size / 72;
  return {
    width: size,
    height: size,
    unit: "px",
    title: `${name}, from above`,
    shapes: [
      ellipse(cx, cy, 6.5 * unit, 8 * unit, { fill: "ink2" }),
      polygon(
        [
          [cx - 2.4 * unit, cy + 7 * unit],
          [cx + 2.4 * unit, cy + 7 * unit],
          [cx, cy + 11 * unit],
        ],
        { fill: "ink2" },
      ),
      ...lights.flatMap((light, i) => oneLight(light, ringOf(lights, i), cx, cy, unit)),
    ],
  };
}

/** Lights on nearly the same azimuth stand one behind the other. */
function ringOf(lights: readonly IconLight[], index: number): number {
  const own = lights[index]?.azimuthDeg ?? 0;
  return lights.slice(0, index).filter((other) => Math.abs(turn(other.azimuthDeg - own)) < 25).length;
}

const turn = (angle: number): number => ((((angle + 180) % 360) + 360) % 360) - 180;

function oneLight(light: IconLight, ring: number, cx: number, cy: number, unit: number): readonly Shape[] {
  const a = (light.azimuthDeg * Math.PI) / 180;
  // Toward the light, in the drawing: azimuth 0 is down the page.
  const [dx, dy] = [Math.sin(a), Math.cos(a)];
  const away = (22 + 9 * ring) * unit;
  const half = 7 * light.breadth * unit;
  const depth = 2.6 * unit;
  const at = (along: number, aside: number): Point => [
    cx + dx * (away + along) - dy * aside,
    cy + dy * (away + along) + dx * aside,
  ];
  const colour: Paint = `hue-${light.hue}`;
  const bar = polygon([at(-depth, -half), at(-depth, half), at(depth, half), at(depth, -half)], {
    fill: colour,
    stroke: "key",
    strokeWidth: 0.9 * unit,
  });
  if (light.card) return [bar];
  const bracket = line([at(-depth * 0.2, -half - 3 * unit), at(depth * 2.2, 0), at(-depth * 0.2, half + 3 * unit)], {
    stroke: "edge",
    strokeWidth: 1.1 * unit,
  });
  return [bracket, bar];
}
