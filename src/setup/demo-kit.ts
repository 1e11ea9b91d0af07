/**
 * The kit and the rooms of the invented scenario: a van with six heads, worked by two people for small
 * clients. Everything here is invented; figures are of usual size (common practice, no source).
 */

import type { Backdrop, Camera, Circuit, Head, Kit, KitPanel, Meter, Modifier, Room, Support } from "./types.ts";

const learnedNothing = { learnedStops: 0, learnedReadings: 0 } as const;

/** Three alike; charging draws about 480 W each. t0.1 after an exponential: 3.32 times t0.5. */
export const mainsHead: Head = {
  id: "head-mains-400",
  name: "Mains head 400 Ws",
  kind: "flash",
  energyWs: 400,
  powerW: 480,
  efficacy: 35,
  mains: true,
  modellingW: 60,
  recycleS: 1.1,
  dial: { kind: "below-full", lowestStops: -5, stepStops: 0.1 },
  dialTable: [],
  massKg: 2.6,
  t05S: 1 / 1100,
  t01S: 3.32 / 1100,
  durationBy: "peak",
  durationAtLowPower: "longer",
  temperatureK: 5500,
  count: 3,
  learnedStops: 0,
  learnedReadings: 14,
};

/** Learned: below a quarter it gives 0.4 more than its dial says. */
export const batteryHead: Head = {
  id: "head-battery-200",
  name: "Battery head 200 Ws",
  kind: "flash",
  energyWs: 200,
  powerW: null,
  efficacy: 35,
  mains: false,
  modellingW: 10,
  recycleS: 1.8,
  dial: { kind: "fraction", lowestStops: -7, stepStops: 1 / 3 },
  dialTable: [
    { dialStops: 0, measuredStops: 0 },
    { dialStops: -2, measuredStops: -2 },
    { dialStops: -3, measuredStops: -2.6 },
    { dialStops: -7, measuredStops: -6.6 },
  ],
  massKg: 1.9,
  t05S: 1 / 800,
  t01S: null,
  durationBy: "unknown",
  durationAtLowPower: "shorter",
  temperatureK: 5600,
  count: 1,
  learnedStops: 0,
  learnedReadings: 6,
};

/** The same head as the setups of the demo book keep it: from before its dial was measured. */
export const batteryHeadThen: Head = { ...batteryHead, dialTable: [], learnedReadings: 0 };

export const ledPanel: Head = {
  id: "head-led-60",
  name: "LED panel 60 W",
  kind: "continuous",
  energyWs: null,
  powerW: 60,
  efficacy: 90,
  mains: true,
  modellingW: 0,
  recycleS: null,
  dial: {
    kind: "percent",
    lowestPercent: 10,
    stepPercent: 1,
    table: [
      [10, -3.6],
      [25, -2.15],
      [50, -1.05],
      [100, 0],
    ],
  },
  dialTable: [],
  massKg: 1.6,
  t05S: null,
  t01S: null,
  durationBy: "unknown",
  durationAtLowPower: "unknown",
  temperatureK: 4500,
  count: 1,
  learnedStops: 0,
  learnedReadings: 2,
};

export const smallFlash: Head = {
  id: "head-small-60",
  name: "Small flash 60 Ws",
  kind: "flash",
  energyWs: 60,
  powerW: null,
  efficacy: 35,
  mains: false,
  modellingW: 0,
  recycleS: 2.5,
  dial: { kind: "fraction", lowestStops: -7, stepStops: 1 / 3 },
  dialTable: [],
  massKg: 0.5,
  t05S: 1 / 300,
  t01S: null,
  durationBy: "unknown",
  durationAtLowPower: "shorter",
  temperatureK: 5600,
  count: 1,
  ...learnedNothing,
};

const front = {
  heightM: 0,
  layers: [],
  lipM: 0,
  grid: null,
  beamDeg: null,
  hotCentre: 0,
  photometricFile: null,
  count: 1,
  ...learnedNothing,
} as const;

/** Cells of 26 mm, 50 mm deep: cut-off atan(26/50) = 27.5°. */
const fabricGrid = { cellM: 0.026, depthM: 0.05, openFraction: 0.9 } as const;

export const octa90: Modifier = {
  ...front,
  id: "front-octa-90",
  name: "90 cm octa",
  shape: "octagon",
  widthM: 0.9,
  heightM: 0.9,
  depthM: 0.42,
  transmission: 0.35,
  layers: ["inner", "front"],
  massKg: 1.1,
  maxModellingW: 150,
  learnedStops: 0.55,
  learnedReadings: 3,
};

export const octa150: Modifier = {
  ...front,
  id: "front-octa-150",
  name: "150 cm octa",
  shape: "octagon",
  widthM: 1.5,
  heightM: 1.5,
  depthM: 0.55,
  transmission: 0.32,
  layers: ["inner", "front"],
  massKg: 1.9,
  maxModellingW: 150,
  learnedStops: -0.47,
  learnedReadings: 2,
};

export const strip120: Modifier = {
  ...front,
  id: "front-strip-120",
  name: "30 × 120 strip, grid",
  shape: "rectangle",
  widthM: 0.3,
  heightM: 1.2,
  depthM: 0.4,
  transmission: 0.34,
  layers: ["inner", "front"],
  grid: fabricGrid,
  massKg: 1.5,
  maxModellingW: 150,
  learnedStops: 0.05,
  learnedReadings: 2,
};

export const strip90: Modifier = {
  ...front,
  id: "front-strip-90",
  name: "30 × 90 strip, grid",
  shape: "rectangle",
  widthM: 0.3,
  heightM: 0.9,
  depthM: 0.35,
  transmission: 0.28,
  layers: ["inner", "front"],
  grid: fabricGrid,
  massKg: 2.2,
  maxModellingW: 150,
  learnedStops: -0.05,
  learnedReadings: 1,
};

export const box60: Modifier = {
  ...front,
  id: "front-box-60-90",
  name: "60 × 90 box",
  shape: "rectangle",
  widthM: 0.6,
  heightM: 0.9,
  depthM: 0.4,
  transmission: 0.42,
  layers: ["inner", "front"],
  massKg: 1.2,
  maxModellingW: 150,
};

export const umbrella110: Modifier = {
  ...front,
  id: "front-umbrella-110",
  name: "110 umbrella",
  shape: "umbrella",
  widthM: 1.1,
  heightM: 1.1,
  depthM: 0.35,
  transmission: 0.48,
  hotCentre: 0.4,
  massKg: 0.6,
  maxModellingW: null,
};

export const dish18: Modifier = {
  ...front,
  id: "front-dish-18",
  name: "18 cm dish",
  shape: "lobe",
  widthM: 0.18,
  heightM: 0.18,
  depthM: 0.12,
  transmission: 0.6,
  beamDeg: 65,
  massKg: 0.5,
  maxModellingW: null,
};

/** The panel's own face and the small flash's own window: fronts that need nothing on the head. */
export const panelFace: Modifier = {
  ...front,
  id: "front-panel-face",
  name: "own face 30 × 30",
  shape: "rectangle",
  widthM: 0.3,
  heightM: 0.3,
  depthM: 0.06,
  transmission: 1,
  massKg: 0,
  maxModellingW: null,
};

export const flashWindow: Modifier = {
  ...front,
  id: "front-small-window",
  name: "own window",
  shape: "lobe",
  widthM: 0.06,
  heightM: 0.06,
  depthM: 0.05,
  transmission: 0.8,
  beamDeg: 55,
  massKg: 0,
  maxModellingW: null,
};

export const lightStand: Support = {
  id: "stand-light",
  name: "light stand",
  kind: "stand",
  legs: 3,
  footRadiusM: 0.42,
  massKg: 2.4,
  maxHeightM: 2.9,
  minHeightM: 0.5,
  boomArmKg: 0,
  boomReachM: 0,
  boomTailM: 0,
  count: 5,
};

export const boomStand: Support = {
  id: "stand-boom",
  name: "boom stand",
  kind: "boom",
  legs: 3,
  footRadiusM: 0.5,
  massKg: 7,
  maxHeightM: 3,
  minHeightM: 1.2,
  boomArmKg: 2.4,
  boomReachM: 1.5,
  boomTailM: 0.95,
  count: 2,
};

export const blackPanel: KitPanel = {
  id: "panel-black",
  name: "black panel",
  role: "flag",
  finish: "matt",
  reflectance: 0.04,
  widthM: 1,
  heightM: 2,
  massKg: 2.5,
  count: 2,
};

export const whiteCard: KitPanel = {
  id: "panel-white",
  name: "white card",
  role: "card",
  finish: "matt",
  reflectance: 0.82,
  widthM: 1,
  heightM: 1.5,
  massKg: 1.8,
  count: 1,
};

export const meter: Meter = {
  id: "meter-1",
  name: "hand meter",
  discC: 250,
  domeC: 340,
  offsetStops: 0,
  receptorsCompared: true,
  lowestAv: 0,
  highestAv: 13,
  stepStops: 0.1,
};

export const camera135: Camera = {
  id: "camera-135",
  name: "24 × 36 body, 135 mm",
  sensorWidthMm: 36,
  sensorHeightMm: 24,
  upright: true,
  focalLengthMm: 135,
  position: { xM: 0, yM: 1.25, zM: 2.6 },
  aim: { xM: 0, yM: 1.165, zM: 0 },
  syncS: 1 / 200,
  meterOffsetStops: null,
};

export const camera60: Camera = {
  ...camera135,
  id: "camera-60",
  name: "24 × 36 body, 60 mm",
  focalLengthMm: 60,
  position: { xM: 0, yM: 1.2, zM: 3.9 },
  aim: { xM: 0, yM: 1, zM: 0 },
};

export const greyPaper: Backdrop = {
  name: "Grey paper 2.72 m",
  reflectance: 0.18,
  widthM: 2.72,
  heightM: 2.5,
  xM: 0,
  zM: -1.85,
  sweepM: 0.6,
  targetTone: null,
};

export const whitePaper: Backdrop = {
  ...greyPaper,
  name: "White paper 2.72 m",
  reflectance: 0.87,
  sweepM: 3,
  targetTone: 1,
};

const circuit = (id: string, name: string): Circuit => ({ id, name, volts: 230, amps: 16 });

export const rehearsalRoom: Room = {
  id: "room-rehearsal",
  name: "Rehearsal room",
  widthM: 4.2,
  depthM: 5.4,
  heightM: 2.9,
  crossFromLeftM: 2.1,
  crossFromBackM: 2.2,
  reflectance: { ceiling: 0.8, floor: 0.25, left: 0.8, right: 0.8, back: 0.8, front: 0.8 },
  openings: [
    {
      id: "window-1",
      kind: "window",
      name: "window, blind",
      wall: "left",
      fromM: 1.75,
      widthM: 1.2,
      sillM: 0.9,
      heightM: 1.3,
      opensInward: true,
      covered: true,
    },
    {
      id: "door-1",
      kind: "door",
      name: "door",
      wall: "right",
      fromM: 4.35,
      widthM: 0.85,
      sillM: 0,
      heightM: 2.05,
      opensInward: true,
      covered: false,
    },
  ],
  furniture: [
    { id: "piano", name: "upright piano", fromLeftM: 0, fromBackM: 3.72, widthM: 0.58, depthM: 1.48, heightM: 1.25 },
  ],
  circuits: [circuit("circuit-1", "socket circuit 1"), circuit("circuit-2", "socket circuit 2")],
  detectors: [{ xM: 0.9, yM: 2.9, zM: 1.6 }],
  ambientLx: 135,
};

export const parishHall: Room = {
  id: "room-hall",
  name: "Parish hall",
  widthM: 7.2,
  depthM: 9.5,
  heightM: 3.8,
  crossFromLeftM: 3.6,
  crossFromBackM: 2.6,
  reflectance: { ceiling: 0.5, floor: 0.2, left: 0.65, right: 0.65, back: 0.65, front: 0.65 },
  openings: [
    {
      id: "door-1",
      kind: "door",
      name: "double door",
      wall: "front",
      fromM: 2.8,
      widthM: 1.6,
      sillM: 0,
      heightM: 2.1,
      opensInward: false,
      covered: false,
    },
  ],
  furniture: [],
  circuits: [circuit("circuit-1", "stage sockets"), circuit("circuit-2", "wall sockets")],
  detectors: [{ xM: 0, yM: 3.8, zM: 3 }],
  ambientLx: 60,
};

export const workshop: Room = {
  id: "room-workshop",
  name: "Workshop",
  widthM: 4.6,
  depthM: 5.8,
  heightM: 2.7,
  crossFromLeftM: 2.3,
  crossFromBackM: 2.1,
  reflectance: { ceiling: 0.6, floor: 0.2, left: 0.35, right: 0.35, back: 0.3, front: 0.4 },
  openings: [
    {
      id: "door-1",
      kind: "door",
      name: "door",
      wall: "front",
      fromM: 3.4,
      widthM: 0.9,
      sillM: 0,
      heightM: 2,
      opensInward: true,
      covered: false,
    },
  ],
  furniture: [{ id: "bench-2", name: "tool bench", fromLeftM: 0, fromBackM: 0, widthM: 2, depthM: 0.6, heightM: 0.9 }],
  circuits: [circuit("circuit-1", "bench sockets")],
  detectors: [],
  ambientLx: 40,
};

export const storeRoom: Room = {
  id: "room-store",
  name: "Store room",
  widthM: 3.8,
  depthM: 4.6,
  heightM: 2.5,
  crossFromLeftM: 1.9,
  crossFromBackM: 1.8,
  reflectance: { ceiling: 0.7, floor: 0.3, left: 0.6, right: 0.6, back: 0.6, front: 0.6 },
  openings: [
    {
      id: "door-1",
      kind: "door",
      name: "door",
      wall: "front",
      fromM: 2.6,
      widthM: 0.85,
      sillM: 0,
      heightM: 2,
      opensInward: false,
      covered: false,
    },
  ],
  furniture: [],
  circuits: [circuit("circuit-1", "sockets")],
  detectors: [],
  ambientLx: 5,
};

/** The kit of the scenario, in the rehearsal room. */
export function demoKit(): Kit {
  return {
    format: "stopwise-kit",
    version: 1,
    id: "kit-demo",
    name: "Van kit (invented)",
    heads: [mainsHead, batteryHead, ledPanel, smallFlash],
    modifiers: [octa90, octa150, strip120, strip90, box60, umbrella110, dish18, panelFace, flashWindow],
    supports: [lightStand, boomStand],
    panels: [whiteCard, blackPanel],
    meters: [meter],
    cameras: [camera135, camera60],
    rooms: [rehearsalRoom, parishHall, workshop, storeRoom],
    backdrops: [greyPaper, whitePaper],
    sandbagsKg: [10, 10, 10, 5, 5],
    counterweightsKg: [5.4, 7],
    bonds: 3,
    roomHereId: "room-rehearsal",
  };
}
