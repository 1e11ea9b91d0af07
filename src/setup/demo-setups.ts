/**
 * The demo book: seven setups of the invented scenario. Places, targets and readings are invented; dials are
 * what the plan asks of the invented kit, and the tests hold them to it.
 */

import * as kit from "./demo-kit.ts";
import type {
  Backdrop,
  Camera,
  Exposure,
  KitPanel,
  Light,
  Panel,
  Place,
  Reading,
  Setup,
  Sitter,
  Subject,
} from "./types.ts";

type Bare = Pick<Light, "tag" | "role" | "head" | "modifier" | "place" | "dialStops" | "target"> & Partial<Light>;

const nose: Light["aim"] = { kind: "point", point: "nose" };
const atNose: Light["meterAt"] = { point: "nose", receptor: "dome", aim: "light" };
const onPaper: Light["meterAt"] = { point: "backdrop-centre", receptor: "disc", aim: "normal" };
const paperCentre: Light["aim"] = { kind: "point", point: "backdrop-centre" };
const working: Light["target"] = { kind: "working" };
const under = (stops: number): Light["target"] => ({ kind: "under", stops });

const polar = (azimuthDeg: number, distanceM: number, heightM: number): Place => ({
  kind: "polar",
  azimuthDeg,
  distanceM,
  heightM,
});
const cartesian = (xM: number, yM: number, zM: number): Place => ({ kind: "cartesian", xM, yM, zM });

/** Lights in the order of the ladder: tag, hue, trigger group and order key follow from where they stand in the list. */
function lights(list: readonly Bare[]): readonly Light[] {
  return list.map((bare, i) => ({
    id: `light-${bare.tag.toLowerCase()}`,
    order: `a${i}`,
    hue: i + 1,
    unit: null,
    support: kit.lightStand,
    rig: { legAzimuthDeg: legToward(bare.place), sandbagKg: 0, bonded: false, boom: null },
    aim: nose,
    rollDeg: 0,
    on: true,
    pops: 1,
    gels: [],
    ndStops: 0,
    meterAt: atNose,
    toleranceStops: null,
    triggerGroup: bare.head.kind === "flash" ? String(i + 1) : "",
    triggerChannel: bare.head.kind === "flash" ? "1" : "",
    circuitId: bare.head.mains ? "circuit-1" : null,
    modellingLampOn: false,
    calibrationStops: null,
    calibratedFrom: null,
    accepted: false,
    ...bare,
  }));
}

/** One leg under the load: from the stand toward the sitter. */
function legToward(place: Place): number {
  const azimuth = place.kind === "polar" ? place.azimuthDeg : (Math.atan2(place.xM, place.zM) * 180) / Math.PI;
  return Math.round(azimuth > 0 ? azimuth - 180 : azimuth + 180);
}

function panel(
  item: KitPanel,
  order: number,
  tag: string,
  place: Place,
  facingDeg: number,
  target: Panel["target"],
): Panel {
  const { count: _count, id, ...rest } = item;
  return {
    ...rest,
    id: `${id}-${order}`,
    order: `p${order}`,
    tag,
    hue: order + 4,
    place,
    facingDeg,
    tiltDeg: 0,
    target,
  };
}

const exposure = (apertureAv: number): Exposure => ({
  apertureAv,
  iso: 100,
  shutterS: 1 / 160,
  shutterMark: "1/160",
  medium: "flash",
  framesPerSecond: null,
  whiteBalanceK: 5500,
});

const seated: Subject = {
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
};

const base = {
  format: "stopwise-setup",
  version: 1,
  invented: true,
  meter: kit.meter,
  camera: kit.camera135,
  backdrop: kit.greyPaper as Backdrop | null,
  room: kit.rehearsalRoom,
  subject: seated,
  sitters: [],
  panels: [],
  readings: [],
  asShot: [],
} as const;

const camera = (focalLengthMm: number, distanceM: number, heightM: number, aimY: number, upright = true): Camera => ({
  ...kit.camera135,
  id: `camera-${focalLengthMm}`,
  name: `24 × 36 body, ${focalLengthMm} mm`,
  upright,
  focalLengthMm,
  position: { xM: 0, yM: heightM, zM: distanceM },
  aim: { xM: 0, yM: aimY, zM: 0 },
});

/** A reading of one light alone, at its own meter place and dial. Invented. */
function alone(setup: Pick<Setup, "lights" | "exposure">, tag: string, av: number, typed: string, at: string): Reading {
  const light = setup.lights.find((each) => each.tag === tag);
  if (light === undefined) throw new RangeError(`no light ${tag}`);
  return {
    id: `reading-${tag.toLowerCase()}`,
    lightId: light.id,
    kind: "alone",
    place: light.meterAt,
    lightsOn: [light.id],
    shaded: [],
    av,
    typed,
    iso: setup.exposure.iso,
    shutterS: setup.exposure.shutterS,
    dialStops: light.dialStops,
    at,
    device: "phone (invented)",
    undone: false,
  };
}

/** Heights, hair and spectacles of 24 invented singers, in the order they sit: the hair light turns twice. */
const singers: readonly (readonly [heightM: number, hair: Sitter["hair"], spectacles: boolean])[] = [
  [1.58, "fair", false],
  [1.64, "fair", true],
  [1.66, "fair", false],
  [1.72, "fair", false],
  [1.81, "fair", false],
  [1.9, "fair", true],
  [1.96, "fair", false],
  [1.52, "mid", false],
  [1.6, "mid", true],
  [1.63, "mid", false],
  [1.65, "mid", false],
  [1.68, "mid", false],
  [1.71, "mid", true],
  [1.75, "mid", false],
  [1.78, "mid", false],
  [1.84, "mid", false],
  [1.55, "dark", false],
  [1.61, "dark", false],
  [1.67, "dark", true],
  [1.7, "dark", false],
  [1.74, "dark", false],
  [1.8, "dark", true],
  [1.86, "dark", false],
  [1.93, "dark", false],
];

/** The stool that keeps the nose at 1.25 m: nose over seat is about 0.52 × height − 0.15 (from memory), then the tape. */
const stoolM = (heightM: number): number => Math.round((1.25 - (0.52 * heightM - 0.15)) * 100) / 100;

/** Voice by height alone, so that nobody's seat follows from anything but the list. */
const voiceOf = (i: number): string => ["soprano", "alto", "tenor", "bass"][i % 4] as string;

const choirSitters: readonly Sitter[] = singers.map(([heightM, hair, spectacles], i) => ({
  id: `singer-${i + 1}`,
  order: `b${String(i + 1).padStart(2, "0")}`,
  name: `singer ${i + 1}, ${voiceOf(i)}`,
  seatHeightM: stoolM(heightM),
  hair,
  spectacles,
  flashSensitive: i === 17,
  frames: "",
}));

function choirHeadshots(): Setup {
  const setup: Setup = {
    ...base,
    id: "demo-choir",
    title: "Choir headshots",
    notes: "24 singers on an adjustable stool, every nose at 1.25 m: no light moves. Invented.",
    tags: ["headshot", "seated", "paper"],
    createdAt: "2026-11-23T18:05:00Z",
    exposure: exposure(5),
    // The cross 10 cm nearer to the window: with F there are 0.65 m left to the door, and a move of F mends it.
    room: { ...kit.rehearsalRoom, crossFromLeftM: 2 },
    // Off the middle, so that the boom stand's leg does not stand in it.
    backdrop: { ...kit.greyPaper, xM: 0.25 },
    subject: { ...seated, hair: "fair" },
    sitters: choirSitters,
    lights: lights([
      {
        tag: "M",
        role: "main",
        head: kit.mainsHead,
        unit: 1,
        modifier: kit.octa90,
        place: polar(-45, 1.25, 1.78),
        dialStops: -3.7,
        target: working,
      },
      {
        tag: "F",
        role: "fill",
        head: kit.mainsHead,
        unit: 2,
        modifier: kit.octa150,
        place: polar(25, 2, 1.6),
        dialStops: -4.5,
        target: under(3),
        rig: { legAzimuthDeg: -155, sandbagKg: 10, bonded: false, boom: null },
        circuitId: "circuit-2",
      },
      {
        tag: "E",
        role: "edge",
        head: kit.batteryHeadThen,
        unit: 4,
        modifier: kit.strip120,
        place: polar(128, 1.5, 1.35),
        dialStops: -8 / 3,
        target: under(2),
        meterAt: { point: "temple-right", receptor: "dome", aim: "light" },
      },
      {
        tag: "H",
        role: "hair",
        head: kit.mainsHead,
        unit: 3,
        modifier: kit.strip90,
        place: polar(-165, 1.05, 1.99),
        dialStops: -5,
        target: { kind: "hair" },
        rollDeg: 90,
        support: kit.boomStand,
        circuitId: "circuit-2",
        rig: {
          legAzimuthDeg: 61,
          sandbagKg: 10,
          bonded: true,
          boom: { standXM: -1.15, standZM: -1.48, pivotHeightM: 1.95, counterweightKg: 5.4 },
        },
        aim: { kind: "point", point: "crown" },
        meterAt: { point: "crown", receptor: "dome", aim: "light" },
      },
    ]),
    panels: [
      panel(kit.blackPanel, 1, "P", cartesian(0.744, 1, 0.091), -97, null),
      panel(kit.blackPanel, 2, "P2", cartesian(-0.886, 1, -0.156), 80, null),
    ],
  };
  return {
    ...setup,
    readings: [
      alone(setup, "M", 5, "5.6", "2026-11-24T14:12:10Z"),
      alone(setup, "F", 1.7, "1.4^7", "2026-11-24T14:14:30Z"),
      alone(setup, "E", 3.4, "2.8^4", "2026-11-24T14:16:05Z"),
    ],
  };
}

function luthierAtTheBench(): Setup {
  const setup: Setup = {
    ...base,
    id: "demo-luthier",
    title: "Luthier at the bench",
    notes: "At work, looking down at the instrument. Invented.",
    tags: ["bench", "seated"],
    createdAt: "2026-11-02T09:00:00Z",
    exposure: exposure(4),
    camera: camera(85, 2.5, 1.3, 1.05),
    room: kit.workshop,
    backdrop: null,
    subject: { ...seated, noseHeightM: 1.22, headPitchDeg: -15, headYawDeg: -10 },
    lights: lights([
      {
        tag: "M",
        role: "main",
        head: kit.mainsHead,
        unit: 1,
        modifier: kit.box60,
        place: polar(-40, 1.4, 1.85),
        dialStops: -4,
        target: working,
      },
      {
        tag: "F",
        role: "fill",
        head: kit.mainsHead,
        unit: 2,
        modifier: kit.umbrella110,
        place: polar(35, 1.9, 1.6),
        dialStops: -4.4,
        target: under(1.1),
      },
      {
        tag: "E",
        role: "edge",
        head: kit.batteryHeadThen,
        unit: 4,
        modifier: kit.strip120,
        place: polar(130, 1.5, 1.4),
        dialStops: -3,
        target: under(1.5),
        meterAt: { point: "temple-right", receptor: "dome", aim: "light" },
      },
    ]),
  };
  return {
    ...setup,
    readings: [
      alone(setup, "M", 4, "4", "2026-11-03T10:20:00Z"),
      alone(setup, "F", 2.9, "2^9", "2026-11-03T10:22:00Z"),
      alone(setup, "E", 2.5, "2^5", "2026-11-03T10:25:00Z"),
    ],
  };
}

function stonewareVase(): Setup {
  const setup: Setup = {
    ...base,
    id: "demo-vase",
    title: "Stoneware vase on paper",
    notes: "Table-top, the card opposite the main. Invented.",
    tags: ["product", "paper"],
    createdAt: "2026-10-26T16:00:00Z",
    exposure: exposure(7),
    camera: camera(100, 1.6, 1.25, 0.98),
    room: kit.storeRoom,
    backdrop: { ...kit.greyPaper, name: "Grey paper 1.35 m", widthM: 1.35, heightM: 2.2, zM: -1, sweepM: 1.4 },
    subject: { ...seated, kind: "object", pose: "standing", noseHeightM: 1 },
    lights: lights([
      {
        tag: "M",
        role: "main",
        head: kit.mainsHead,
        unit: 1,
        modifier: kit.octa90,
        place: polar(-60, 0.95, 1.4),
        dialStops: -2.4,
        target: working,
      },
      {
        tag: "B",
        role: "background",
        head: kit.mainsHead,
        unit: 2,
        modifier: kit.dish18,
        place: cartesian(-1.22, 1.9, 0),
        dialStops: -2.4,
        target: under(0.6),
        aim: paperCentre,
        meterAt: onPaper,
      },
    ]),
    panels: [panel(kit.whiteCard, 1, "K", cartesian(0.55, 1.05, 0.12), -100, under(2))],
  };
  return {
    ...setup,
    readings: [
      alone(setup, "M", 7, "11", "2026-10-27T11:02:00Z"),
      alone(setup, "B", 6.4, "8^4", "2026-10-27T11:05:00Z"),
    ],
  };
}

function oneLightAndCard(): Setup {
  const setup: Setup = {
    ...base,
    id: "demo-one-card",
    title: "One light and a white card",
    notes: "The least that makes a portrait. Invented.",
    tags: ["headshot", "seated", "paper"],
    createdAt: "2026-10-08T15:00:00Z",
    exposure: exposure(5),
    subject: { ...seated, hair: "dark" },
    lights: lights([
      {
        tag: "M",
        role: "main",
        head: kit.mainsHead,
        unit: 1,
        modifier: kit.octa90,
        place: polar(-45, 1.25, 1.78),
        dialStops: -3.7,
        target: working,
      },
    ]),
    panels: [panel(kit.whiteCard, 1, "K", cartesian(0.7, 1.2, 0.15), -102, under(2.3))],
  };
  return { ...setup, readings: [alone(setup, "M", 5, "5.6", "2026-10-09T10:40:00Z")] };
}

function panelInterview(): Setup {
  const setup: Setup = {
    ...base,
    id: "demo-interview",
    title: "Panel interview (LED)",
    notes: "Three people at a table, video, the house lights off; two of the three panels were borrowed. Invented.",
    tags: ["LED", "seated", "group"],
    createdAt: "2026-08-21T08:00:00Z",
    exposure: {
      ...exposure(3),
      iso: 800,
      shutterS: 1 / 50,
      shutterMark: "1/50",
      medium: "continuous",
      framesPerSecond: 25,
      whiteBalanceK: 4500,
    },
    camera: camera(35, 2.9, 1.3, 1.15, false),
    room: { ...kit.parishHall, ambientLx: 4 },
    backdrop: null,
    subject: {
      ...seated,
      group: [
        { xM: 0, yM: 0, zM: 0 },
        { xM: -0.85, yM: 0.03, zM: -0.1 },
        { xM: 0.85, yM: -0.04, zM: -0.1 },
      ],
    },
    lights: lights([
      {
        tag: "M",
        role: "main",
        head: kit.ledPanel,
        unit: 1,
        modifier: kit.panelFace,
        place: polar(-35, 1.9, 1.9),
        dialStops: -1.5,
        target: working,
      },
      {
        tag: "F",
        role: "fill",
        head: kit.ledPanel,
        unit: 2,
        modifier: kit.panelFace,
        place: polar(40, 2.1, 1.75),
        dialStops: -2.2,
        target: under(1),
      },
      {
        tag: "E",
        role: "edge",
        head: kit.ledPanel,
        unit: 3,
        modifier: kit.panelFace,
        place: polar(132, 1.8, 2),
        dialStops: -2.85,
        target: under(1),
        meterAt: { point: "temple-right", receptor: "dome", aim: "light" },
      },
    ]),
  };
  return {
    ...setup,
    readings: [
      alone(setup, "M", 3, "2.8", "2026-08-22T09:10:00Z"),
      alone(setup, "F", 2, "2", "2026-08-22T09:12:00Z"),
      alone(setup, "E", 2, "2", "2026-08-22T09:14:00Z"),
    ],
  };
}

function clamshell(): Setup {
  const setup: Setup = {
    ...base,
    id: "demo-clamshell",
    title: "Clamshell",
    notes: "Main over the lens, fill under it. Invented.",
    tags: ["headshot", "seated", "paper"],
    createdAt: "2026-06-01T12:00:00Z",
    exposure: exposure(6),
    lights: lights([
      {
        tag: "M",
        role: "main",
        head: kit.mainsHead,
        unit: 1,
        modifier: kit.box60,
        place: polar(0, 1.05, 1.8),
        dialStops: -2.8,
        target: working,
        support: kit.boomStand,
        rig: {
          legAzimuthDeg: 133,
          sandbagKg: 10,
          bonded: true,
          boom: { standXM: -0.9, standZM: 2.1, pivotHeightM: 1.95, counterweightKg: 5.4 },
        },
      },
      {
        tag: "F",
        role: "fill",
        head: kit.mainsHead,
        unit: 2,
        modifier: kit.strip90,
        rollDeg: 90,
        place: polar(0, 0.95, 0.76),
        dialStops: -2.8,
        target: under(1.5),
      },
      {
        tag: "B",
        role: "background",
        head: kit.mainsHead,
        unit: 3,
        modifier: kit.dish18,
        place: cartesian(1.3, 1.9, -0.5),
        dialStops: -3.9,
        target: under(1.2),
        aim: paperCentre,
        meterAt: onPaper,
      },
    ]),
  };
  return {
    ...setup,
    readings: [
      alone(setup, "M", 6, "8", "2026-06-02T13:30:00Z"),
      alone(setup, "F", 4.5, "4^5", "2026-06-02T13:32:00Z"),
      alone(setup, "B", 4.8, "4^8", "2026-06-02T13:35:00Z"),
    ],
  };
}

function whiteFullLength(): Setup {
  return {
    ...base,
    id: "demo-full-length",
    title: "White full-length",
    notes: "Planned for the parish hall; the rehearsal room is too short. Invented.",
    tags: ["standing", "white", "paper"],
    createdAt: "2026-11-20T19:30:00Z",
    exposure: exposure(6),
    camera: kit.camera60,
    room: kit.parishHall,
    backdrop: { ...kit.whitePaper, zM: -2 },
    subject: { ...seated, pose: "standing", noseHeightM: 1.6 },
    lights: lights([
      {
        tag: "M",
        role: "main",
        head: kit.mainsHead,
        unit: 1,
        modifier: kit.octa150,
        place: polar(-40, 2, 2.05),
        dialStops: -0.2,
        target: working,
      },
      {
        tag: "F",
        role: "fill",
        head: kit.mainsHead,
        unit: 2,
        modifier: kit.umbrella110,
        place: polar(35, 2.4, 1.8),
        dialStops: -1.7,
        target: under(1),
        circuitId: "circuit-2",
      },
      {
        tag: "B",
        role: "background",
        head: kit.mainsHead,
        unit: 3,
        modifier: kit.box60,
        place: cartesian(-1.35, 1.7, -0.9),
        dialStops: -0.5,
        target: under(-0.6),
        aim: paperCentre,
        meterAt: onPaper,
        circuitId: "circuit-2",
      },
      {
        tag: "B2",
        role: "background",
        head: kit.batteryHeadThen,
        unit: 4,
        modifier: kit.dish18,
        place: cartesian(1.35, 1.7, -0.9),
        dialStops: -4 / 3,
        target: under(-0.6),
        aim: paperCentre,
        meterAt: onPaper,
      },
    ]),
  };
}

/** The demo book, newest reading first. */
export function demoSetups(): readonly Setup[] {
  return [
    choirHeadshots(),
    luthierAtTheBench(),
    stonewareVase(),
    oneLightAndCard(),
    panelInterview(),
    clamshell(),
    whiteFullLength(),
  ];
}
