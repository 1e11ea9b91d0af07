/**
 * The sitter from above and from the side, on a stool or standing, turned with the pose. A drawing aid, not
 * anthropometry: proportions are those of a middling adult, stretched so that the nose stands at its height.
 */

import { headOf, type Setup } from "../setup/index.ts";
import { ellipse, line, type Point, polygon } from "./shape.ts";
import { weightOf } from "./symbols.ts";
import type { PathShape, PathStep, Shape, Style } from "./types.ts";
import type { View } from "./view.ts";

/** The person, or a turned foot and a cross for an object. */
export function sitterSymbol(view: View, setup: Setup): readonly Shape[] {
  if (headOf(setup) === null) return objectSymbol(view, setup);
  return view.kind === "plan" ? fromAbove(view, setup) : fromTheSide(view, setup);
}

/** A thing on a table: no body is known, so only its place and height are marked. */
function objectSymbol(view: View, setup: Setup): readonly Shape[] {
  const w = weightOf(view);
  const height = setup.subject.noseHeightM;
  const [x, y] = view.project([0, height, 0]);
  const r = 0.11 * view.scale;
  if (view.kind === "plan") {
    return [ellipse(x, y, r, r, { fill: "well", stroke: "ink2", strokeWidth: 1.2 * w })];
  }
  const [, floorY] = view.project([0, 0, 0]);
  const top = Math.max(y, floorY - height * view.scale);
  return [
    line(
      [
        [x, top + r],
        [x, floorY],
      ],
      { stroke: "edge", strokeWidth: 1.4 * w },
    ),
    ellipse(x, top, r, r, { fill: "well", stroke: "ink2", strokeWidth: 1.2 * w }),
  ];
}

/** Body coordinates (right, forward) about the cross, m, to the drawing, turned by the yaw of the body. */
function turned(view: View, yawDeg: number): (right: number, forward: number) => Point {
  const [c, s] = [Math.cos((yawDeg * Math.PI) / 180), Math.sin((yawDeg * Math.PI) / 180)];
  return (right, forward) => view.project([right * c + forward * s, 0, forward * c - right * s]);
}

function fromAbove(view: View, setup: Setup): readonly Shape[] {
  const { bodyYawDeg, headYawDeg, pose } = setup.subject;
  const w = weightOf(view);
  const skin: Style = { fill: "well", stroke: "ink2", strokeWidth: 1.1 * w, join: "round" };
  const body = turned(view, bodyYawDeg);
  const head = turned(view, headYawDeg);
  const oval = (at: (r: number, f: number) => Point, forward: number, rx: number, rf: number): readonly Point[] =>
    Array.from({ length: 32 }, (_, i) => {
      const angle = (i * Math.PI) / 16;
      return at(rx * Math.cos(angle), forward + rf * Math.sin(angle));
    });
  const thigh = (side: 1 | -1): readonly Point[] =>
    (
      [
        [0.03, 0.02],
        [0.035, 0.2],
        [0.055, 0.32],
        [0.08, 0.36],
        [0.115, 0.36],
        [0.14, 0.31],
        [0.155, 0.14],
        [0.15, -0.1],
      ] as const
    ).map(([r, f]) => body(side * r, f));
  const seated: readonly Shape[] =
    pose === "seated"
      ? [
          polygon(oval(body, -0.12, 0.17, 0.17), { stroke: "edge", strokeWidth: 1.2 * w }),
          polygon(thigh(-1), skin),
          polygon(thigh(1), skin),
        ]
      : [];
  return [
    ...seated,
    polygon(oval(body, -0.11, 0.225, 0.115), skin),
    polygon([head(-0.018, -0.024), head(0, 0.012), head(0.018, -0.024)], { fill: "ink" }),
    polygon(oval(head, -0.105, 0.078, 0.098), { fill: "ink2", stroke: "panel", strokeWidth: w }),
  ];
}

/** Curves of the profile, in metres: forward of the nose line and height; heights are mapped by the caller. */
type ProfileStep =
  | readonly ["M" | "L", number, number]
  | readonly ["C", number, number, number, number, number, number];

function fromTheSide(view: View, setup: Setup): readonly Shape[] {
  const { subject } = setup;
  const nose = subject.noseHeightM;
  const w = weightOf(view);
  const skin: Style = { fill: "well", stroke: "ink2", strokeWidth: 1.1 * w, join: "round" };
  // The profile is drawn about the ear line, 10 cm behind the nose tip.
  const at = (forward: number, height: number): Point => view.project([0, height, forward - 0.1]);
  const curve = (steps: readonly ProfileStep[], height: (h: number) => number): PathShape => ({
    kind: "path",
    steps: [...steps.map((step) => mapped(step, at, height)), ["Z"]],
    ...skin,
  });
  const head = curve(headProfile, (h) => nose + h);
  if (subject.pose === "standing") {
    const body = (h: number): number => (h * nose) / 1.55;
    return [curve(standingBody, body), curve(standingArm, body), head];
  }
  const seat = Math.max(0.1, nose - 0.74);
  const onSeat = (h: number): number => seat + (h * (nose - seat)) / 0.74;
  const overFloor = (h: number): number => (h * seat) / 0.51;
  return [
    ...stool(at, seat, w),
    curve(shin, overFloor),
    curve(thighProfile, (h) => seat + h),
    curve(torso, onSeat),
    head,
    curve(arm, onSeat),
  ];
}

function mapped(step: ProfileStep, at: (f: number, h: number) => Point, height: (h: number) => number): PathStep {
  if (step[0] !== "C") return [step[0], ...at(step[1], height(step[2]))];
  return ["C", ...at(step[1], height(step[2])), ...at(step[3], height(step[4])), ...at(step[5], height(step[6]))];
}

function stool(at: (f: number, h: number) => Point, seat: number, w: number): readonly Shape[] {
  const style = { stroke: "edge", strokeWidth: 2 * w } as const;
  return [
    polygon([at(-0.17, seat), at(0.15, seat), at(0.15, seat - 0.05), at(-0.17, seat - 0.05)], { fill: "edge" }),
    line([at(-0.01, seat - 0.05), at(-0.01, 0.06)], style),
    line([at(-0.2, 0), at(-0.01, 0.1), at(0.18, 0)], style),
    line([at(-0.13, 0.22), at(0.11, 0.22)], style),
  ];
}

const headProfile: readonly ProfileStep[] = [
  ["M", -0.055, -0.19],
  ["C", -0.045, -0.14, -0.05, -0.1, -0.06, -0.07],
  ["C", -0.12, 0, -0.105, 0.132, 0, 0.13],
  ["C", 0.07, 0.13, 0.095, 0.085, 0.085, 0.03],
  ["L", 0.1, 0],
  ["L", 0.082, -0.012],
  ["L", 0.08, -0.04],
  ["C", 0.085, -0.085, 0.06, -0.105, 0.035, -0.105],
  ["C", 0.03, -0.13, 0.03, -0.15, 0.045, -0.17],
];
const torso: readonly ProfileStep[] = [
  ["M", -0.045, 0.58],
  ["C", -0.13, 0.56, -0.165, 0.44, -0.145, 0.3],
  ["C", -0.135, 0.18, -0.155, 0.08, -0.14, 0],
  ["L", 0.09, 0],
  ["C", 0.11, 0.12, 0.1, 0.2, 0.115, 0.31],
  ["C", 0.13, 0.42, 0.1, 0.54, 0.035, 0.58],
];
const arm: readonly ProfileStep[] = [
  ["M", -0.045, 0.5],
  ["C", -0.08, 0.38, -0.07, 0.26, -0.03, 0.17],
  ["L", 0.24, 0.19],
  ["C", 0.29, 0.19, 0.29, 0.14, 0.25, 0.13],
  ["L", 0.04, 0.16],
  ["C", 0.035, 0.3, 0.05, 0.42, 0.03, 0.5],
];
const thighProfile: readonly ProfileStep[] = [
  ["M", -0.13, 0],
  ["C", -0.16, 0.06, -0.15, 0.14, -0.1, 0.15],
  ["L", 0.36, 0.14],
  ["C", 0.45, 0.13, 0.46, 0.02, 0.4, 0],
];
/** From the knee down, for a seat 0.51 m high. */
const shin: readonly ProfileStep[] = [
  ["M", 0.36, 0.64],
  ["C", 0.44, 0.64, 0.47, 0.57, 0.44, 0.49],
  ["L", 0.4, 0.1],
  ["C", 0.46, 0.09, 0.53, 0.06, 0.54, 0.02],
  ["L", 0.54, 0],
  ["L", 0.31, 0],
  ["L", 0.32, 0.1],
  ["L", 0.33, 0.47],
];
/** Standing, for a nose at 1.55 m. */
const standingBody: readonly ProfileStep[] = [
  ["M", -0.045, 1.4],
  ["C", -0.13, 1.38, -0.165, 1.25, -0.145, 1.12],
  ["C", -0.13, 1.02, -0.15, 0.92, -0.14, 0.82],
  ["C", -0.11, 0.6, -0.1, 0.4, -0.09, 0.08],
  ["L", -0.09, 0],
  ["L", 0.16, 0],
  ["C", 0.16, 0.05, 0.1, 0.07, 0.05, 0.09],
  ["C", 0.06, 0.4, 0.08, 0.6, 0.09, 0.86],
  ["C", 0.11, 0.98, 0.1, 1.05, 0.115, 1.15],
  ["C", 0.13, 1.25, 0.1, 1.37, 0.035, 1.4],
];
const standingArm: readonly ProfileStep[] = [
  ["M", -0.045, 1.33],
  ["C", -0.08, 1.2, -0.07, 1, -0.04, 0.78],
  ["L", 0.01, 0.7],
  ["L", 0.04, 0.78],
  ["C", 0.03, 1, 0.05, 1.2, 0.03, 1.33],
];
