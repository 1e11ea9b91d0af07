/**
 * Starter patterns: which lights, at which angles, how far under the main. Distances are wishes; placing
 * (place-pattern.ts) works them out for the room and the kit. Angles, ratios and sizes are common practice, no
 * source. Angles in degrees (negative camera left), lengths in metres, rise over the nose tip.
 */

import type { Light, PointName, Role, Subject, Target } from "./types.ts";

/** The front that a light would like: its area, how much longer than wide, with or without a grid. */
export interface FrontWish {
  readonly areaM2: number;
  readonly aspect: number;
  readonly grid: boolean;
}

export interface PatternLight {
  readonly tag: string;
  readonly role: Role;
  readonly azimuthDeg: number;
  readonly distanceM: number;
  readonly leastM: number;
  readonly riseM: number;
  readonly front: FrontWish;
  readonly target: Target;
  readonly aimAt: PointName;
  readonly meterAt: Light["meterAt"];
  readonly boom: boolean;
  readonly rollDeg: number;
}

export interface PatternPanel {
  readonly tag: string;
  readonly role: "card" | "flag";
  readonly azimuthDeg: number;
  readonly distanceM: number;
  readonly target: Target | null;
}

export interface PatternPlan {
  readonly kind: Subject["kind"];
  readonly pose: Subject["pose"];
  readonly noseHeightM: number;
  /** Height of the picture at the subject, m. */
  readonly frameM: number;
  readonly landscape: boolean;
  readonly medium: "flash" | "continuous";
  /** Paper wanted: its reflectance, how far behind, the tone it should have; null for the room as it is. */
  readonly paper: {
    readonly reflectance: number;
    readonly behindM: number;
    readonly leastM: number;
    readonly tone: number | null;
  } | null;
  readonly lights: readonly PatternLight[];
  readonly panels: readonly PatternPanel[];
}

/** What a list of patterns shows. */
export interface PatternCard {
  readonly id: string;
  readonly name: string;
  /** "fill 3 under". */
  readonly words: string;
  readonly source: "common practice, no source";
  /** For a small drawing: tag, angle and wished distance of every light and panel. */
  readonly around: readonly {
    readonly tag: string;
    readonly role: Role | "flag";
    readonly azimuthDeg: number;
    readonly distanceM: number;
  }[];
  readonly plan: PatternPlan;
}

const large: FrontWish = { areaM2: 1.8, aspect: 1, grid: false };
const middling: FrontWish = { areaM2: 0.65, aspect: 1, grid: false };
const strip: FrontWish = { areaM2: 0.36, aspect: 4, grid: true };
const shortStrip: FrontWish = { areaM2: 0.27, aspect: 3, grid: true };
const small: FrontWish = { areaM2: 0.03, aspect: 1, grid: false };
const face: FrontWish = { areaM2: 0.09, aspect: 1, grid: false };

const nose: Light["meterAt"] = { point: "nose", receptor: "dome", aim: "light" };
const dome = (point: PointName): Light["meterAt"] => ({ point, receptor: "dome", aim: "light" });
const paper = (point: PointName): Light["meterAt"] => ({ point, receptor: "disc", aim: "normal" });
const under = (stops: number): Target => ({ kind: "under", stops });

const light = (
  of: Partial<PatternLight> &
    Pick<PatternLight, "tag" | "role" | "azimuthDeg" | "distanceM" | "riseM" | "front" | "target">,
): PatternLight => ({
  leastM: of.distanceM * 0.6,
  aimAt: "nose",
  meterAt: nose,
  boom: false,
  rollDeg: 0,
  ...of,
});

const main: PatternLight = light({
  tag: "M",
  role: "main",
  azimuthDeg: -45,
  distanceM: 1.25,
  riseM: 0.53,
  front: middling,
  target: { kind: "working" },
});
const fill: PatternLight = light({
  tag: "F",
  role: "fill",
  azimuthDeg: 25,
  distanceM: 2,
  riseM: 0.35,
  front: large,
  target: under(3),
});
const edge: PatternLight = light({
  tag: "E",
  role: "edge",
  azimuthDeg: 128,
  distanceM: 1.5,
  riseM: 0.1,
  front: strip,
  target: under(2),
  meterAt: dome("temple-right"),
});
const hair: PatternLight = light({
  tag: "H",
  role: "hair",
  azimuthDeg: -165,
  distanceM: 1.05,
  riseM: 0.74,
  front: shortStrip,
  target: { kind: "hair" },
  aimAt: "crown",
  meterAt: dome("crown"),
  boom: true,
  rollDeg: 90,
});
/** Stands beside the paper; its azimuth and distance place it about the nose like any other. */
const ground = (tag: string, side: -1 | 1, front: FrontWish): PatternLight =>
  light({
    tag,
    role: "background",
    azimuthDeg: side * 118,
    distanceM: 1.6,
    leastM: 1,
    riseM: 0.3,
    front,
    target: { kind: "tone" },
    aimAt: "backdrop-centre",
    meterAt: paper(side < 0 ? "backdrop-upper-left" : "backdrop-upper-right"),
  });

const grey = { reflectance: 0.18, behindM: 1.85, leastM: 1, tone: null } as const;

const person: PatternPlan = {
  kind: "person",
  pose: "seated",
  noseHeightM: 1.25,
  frameM: 0.66,
  landscape: false,
  medium: "flash",
  paper: grey,
  lights: [],
  panels: [],
};

const card = (id: string, name: string, words: string, plan: PatternPlan): PatternCard => ({
  id,
  name,
  words,
  source: "common practice, no source",
  around: [
    ...plan.lights.map(({ tag, role, azimuthDeg, distanceM }) => ({ tag, role, azimuthDeg, distanceM })),
    ...plan.panels.map(({ tag, role, azimuthDeg, distanceM }) => ({ tag, role, azimuthDeg, distanceM })),
  ],
  plan,
});

/** Every starter pattern, from one light up. */
export const patterns: readonly PatternCard[] = [
  card("one-and-card", "One light and a card", "card 2.3 under", {
    ...person,
    lights: [main],
    panels: [{ tag: "K", role: "card", azimuthDeg: 80, distanceM: 0.7, target: under(2.3) }],
  }),
  card("main-fill", "Main and fill", "fill 3 under", { ...person, lights: [main, fill] }),
  card("over-under", "Over and under", "under 1.5 less", {
    ...person,
    lights: [
      { ...main, azimuthDeg: 0, distanceM: 1.1, riseM: 0.6, leastM: 0.8, boom: true },
      {
        ...fill,
        azimuthDeg: 0,
        distanceM: 1.3,
        riseM: -0.55,
        leastM: 0.8,
        // Lying: an upright one that low reaches into the picture.
        front: { ...middling, areaM2: 0.5, aspect: 1.5 },
        rollDeg: 90,
        target: under(1.5),
      },
    ],
  }),
  card("main-fill-edge", "Main, fill, edge", "edge 2 under", { ...person, lights: [main, fill, edge] }),
  card("main-fill-edge-hair", "Main, fill, edge, hair", "hair by its colour", {
    ...person,
    lights: [main, fill, edge, hair],
  }),
  card("white-ground", "White ground", "paper just over white", {
    ...person,
    paper: { reflectance: 0.87, behindM: 1.9, leastM: 1.3, tone: 1 },
    lights: [main, { ...fill, target: under(1) }, ground("B", -1, middling), ground("B2", 1, middling)],
  }),
  card("low-key", "Low key", "one strip, edge 1 under", {
    ...person,
    paper: { reflectance: 0.045, behindM: 1.9, leastM: 1.2, tone: null },
    lights: [
      { ...main, azimuthDeg: -70, distanceM: 1.2, riseM: 0.35, front: strip },
      { ...edge, azimuthDeg: 140, front: shortStrip, target: under(1) },
    ],
    panels: [{ tag: "P", role: "flag", azimuthDeg: 85, distanceM: 0.85, target: null }],
  }),
  card("table-top", "Table-top", "card 2 under, paper mid grey", {
    ...person,
    kind: "object",
    pose: "standing",
    noseHeightM: 1,
    frameM: 0.4,
    paper: { reflectance: 0.18, behindM: 1, leastM: 0.7, tone: 0.18 },
    lights: [
      { ...main, azimuthDeg: -60, distanceM: 0.95, riseM: 0.4, leastM: 0.7 },
      { ...ground("B", -1, small), azimuthDeg: -95, distanceM: 1.4, riseM: 0.7, meterAt: paper("backdrop-centre") },
    ],
    panels: [{ tag: "K", role: "card", azimuthDeg: 78, distanceM: 0.55, target: under(2) }],
  }),
  card("panel-interview", "Interview, three panels", "continuous; fill 1 under, edge 1 under", {
    ...person,
    frameM: 0.9,
    landscape: true,
    medium: "continuous",
    paper: null,
    lights: [
      { ...main, azimuthDeg: -35, distanceM: 1.8, riseM: 0.6, front: face },
      { ...fill, azimuthDeg: 40, distanceM: 2, riseM: 0.45, front: face, target: under(1) },
      { ...edge, azimuthDeg: 145, distanceM: 1.7, riseM: 0.7, front: face, target: under(1) },
    ],
  }),
];
