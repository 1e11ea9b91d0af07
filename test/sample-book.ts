/** Invented setups and a kit for tests and benches, the same for the same seed. */

import type { Head, Kit, Light, Modifier, Reading, Role, Room, Setup, Support } from "../src/setup/index.ts";

/** Uniform in [0, 1), 32 bits of state (mulberry32, public domain). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

export const pick = <T>(random: () => number, items: readonly T[]): T =>
  items[Math.floor(random() * items.length)] as T;

const between = (random: () => number, low: number, high: number): number =>
  Math.round((low + (high - low) * random()) * 100) / 100;

const heads: readonly Head[] = Array.from({ length: 12 }, (_, i) => ({
  id: `head-${i}`,
  name: i % 3 === 0 ? `battery head ${100 + i * 50} Ws` : `mains head ${200 + i * 50} Ws`,
  kind: "flash",
  energyWs: 200 + i * 50,
  powerW: null,
  efficacy: 35,
  mains: i % 3 !== 0,
  modellingW: 100,
  recycleS: 1,
  dial: { kind: "below-full", lowestStops: -6, stepStops: 0.1 },
  dialTable: [],
  massKg: 2.5,
  t05S: 1 / 1000,
  t01S: 1 / 350,
  durationBy: "peak",
  durationAtLowPower: "shorter",
  temperatureK: 5600,
  count: 3,
  learnedStops: 0,
  learnedReadings: 0,
}));

const modifiers: readonly Modifier[] = Array.from({ length: 20 }, (_, i) => ({
  id: `modifier-${i}`,
  name: i % 2 === 0 ? `octa ${60 + i * 5} cm` : `strip ${20 + i} x ${80 + i * 2} cm`,
  shape: i % 2 === 0 ? "octagon" : "rectangle",
  widthM: i % 2 === 0 ? 0.6 + i * 0.05 : 0.2 + i / 100,
  heightM: i % 2 === 0 ? 0.6 + i * 0.05 : 0.8 + i / 50,
  depthM: 0.35,
  transmission: 0.6,
  layers: ["inner", "front"],
  lipM: 0.03,
  grid: null,
  beamDeg: null,
  hotCentre: 0.1,
  photometricFile: null,
  massKg: 1,
  maxModellingW: 300,
  count: 2,
  learnedStops: 0,
  learnedReadings: 0,
}));

const stand: Support = {
  id: "stand-1",
  name: "stand 2.6 m",
  kind: "stand",
  legs: 3,
  footRadiusM: 0.5,
  massKg: 3,
  maxHeightM: 2.6,
  minHeightM: 0.9,
  boomArmKg: 0,
  boomReachM: 0,
  boomTailM: 0,
  count: 8,
};

const words = [
  "choir",
  "headshots",
  "portrait",
  "bench",
  "vase",
  "paper",
  "window",
  "hall",
  "stool",
  "red",
  "soft",
  "evening",
];
const roles: readonly Role[] = ["main", "fill", "edge", "hair", "background"];

export function sampleRoom(id: string, widthM: number, depthM: number, heightM: number): Room {
  return {
    id,
    name: `room ${id}`,
    widthM,
    depthM,
    heightM,
    crossFromLeftM: widthM / 2,
    crossFromBackM: depthM / 3,
    reflectance: { ceiling: 0.8, floor: 0.3, left: 0.7, right: 0.7, back: 0.7, front: 0.7 },
    openings: [],
    furniture: [],
    circuits: [{ id: "circuit-1", name: "wall", volts: 230, amps: 16 }],
    detectors: [],
    ambientLx: null,
  };
}

export function sampleLight(random: () => number, id: string, index: number): Light {
  const role = roles[index % roles.length] as Role;
  return {
    id,
    order: `a${index}`,
    tag: (role[0] as string).toUpperCase(),
    hue: 1 + (index % 8),
    role,
    head: pick(random, heads),
    unit: null,
    modifier: pick(random, modifiers),
    support: stand,
    rig: { legAzimuthDeg: 0, sandbagKg: 5, bonded: false, boom: null },
    place: {
      kind: "polar",
      azimuthDeg: between(random, -150, 150),
      distanceM: between(random, 1, 2.4),
      heightM: between(random, 1.2, 1.9),
    },
    aim: { kind: "point", point: "nose" },
    rollDeg: 0,
    dialStops: -Math.floor(random() * 50) / 10,
    on: true,
    pops: 1,
    gels: [],
    ndStops: 0,
    target: role === "main" ? { kind: "working" } : { kind: "under", stops: Math.floor(random() * 8) / 2 },
    meterAt: { point: "nose", receptor: "dome", aim: "light" },
    toleranceStops: null,
    triggerGroup: String(index + 1),
    triggerChannel: "1",
    circuitId: "circuit-1",
    modellingLampOn: true,
    calibrationStops: null,
    calibratedFrom: null,
    accepted: false,
  };
}

export function sampleReading(random: () => number, id: string, lightId: string | null, at: string): Reading {
  const av = Math.round((2 + random() * 5) * 10) / 10;
  return {
    id,
    lightId,
    kind: lightId === null ? "together" : "alone",
    place: { point: "nose", receptor: "dome", aim: lightId === null ? "camera" : "light" },
    lightsOn: lightId === null ? [] : [lightId],
    shaded: [],
    av,
    typed: av.toFixed(1),
    iso: 100,
    shutterS: 1 / 160,
    dialStops: -2,
    at,
    device: "test",
    undone: false,
  };
}

/** A setup of one to five lights. `at` in ms since 1970. */
export function sampleSetup(random: () => number, id: string, at = 1_760_000_000_000): Setup {
  const count = 1 + Math.floor(random() * 5);
  const lights = Array.from({ length: count }, (_, i) => sampleLight(random, `${id}-l${i}`, i));
  const iso = (ms: number): string => new Date(ms).toISOString();
  return {
    format: "stopwise-setup",
    version: 1,
    id,
    title: `${pick(random, words)} ${pick(random, words)} ${id}`,
    notes: `${pick(random, words)} with ${pick(random, words)}, ${pick(random, words)}`,
    tags: [pick(random, words)],
    invented: true,
    createdAt: iso(at),
    exposure: {
      apertureAv: 5,
      iso: 100,
      shutterS: 1 / 160,
      shutterMark: "1/160",
      medium: random() < 0.8 ? "flash" : "continuous",
      framesPerSecond: null,
      whiteBalanceK: 5600,
    },
    camera: {
      id: "camera-1",
      name: "camera",
      sensorWidthMm: 36,
      sensorHeightMm: 24,
      upright: true,
      focalLengthMm: 135,
      position: { xM: 0, yM: 1.25, zM: 2.6 },
      aim: { xM: 0, yM: 1.25, zM: 0 },
      syncS: 1 / 200,
      meterOffsetStops: null,
    },
    meter: {
      id: "meter-1",
      name: "meter",
      discC: 250,
      domeC: 330,
      offsetStops: 0,
      receptorsCompared: false,
      lowestAv: 0,
      highestAv: 13,
      stepStops: 0.1,
    },
    room: sampleRoom("room-1", between(random, 3.5, 8), between(random, 4, 9), between(random, 2.4, 3.5)),
    backdrop:
      random() < 0.5
        ? null
        : {
            name: "grey paper",
            reflectance: 0.18,
            widthM: 2.72,
            heightM: 2.5,
            xM: 0,
            zM: -1.5,
            sweepM: 1,
            targetTone: 0.18,
          },
    subject: {
      kind: "person",
      pose: "seated",
      noseHeightM: 1.25,
      headYawDeg: 0,
      headPitchDeg: 0,
      bodyYawDeg: 0,
      hair: "mid",
      spectacles: null,
      flashSensitive: false,
      group: [],
    },
    sitters: [],
    lights,
    panels: [],
    readings: lights
      .slice(0, Math.floor(random() * 3))
      .map((light, i) => sampleReading(random, `${id}-r${i}`, light.id, iso(at + i * 1000))),
    asShot: [],
  };
}

/** Half of the heads and all modifiers, three stands of eight. */
export function sampleKit(): Kit {
  return {
    format: "stopwise-kit",
    version: 1,
    id: "kit-1",
    name: "van",
    heads: heads.slice(0, 6),
    modifiers,
    supports: [stand],
    panels: [],
    meters: [],
    cameras: [],
    rooms: [sampleRoom("small", 4.2, 5.4, 2.9), sampleRoom("hall", 9, 12, 4)],
    backdrops: [
      {
        name: "grey paper",
        reflectance: 0.18,
        widthM: 2.72,
        heightM: 2.5,
        xM: 0,
        zM: -1.5,
        sweepM: 1,
        targetTone: 0.18,
      },
    ],
    sandbagsKg: [5, 5, 8],
    counterweightsKg: [4],
    bonds: 2,
    roomHereId: "small",
  };
}
