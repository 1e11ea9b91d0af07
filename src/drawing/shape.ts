/**
 * Short ways to write shapes, and the few operations on them: move and scale, bounds, hatching, hulls.
 * Points are [x, y], y down, in the unit of the drawing.
 */

import { type Box, textBox } from "./measure.ts";
import type { GroupShape, ImageShape, PathShape, PathStep, Shape, Style, TextRun, TextShape } from "./types.ts";

export type Point = readonly [x: number, y: number];

/** An open line through the points. */
export function line(points: readonly Point[], style: Style): PathShape {
  return { kind: "path", steps: stepsThrough(points), ...style };
}

/** A closed outline. */
export function polygon(points: readonly Point[], style: Style): PathShape {
  return { kind: "path", steps: [...stepsThrough(points), ["Z"]], ...style };
}

/** Several separate lines as one shape: ticks, a grid. */
export function lines(pairs: readonly (readonly Point[])[], style: Style): PathShape {
  return { kind: "path", steps: pairs.flatMap(stepsThrough), ...style };
}

export function rectangle(x: number, y: number, width: number, height: number, style: Style): PathShape {
  return polygon(boxCorners({ x, y, width, height }), style);
}

export const boxCorners = ({ x, y, width, height }: Box): readonly Point[] => [
  [x, y],
  [x + width, y],
  [x + width, y + height],
  [x, y + height],
];

/** A circle or ellipse of four Bézier arcs (4/3·(√2 − 1) of the radius: within 0.03 %). */
export function ellipse(x: number, y: number, rx: number, ry: number, style: Style): PathShape {
  const k = 0.5522847498;
  return {
    kind: "path",
    steps: [
      ["M", x + rx, y],
      ["C", x + rx, y + k * ry, x + k * rx, y + ry, x, y + ry],
      ["C", x - k * rx, y + ry, x - rx, y + k * ry, x - rx, y],
      ["C", x - rx, y - k * ry, x - k * rx, y - ry, x, y - ry],
      ["C", x + k * rx, y - ry, x + rx, y - k * ry, x + rx, y],
      ["Z"],
    ],
    ...style,
  };
}

/** An arc about (x, y) from one angle to another, radians, 0 to the right and growing downward. */
export function arcPoints(x: number, y: number, radius: number, from: number, to: number): readonly Point[] {
  const count = Math.max(2, Math.ceil(Math.abs(to - from) / 0.06));
  return Array.from({ length: count + 1 }, (_, i) => {
    const angle = from + ((to - from) * i) / count;
    return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)] as const;
  });
}

type TextOptions = Partial<Pick<TextShape, "anchor" | "weight" | "fill" | "halo" | "rotateDeg" | "part">>;

/** One line of text from runs; dark ink, starting at x, unless said. */
export function text(
  x: number,
  y: number,
  size: number,
  runs: readonly TextRun[],
  options: TextOptions = {},
): TextShape {
  return { kind: "text", x, y, size, anchor: "start", weight: 400, fill: "ink", ...options, runs };
}

export function group(part: string, shapes: readonly Shape[], label?: string): GroupShape {
  return { kind: "group", part, shapes, ...(label === undefined ? {} : { label }) };
}

const stepsThrough = (points: readonly Point[]): readonly PathStep[] =>
  points.map(([x, y], i) => (i === 0 ? ["M", x, y] : ["L", x, y]));

/** The same shapes scaled about the origin, then moved; line widths, dashes and letters scale along. */
export function placed(shapes: readonly Shape[], scale: number, dx: number, dy: number): readonly Shape[] {
  return shapes.map((shape): Shape => {
    if (shape.kind === "group") return { ...shape, shapes: placed(shape.shapes, scale, dx, dy) };
    if (shape.kind === "text") {
      return { ...shape, x: shape.x * scale + dx, y: shape.y * scale + dy, size: shape.size * scale };
    }
    if (shape.kind === "image") {
      const box = { x: shape.x * scale + dx, y: shape.y * scale + dy };
      return { ...shape, ...box, width: shape.width * scale, height: shape.height * scale };
    }
    return {
      ...shape,
      steps: shape.steps.map((step) => movedStep(step, scale, dx, dy)),
      ...(shape.strokeWidth === undefined ? {} : { strokeWidth: shape.strokeWidth * scale }),
      ...(shape.dash === undefined ? {} : { dash: shape.dash.map((d) => d * scale) }),
    };
  });
}

function movedStep(step: PathStep, k: number, dx: number, dy: number): PathStep {
  switch (step[0]) {
    case "Z":
      return step;
    case "C":
      return [
        "C",
        step[1] * k + dx,
        step[2] * k + dy,
        step[3] * k + dx,
        step[4] * k + dy,
        step[5] * k + dx,
        step[6] * k + dy,
      ];
    default:
      return [step[0], step[1] * k + dx, step[2] * k + dy];
  }
}

/** Every shape that is not a group, in drawing order. */
export function* flat(shapes: readonly Shape[]): Generator<PathShape | TextShape | ImageShape> {
  for (const shape of shapes) {
    if (shape.kind === "group") yield* flat(shape.shapes);
    else yield shape;
  }
}

/** The box about the given shapes; text by its measured width, rotated text by its turned box. */
export function boundsOf(shapes: readonly Shape[]): Box {
  const points = [...flat(shapes)].flatMap(cornersOf);
  if (points.length === 0) return { x: 0, y: 0, width: 0, height: 0 };
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  const [x, y] = [Math.min(...xs), Math.min(...ys)];
  return { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y };
}

const cornersOf = (shape: PathShape | TextShape | ImageShape): readonly Point[] =>
  shape.kind === "path" ? pathPoints(shape) : shape.kind === "text" ? textCorners(shape) : boxCorners(shape);

export function pathPoints(shape: PathShape): readonly Point[] {
  return shape.steps.flatMap((step): readonly Point[] => {
    if (step[0] === "Z") return [];
    if (step[0] !== "C") return [[step[1], step[2]]];
    return [
      [step[1], step[2]],
      [step[3], step[4]],
      [step[5], step[6]],
    ];
  });
}

/** The four corners that a line of text covers, turned about its anchor. */
export function textCorners(shape: TextShape): readonly Point[] {
  const turn = ((shape.rotateDeg ?? 0) * Math.PI) / 180;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  return boxCorners(textBox(shape)).map(([x, y]): Point => {
    const [dx, dy] = [x - shape.x, y - shape.y];
    return [shape.x + dx * c - dy * s, shape.y + dx * s + dy * c];
  });
}

/** Convex hull, counter-clockwise on screen (Andrew's monotone chain). */
export function hull(points: readonly Point[]): readonly Point[] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  if (sorted.length < 3) return sorted;
  const half = (from: readonly Point[]): Point[] => {
    const chain: Point[] = [];
    for (const p of from) {
      while (chain.length > 1 && turnOf(chain[chain.length - 2] as Point, chain[chain.length - 1] as Point, p) <= 0) {
        chain.pop();
      }
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

/** Twice the signed area of the triangle o, a, b. */
const turnOf = (o: Point, a: Point, b: Point): number => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);

/** Slanting lines inside a convex outline, `pitch` apart: hatching without a pattern fill, so that paper has it too. */
export function hatch(outline: readonly Point[], pitch: number, style: Style): PathShape {
  // Along the direction (1, −1)/√2 the lines are x + y = c.
  const sums = outline.map(([x, y]) => x + y);
  const step = pitch * Math.SQRT2;
  const segments: (readonly Point[])[] = [];
  for (let c = Math.ceil(Math.min(...sums) / step) * step; c < Math.max(...sums); c += step) {
    const cut = crossings(outline, c);
    if (cut.length === 2) segments.push(cut);
  }
  return lines(segments, style);
}

function crossings(outline: readonly Point[], c: number): readonly Point[] {
  const found: Point[] = [];
  outline.forEach((a, i) => {
    const b = outline[(i + 1) % outline.length] as Point;
    const [sa, sb] = [a[0] + a[1] - c, b[0] + b[1] - c];
    if (sa < 0 === sb < 0) return;
    const t = sa / (sa - sb);
    found.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
  });
  return found;
}
