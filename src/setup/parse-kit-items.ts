/**
 * Readers of the things a kit holds and a setup embeds: heads, modifiers, supports, cameras, meters, rooms,
 * backdrops. Bounds are wide: they refuse what no such thing can be, not what is unusual.
 */

import { parsePhotometricFile } from "../photometry/index.ts";
import type { DialScale } from "../units/index.ts";
import {
  checkUnique,
  choice,
  exactly,
  type FaultList,
  id,
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
import type {
  Backdrop,
  Camera,
  Circuit,
  DialPoint,
  Furniture,
  Head,
  KitPanel,
  Meter,
  Modifier,
  Opening,
  Room,
  Support,
  XYZ,
} from "./types.ts";

export const name: Read<string> = text(200);
export const metre: Read<number> = number(-100, 100, "m");
const size: Read<number> = number(0, 20, "m");
const mass: Read<number> = number(0, 200, "kg");
const count: Read<number> = whole(0, 999);
const learnedStops: Read<number> = number(-10, 10, "stops");
const learnedReadings: Read<number> = whole(0, 1_000_000);
export const share: Read<number> = number(0, 1);
export const dial: Read<number> = number(-20, 0, "stops below full");
export const shutter: Read<number> = number(1 / 64_000, 3600, "s");
export const iso: Read<number> = number(3, 1_000_000);
export const kelvin: Read<number> = number(1000, 40_000, "K");

/** A point somewhere in or near the room. */
export const xyz: Read<XYZ> = record<XYZ>({ xM: metre, yM: metre, zM: metre });

const lowest: Read<number> = number(-20, 0, "stops");
const step: Read<number> = number(0.01, 1, "stops");

/** Points of a measured percent dial: percent and stops below full. */
const percentTable: Read<readonly (readonly [number, number])[]> = list((value, path, faults) => {
  if (!Array.isArray(value) || value.length !== 2) {
    faults.add("not-a-list", "This should be a pair of percent and stops", path, "Write [50, -1].");
    return undefined;
  }
  const percent = number(0.01, 100, "%")(value[0], `${path}[0]`, faults);
  const stops = lowest(value[1], `${path}[1]`, faults);
  return percent === undefined || stops === undefined ? undefined : ([percent, stops] as const);
}, 400);

type Percent = Extract<DialScale, { kind: "percent" }>;

export const dialScale: Read<DialScale> = union<DialScale>("kind", {
  fraction: record<Extract<DialScale, { kind: "fraction" }>>({
    kind: exactly("fraction"),
    lowestStops: lowest,
    stepStops: step,
  }),
  "below-full": record<Extract<DialScale, { kind: "below-full" }>>({
    kind: exactly("below-full"),
    lowestStops: lowest,
    stepStops: step,
  }),
  number: record<Extract<DialScale, { kind: "number" }>>({
    kind: exactly("number"),
    top: number(-100, 100),
    lowestStops: lowest,
    stepStops: step,
  }),
  "watt-seconds": record<Extract<DialScale, { kind: "watt-seconds" }>>({
    kind: exactly("watt-seconds"),
    fullWs: number(0.1, 100_000, "W·s"),
    lowestStops: lowest,
    stepStops: step,
  }),
  percent: record<Percent>(
    {
      kind: exactly("percent"),
      lowestPercent: number(0.01, 100, "%"),
      stepPercent: number(0.01, 50, "%"),
      table: percentTable,
    },
    { optional: ["table"] },
  ),
});

const dialPoint: Read<DialPoint> = record<DialPoint>({ dialStops: dial, measuredStops: number(-25, 5, "stops") });

export const head: Read<Head> = record<Head>(
  {
    id,
    name,
    kind: choice("flash", "continuous"),
    energyWs: orNull(number(0.1, 100_000, "W·s")),
    powerW: orNull(number(0.1, 100_000, "W")),
    efficacy: number(0.1, 300, "lm/W"),
    mains: yesNo,
    modellingW: number(0, 5000, "W"),
    recycleS: orNull(number(0, 600, "s")),
    dial: dialScale,
    dialTable: list(dialPoint, 400),
    massKg: mass,
    t05S: orNull(number(1e-7, 1, "s")),
    t01S: orNull(number(1e-7, 1, "s")),
    durationBy: choice("peak", "energy", "unknown"),
    durationAtLowPower: choice("longer", "shorter", "unknown"),
    temperatureK: kelvin,
    count,
    learnedStops,
    learnedReadings,
  },
  {
    also: (value, path, faults) => {
      if (value.kind === "flash" && value.energyWs === null) {
        faults.add("missing", "A flash head needs its stored energy", `${path}.energyWs`, "Write its W·s at full.");
      }
      if (value.kind === "continuous" && value.powerW === null) {
        faults.add("missing", "A continuous head needs its power", `${path}.powerW`, "Write its watts at full.");
      }
    },
  },
);

export const modifier: Read<Modifier> = record<Modifier>(
  {
    id,
    name,
    shape: choice("rectangle", "octagon", "disc", "umbrella", "bare", "lobe", "measured"),
    widthM: size,
    heightM: size,
    depthM: number(0, 5, "m"),
    transmission: number(0.001, 1),
    layers: list(choice("inner", "front"), 8),
    lipM: number(0, 1, "m"),
    grid: orNull(
      record<NonNullable<Modifier["grid"]>>({
        cellM: number(0.001, 0.5, "m"),
        depthM: number(0.001, 1, "m"),
        openFraction: number(0.01, 1),
      }),
    ),
    beamDeg: orNull(number(1, 179, "degrees")),
    hotCentre: share,
    photometricFile: orNull(
      record<NonNullable<Modifier["photometricFile"]>>({ name, text: text(2_000_000), absolute: yesNo }),
    ),
    massKg: mass,
    maxModellingW: orNull(number(0, 5000, "W")),
    count,
    learnedStops,
    learnedReadings,
  },
  { also: checkModifier },
);

function checkModifier(value: Modifier, path: string, faults: FaultList): void {
  const flat =
    value.shape === "rectangle" || value.shape === "octagon" || value.shape === "disc" || value.shape === "umbrella";
  for (const key of ["widthM", "heightM"] as const) {
    if (flat && value[key] < 0.005) {
      faults.add(
        "out-of-range",
        `The ${value.shape} front measures ${value[key]} m`,
        `${path}.${key}`,
        "Measure the front, in metres.",
      );
    }
  }
  if (value.shape !== "measured") return;
  const where = `${path}.photometricFile`;
  if (value.photometricFile === null) {
    faults.add(
      "missing",
      "A measured front needs its .ies or .ldt file",
      where,
      "Bring the file in again, or choose another shape.",
    );
  } else if (!faults.trustFiles) {
    const read = parsePhotometricFile(value.photometricFile.text, value.photometricFile.name);
    if (!read.ok) for (const f of read.faults) faults.add(f.code, f.what, `${where}.text: ${f.where}`, f.mend);
  }
}

export const support: Read<Support> = record<Support>(
  {
    id,
    name,
    kind: choice("stand", "boom", "ceiling"),
    legs: whole(0, 8),
    footRadiusM: number(0, 3, "m"),
    massKg: mass,
    maxHeightM: size,
    minHeightM: size,
    boomArmKg: mass,
    boomReachM: size,
    boomTailM: size,
    count,
  },
  {
    also: (value, path, faults) => {
      if (value.kind !== "ceiling" && value.legs < 3) {
        faults.add("out-of-range", `A stand on ${value.legs} legs`, `${path}.legs`, "Write 3 or more.");
      }
      if (value.minHeightM > value.maxHeightM) {
        faults.add("order", "The lowest height is above the greatest", `${path}.minHeightM`, "Swap the two.");
      }
    },
  },
);

export const camera: Read<Camera> = record<Camera>(
  {
    id,
    name,
    sensorWidthMm: number(1, 300, "mm"),
    sensorHeightMm: number(1, 300, "mm"),
    upright: yesNo,
    focalLengthMm: number(1, 2000, "mm"),
    position: xyz,
    aim: xyz,
    syncS: shutter,
    meterOffsetStops: orNull(number(-10, 10, "stops")),
  },
  {
    also: ({ position, aim }, path, faults) => {
      const apart = Math.hypot(position.xM - aim.xM, position.yM - aim.yM, position.zM - aim.zM);
      if (apart < 0.01) faults.add("no-direction", "The lens is aimed at itself", `${path}.aim`, "Aim at the nose.");
    },
  },
);

export const meter: Read<Meter> = record<Meter>(
  {
    id,
    name,
    discC: number(50, 2000, "lx·s"),
    domeC: number(50, 2000, "lx·s"),
    offsetStops: number(-5, 5, "stops"),
    receptorsCompared: yesNo,
    lowestAv: number(-15, 30),
    highestAv: number(-15, 30),
    stepStops: step,
  },
  {
    also: (value, path, faults) => {
      if (value.lowestAv >= value.highestAv) {
        faults.add(
          "order",
          "The meter's range is empty",
          `${path}.lowestAv`,
          "Write a lowest value below the highest.",
        );
      }
    },
  },
);

const opening: Read<Opening> = record<Opening>({
  id,
  kind: choice("door", "window"),
  name,
  wall: choice("left", "right", "back", "front"),
  fromM: number(0, 100, "m"),
  widthM: number(0.05, 100, "m"),
  sillM: size,
  heightM: number(0.05, 20, "m"),
  opensInward: yesNo,
  covered: yesNo,
});

const furniture: Read<Furniture> = record<Furniture>({
  id,
  name,
  fromLeftM: number(0, 100, "m"),
  fromBackM: number(0, 100, "m"),
  widthM: number(0.01, 100, "m"),
  depthM: number(0.01, 100, "m"),
  heightM: number(0.01, 20, "m"),
});

export const circuit: Read<Circuit> = record<Circuit>({
  id,
  name,
  volts: number(12, 1000, "V"),
  amps: number(0.1, 1000, "A"),
});

const wall: Read<number> = number(0, 0.99);

export const room: Read<Room> = record<Room>(
  {
    id,
    name,
    widthM: number(0.5, 100, "m"),
    depthM: number(0.5, 100, "m"),
    heightM: number(0.5, 30, "m"),
    crossFromLeftM: number(0, 100, "m"),
    crossFromBackM: number(0, 100, "m"),
    reflectance: record<Room["reflectance"]>({
      ceiling: wall,
      floor: wall,
      left: wall,
      right: wall,
      back: wall,
      front: wall,
    }),
    openings: list(opening, 64),
    furniture: list(furniture, 128),
    circuits: list(circuit, 32),
    detectors: list(xyz, 64),
    ambientLx: orNull(number(0, 200_000, "lx")),
  },
  { also: checkRoom },
);

function checkRoom(value: Room, path: string, faults: FaultList): void {
  for (const [key, most] of [
    ["crossFromLeftM", value.widthM],
    ["crossFromBackM", value.depthM],
  ] as const) {
    if (value[key] > most) {
      faults.add("out-of-range", "The cross lies outside the room", `${path}.${key}`, `Write at most ${most} m.`);
    }
  }
  checkUnique(value.openings, `${path}.openings`, faults);
  checkUnique(value.furniture, `${path}.furniture`, faults);
  checkUnique(value.circuits, `${path}.circuits`, faults);
}

export const backdrop: Read<Backdrop> = record<Backdrop>({
  name,
  reflectance: number(0.001, 0.99),
  widthM: number(0.1, 100, "m"),
  heightM: number(0.1, 30, "m"),
  xM: metre,
  zM: metre,
  sweepM: number(0, 50, "m"),
  targetTone: orNull(number(0.0001, 10)),
});

export const kitPanel: Read<KitPanel> = record<KitPanel>({
  id,
  name,
  role: choice("card", "flag"),
  finish: choice("matt", "mirror"),
  reflectance: number(0, 0.99),
  widthM: number(0.01, 20, "m"),
  heightM: number(0.01, 20, "m"),
  massKg: mass,
  count,
});
