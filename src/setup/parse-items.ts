/** Readers of what belongs to one setup alone: exposure, subject, sitters, lights, panels, readings. */

import {
  choice,
  exactly,
  id,
  instant,
  list,
  number,
  orNull,
  type Read,
  record,
  text,
  union,
  whole,
  yesNo,
} from "./check.ts";
import { dial, head, iso, kelvin, metre, modifier, name, shutter, support, xyz } from "./parse-kit-items.ts";
import type {
  Aim,
  AsShot,
  Exposure,
  Gel,
  HairClass,
  Light,
  MeterPlace,
  Panel,
  Place,
  PointName,
  Reading,
  Rig,
  Role,
  Sitter,
  Subject,
  Target,
} from "./types.ts";

const angle: Read<number> = number(-360, 360, "degrees");
const order: Read<string> = text(200, 1);
const tag: Read<string> = text(2, 1);
const hue: Read<number> = whole(1, 8);
const height: Read<number> = number(0, 50, "m");
const av: Read<number> = number(-15, 30);
const hair: Read<HairClass> = choice("black", "dark", "mid", "fair", "grey");

/** Every named place, in the order of the type. */
export const allPointNames: readonly PointName[] = [
  "nose",
  "cheek-left",
  "cheek-right",
  "temple-left",
  "temple-right",
  "crown",
  "shoulder-left",
  "shoulder-right",
  "backdrop-centre",
  "backdrop-upper-left",
  "backdrop-upper-right",
  "backdrop-lower-left",
  "backdrop-lower-right",
  "lens",
];
const point: Read<PointName> = choice(...allPointNames);

export const exposure: Read<Exposure> = record<Exposure>({
  apertureAv: number(-2, 16),
  iso,
  shutterS: shutter,
  shutterMark: text(24),
  medium: choice("flash", "continuous"),
  framesPerSecond: orNull(number(1, 1000)),
  whiteBalanceK: kelvin,
});

export const subject: Read<Subject> = record<Subject>({
  kind: choice("person", "object"),
  pose: choice("seated", "standing"),
  noseHeightM: number(0.02, 5, "m"),
  headYawDeg: number(-180, 180, "degrees"),
  headPitchDeg: number(-90, 90, "degrees"),
  bodyYawDeg: number(-180, 180, "degrees"),
  hair,
  spectacles: orNull(
    record<NonNullable<Subject["spectacles"]>>({ tiltDeg: number(-45, 45, "degrees"), baseCurveD: number(0, 20) }),
  ),
  flashSensitive: yesNo,
  group: list(xyz, 60),
});

export const sitter: Read<Sitter> = record<Sitter>({
  id,
  order,
  name,
  seatHeightM: orNull(number(0.05, 3, "m")),
  hair,
  spectacles: yesNo,
  flashSensitive: yesNo,
  frames: text(200),
});

export const place: Read<Place> = union<Place>("kind", {
  polar: record<Extract<Place, { kind: "polar" }>>({
    kind: exactly("polar"),
    azimuthDeg: angle,
    distanceM: number(0.01, 100, "m"),
    heightM: height,
  }),
  cartesian: record<Extract<Place, { kind: "cartesian" }>>({
    kind: exactly("cartesian"),
    xM: metre,
    yM: height,
    zM: metre,
  }),
});

export const aim: Read<Aim> = union<Aim>("kind", {
  point: record<Extract<Aim, { kind: "point" }>>({ kind: exactly("point"), point }),
  xyz: record<Extract<Aim, { kind: "xyz" }>>({ kind: exactly("xyz"), xM: metre, yM: metre, zM: metre }),
  "pan-tilt": record<Extract<Aim, { kind: "pan-tilt" }>>({
    kind: exactly("pan-tilt"),
    panDeg: angle,
    tiltDeg: number(-90, 90, "degrees"),
  }),
});

export const target: Read<Target> = union<Target>("kind", {
  working: record<Extract<Target, { kind: "working" }>>({ kind: exactly("working") }),
  under: record<Extract<Target, { kind: "under" }>>({ kind: exactly("under"), stops: number(-10, 20, "stops") }),
  hair: record<Extract<Target, { kind: "hair" }>>({ kind: exactly("hair") }),
  tone: record<Extract<Target, { kind: "tone" }>>({ kind: exactly("tone") }),
});

export const meterPlace: Read<MeterPlace> = record<MeterPlace>({
  point,
  receptor: choice("dome", "disc"),
  aim: choice("light", "camera", "normal"),
});

const rig: Read<Rig> = record<Rig>({
  legAzimuthDeg: angle,
  sandbagKg: number(0, 500, "kg"),
  bonded: yesNo,
  boom: orNull(
    record<NonNullable<Rig["boom"]>>({
      standXM: metre,
      standZM: metre,
      pivotHeightM: number(0, 20, "m"),
      counterweightKg: number(0, 500, "kg"),
    }),
  ),
});

const gel: Read<Gel> = record<Gel>({
  name,
  miredShift: number(-1000, 1000, "mired"),
  lossStops: number(0, 20, "stops"),
});

const role: Read<Role> = choice("main", "fill", "edge", "hair", "background", "card");

export const light: Read<Light> = record<Light>({
  id,
  order,
  tag,
  hue,
  role,
  head,
  unit: orNull(whole(1, 999)),
  modifier,
  support,
  rig,
  place,
  aim,
  rollDeg: angle,
  dialStops: dial,
  on: yesNo,
  pops: whole(1, 100),
  gels: list(gel, 16),
  ndStops: number(0, 30, "stops"),
  target,
  meterAt: meterPlace,
  toleranceStops: orNull(number(0.01, 5, "stops")),
  triggerGroup: text(16),
  triggerChannel: text(16),
  circuitId: orNull(id),
  modellingLampOn: yesNo,
  calibrationStops: orNull(number(-15, 15, "stops")),
  calibratedFrom: orNull(id),
  accepted: yesNo,
});

export const panel: Read<Panel> = record<Panel>({
  id,
  order,
  name,
  tag: text(2),
  hue,
  role: choice("card", "flag"),
  finish: choice("matt", "mirror"),
  reflectance: number(0, 0.99),
  widthM: number(0.01, 20, "m"),
  heightM: number(0.01, 20, "m"),
  place,
  facingDeg: angle,
  tiltDeg: number(-90, 90, "degrees"),
  target: orNull(target),
  massKg: number(0, 200, "kg"),
});

const mostLights = 64;
const idList: Read<readonly string[]> = list(id, mostLights);

export const reading: Read<Reading> = record<Reading>(
  {
    id,
    lightId: orNull(id),
    kind: choice("alone", "together", "room", "ambient"),
    place: meterPlace,
    lightsOn: idList,
    shaded: idList,
    av,
    typed: text(40),
    iso,
    shutterS: shutter,
    dialStops: orNull(dial),
    at: instant,
    device: text(200),
    undone: yesNo,
  },
  {
    also: (value, path, faults) => {
      if (value.kind === "alone" && value.lightId === null) {
        faults.add("missing", "A reading of a light alone names its light", `${path}.lightId`, "Write the light's id.");
      }
    },
  },
);

export const asShot: Read<AsShot> = record<AsShot>({
  id,
  at: instant,
  note: text(2000),
  lights: list(
    record<AsShot["lights"][number]>({ lightId: id, tag, place, dialStops: dial, readingAv: orNull(av) }),
    mostLights,
  ),
});

/** Most of each list in one setup. */
export const caps: Readonly<Record<"lights" | "panels" | "sitters" | "readings" | "asShot", number>> = {
  lights: mostLights,
  panels: 64,
  sitters: 500,
  readings: 20_000,
  asShot: 2000,
};
