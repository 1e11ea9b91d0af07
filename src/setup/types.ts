/**
 * The setup document, version 1: what stands where, what it should read, what it read. Plain JSON, every
 * value in SI with the unit in its name. Fields this version does not know survive a round trip in `extra`
 * positions untouched (parse keeps them, print writes them back). A setup embeds copies of the kit items
 * it uses, so a later calibration of the kit never rewrites an old setup.
 *
 * Axes: right-handed, metres; origin on the floor below the sitter's nose tip; +Z toward the camera,
 * +Y up, +X picture-right. Azimuth 0 is toward the camera, positive to picture-right ("camera right").
 */

import type { DialScale } from "../units/index.ts";

/** ISO 8601 time stamp with offset or Z. */
export type Instant = string;
export type Id = string;

export interface Setup {
  readonly format: "stopwise-setup";
  readonly version: 1;
  readonly id: Id;
  readonly title: string;
  readonly notes: string;
  readonly tags: readonly string[];
  /** True for the demo book: everything in it is invented. */
  readonly invented: boolean;
  readonly createdAt: Instant;
  readonly exposure: Exposure;
  readonly camera: Camera;
  readonly meter: Meter;
  readonly room: Room;
  readonly backdrop: Backdrop | null;
  readonly subject: Subject;
  /** Who sits, in the order they sit; one setup serves them all. */
  readonly sitters: readonly Sitter[];
  readonly lights: readonly Light[];
  readonly panels: readonly Panel[];
  /** Append-only: a deleted light keeps its readings. */
  readonly readings: readonly Reading[];
  /** Values frozen when the light was photographed, beside the plan. */
  readonly asShot: readonly AsShot[];
}

/** How the picture is exposed. `apertureAv` is exact (f/5.6 is 5). */
export interface Exposure {
  readonly apertureAv: number;
  readonly iso: number;
  readonly shutterS: number;
  /** The mark as set ("1/160"), so that it prints as it was chosen. */
  readonly shutterMark: string;
  /** flash: lx·s from pops; continuous: lx times the shutter. A setup may mix both; this says what is metered. */
  readonly medium: "flash" | "continuous";
  /** Video keeps the shutter literal and names the frame rate. */
  readonly framesPerSecond: number | null;
  readonly whiteBalanceK: number;
}

export interface Camera {
  readonly id: Id;
  readonly name: string;
  readonly sensorWidthMm: number;
  readonly sensorHeightMm: number;
  /** Turned for an upright picture: the sensor's long side stands. */
  readonly upright: boolean;
  readonly focalLengthMm: number;
  /** Lens (front principal point) in world axes. */
  readonly position: XYZ;
  /** Where the lens points. */
  readonly aim: XYZ;
  /** Shortest shutter that syncs with flash. */
  readonly syncS: number;
  /** Lens and body against the meter, from a grey card: positive when the camera needs more light. */
  readonly meterOffsetStops: number | null;
}

export interface Meter {
  readonly id: Id;
  readonly name: string;
  /** Calibration constants, lx·s (ISO 2720:1974 range: disc 240…400, dome 320…540). */
  readonly discC: number;
  readonly domeC: number;
  /** Added to what the meter shows before it is believed; from a comparison, else 0. */
  readonly offsetStops: number;
  /** True once disc against dome was tested on this meter. */
  readonly receptorsCompared: boolean;
  readonly lowestAv: number;
  readonly highestAv: number;
  readonly stepStops: number;
}

export interface XYZ {
  readonly xM: number;
  readonly yM: number;
  readonly zM: number;
}

/** A box. The cross under the nose stands `crossFromLeftM` from the camera-left wall and `crossFromBackM` from the wall behind the sitter. */
export interface Room {
  readonly id: Id;
  readonly name: string;
  readonly widthM: number;
  readonly depthM: number;
  readonly heightM: number;
  readonly crossFromLeftM: number;
  readonly crossFromBackM: number;
  /** Luminous reflectances 0…1. */
  readonly reflectance: {
    readonly ceiling: number;
    readonly floor: number;
    readonly left: number;
    readonly right: number;
    readonly back: number;
    readonly front: number;
  };
  readonly openings: readonly Opening[];
  readonly furniture: readonly Furniture[];
  readonly circuits: readonly Circuit[];
  /** Smoke or heat detectors and sprinklers on the ceiling, world axes. */
  readonly detectors: readonly XYZ[];
  /** Ambient illuminance at the nose with every head off, lx; null when nobody measured it. */
  readonly ambientLx: number | null;
}

/** A door or a window in a wall. `fromM` runs from the wall's camera-left or back end to the opening's near edge. */
export interface Opening {
  readonly id: Id;
  readonly kind: "door" | "window";
  readonly name: string;
  readonly wall: "left" | "right" | "back" | "front";
  readonly fromM: number;
  readonly widthM: number;
  readonly sillM: number;
  readonly heightM: number;
  /** Doors: opens into the room. */
  readonly opensInward: boolean;
  /** Windows: blind down. */
  readonly covered: boolean;
}

/** An upright box that stands in the way; corner nearest camera-left and back wall, in room coordinates (from the left wall, from the back wall). */
export interface Furniture {
  readonly id: Id;
  readonly name: string;
  readonly fromLeftM: number;
  readonly fromBackM: number;
  readonly widthM: number;
  readonly depthM: number;
  readonly heightM: number;
}

export interface Circuit {
  readonly id: Id;
  readonly name: string;
  readonly volts: number;
  readonly amps: number;
}

export interface Backdrop {
  readonly name: string;
  /** Luminous reflectance 0…1. */
  readonly reflectance: number;
  readonly widthM: number;
  readonly heightM: number;
  /** Centre line of the paper, x; its plane, z (negative: behind the sitter). */
  readonly xM: number;
  readonly zM: number;
  /** Paper that runs out along the floor toward the camera. */
  readonly sweepM: number;
  /** What it should look like, display-linear 0…1 (0.18 mid grey, 1 clips). */
  readonly targetTone: number | null;
}

export type HairClass = "black" | "dark" | "mid" | "fair" | "grey";

/** The working pose that all sitters share. */
export interface Subject {
  readonly kind: "person" | "object";
  readonly pose: "seated" | "standing";
  readonly noseHeightM: number;
  /** Nose turned to picture-right is positive. */
  readonly headYawDeg: number;
  /** Chin up is positive. */
  readonly headPitchDeg: number;
  readonly bodyYawDeg: number;
  readonly hair: HairClass;
  readonly spectacles: Spectacles | null;
  /** Sensitive to flashing light, an infant or an animal: the cautions ask first. */
  readonly flashSensitive: boolean;
  /** Nose tips of a group relative to the cross, the first at 0; empty for one person. */
  readonly group: readonly XYZ[];
}

export interface Spectacles {
  /** Lower edge toward the cheek, degrees (7…10 usual). */
  readonly tiltDeg: number;
  readonly baseCurveD: number;
}

export interface Sitter {
  readonly id: Id;
  readonly order: string;
  readonly name: string;
  readonly seatHeightM: number | null;
  readonly hair: HairClass;
  readonly spectacles: boolean;
  readonly flashSensitive: boolean;
  readonly frames: string;
}

export type Role = "main" | "fill" | "edge" | "hair" | "background" | "card";

export interface Light {
  readonly id: Id;
  /** Fractional key: the order on the ladder. */
  readonly order: string;
  /** At most two characters: M, F, E, H, B, K, E2. */
  readonly tag: string;
  /** 1…8: the colour that goes with the light (Okabe and Ito), never with the role. */
  readonly hue: number;
  readonly role: Role;
  readonly head: Head;
  /** Which of several like heads ("no. 2"). */
  readonly unit: number | null;
  readonly modifier: Modifier;
  readonly support: Support;
  readonly rig: Rig;
  readonly place: Place;
  readonly aim: Aim;
  /** Turn about the front's axis: a strip stands at 0, lies at 90. */
  readonly rollDeg: number;
  /** Stops relative to full, at most 0. */
  readonly dialStops: number;
  readonly on: boolean;
  readonly pops: number;
  readonly gels: readonly Gel[];
  /** Neutral density on the front, stops taken (ND 0.3 is 0.997). */
  readonly ndStops: number;
  readonly target: Target;
  readonly meterAt: MeterPlace;
  /** Null: by role (main 0.1, fill and background 0.2, edge, hair and card 0.3). */
  readonly toleranceStops: number | null;
  readonly triggerGroup: string;
  readonly triggerChannel: string;
  readonly circuitId: Id | null;
  readonly modellingLampOn: boolean;
  /** Learned for this setup alone: log2(metered / predicted), added as its own row; null until learned. */
  readonly calibrationStops: number | null;
  readonly calibratedFrom: Id | null;
  /** The photographer took it as it was: kept and written on the Sheet. */
  readonly accepted: boolean;
}

/** A flash or continuous head as the kit keeps it. */
export interface Head {
  readonly id: Id;
  readonly name: string;
  readonly kind: "flash" | "continuous";
  /** Stored energy, W·s (flash). */
  readonly energyWs: number | null;
  /** Electrical power, W (continuous); also the draw counted on the circuit for flash while charging. */
  readonly powerW: number | null;
  /** lm·s per W·s, or lm per W: the catalogue's word. */
  readonly efficacy: number;
  readonly mains: boolean;
  readonly modellingW: number;
  readonly recycleS: number | null;
  readonly dial: DialScale;
  /** Measured dial table: what a dial position really gives, stops below full; empty until learned. */
  readonly dialTable: readonly DialPoint[];
  readonly massKg: number;
  /** t0.5 and t0.1 at full power, s, and which definition. */
  readonly t05S: number | null;
  readonly t01S: number | null;
  readonly durationBy: "peak" | "energy" | "unknown";
  /** longer: voltage-controlled (longer at low power); shorter: tail-cut. */
  readonly durationAtLowPower: "longer" | "shorter" | "unknown";
  readonly temperatureK: number;
  /** How many of this head the kit holds. */
  readonly count: number;
  /** Learned by metering: output against the catalogue, stops, and from how many readings. */
  readonly learnedStops: number;
  readonly learnedReadings: number;
}

export interface DialPoint {
  readonly dialStops: number;
  readonly measuredStops: number;
}

export type FrontShape = "rectangle" | "octagon" | "disc" | "umbrella" | "bare" | "lobe" | "measured";

/** What sits on the head and makes the front. */
export interface Modifier {
  readonly id: Id;
  readonly name: string;
  readonly shape: FrontShape;
  /** Rectangle: width and height. Octagon: across flats in both. Disc, umbrella, lobe: diameter in both. Bare: tube size. */
  readonly widthM: number;
  readonly heightM: number;
  readonly depthM: number;
  /** Flux out of the front over flux from the tube, 0…1. */
  readonly transmission: number;
  readonly layers: readonly ("inner" | "front")[];
  readonly lipM: number;
  readonly grid: { readonly cellM: number; readonly depthM: number; readonly openFraction: number } | null;
  /** Lobe: full width at half maximum, degrees. */
  readonly beamDeg: number | null;
  /** L = L0·(1 − k·ρ²): 0 for an even front. */
  readonly hotCentre: number;
  /** The text of a measured .ies or .ldt file; its shape is used, scaled to the head's output or, when absolute, as it is. */
  readonly photometricFile: { readonly name: string; readonly text: string; readonly absolute: boolean } | null;
  readonly massKg: number;
  /** Heat: the hottest lamp that may burn inside, W; null when the maker says nothing. */
  readonly maxModellingW: number | null;
  readonly count: number;
  readonly learnedStops: number;
  readonly learnedReadings: number;
}

/** A stand or a boom stand as the kit keeps it. */
export interface Support {
  readonly id: Id;
  readonly name: string;
  readonly kind: "stand" | "boom" | "ceiling";
  readonly legs: number;
  readonly footRadiusM: number;
  readonly massKg: number;
  readonly maxHeightM: number;
  readonly minHeightM: number;
  readonly boomArmKg: number;
  /** From the pivot to the load end, longest, and to the counterweight end. */
  readonly boomReachM: number;
  readonly boomTailM: number;
  readonly count: number;
}

/** How this stand is set up. */
export interface Rig {
  /** World azimuth of one leg, degrees; the care rules ask for a leg under the load. */
  readonly legAzimuthDeg: number;
  readonly sandbagKg: number;
  readonly bonded: boolean;
  /** Boom only: where its stand stands, how high the pivot, the counterweight. */
  readonly boom: {
    readonly standXM: number;
    readonly standZM: number;
    readonly pivotHeightM: number;
    readonly counterweightKg: number;
  } | null;
}

/** Where the middle of the front is: one value, edited as a whole; polar about the nose tip, or Cartesian. */
export type Place =
  | { readonly kind: "polar"; readonly azimuthDeg: number; readonly distanceM: number; readonly heightM: number }
  | { readonly kind: "cartesian"; readonly xM: number; readonly yM: number; readonly zM: number };

/** What the front's axis passes through: one value. */
export type Aim =
  | { readonly kind: "point"; readonly point: PointName }
  | { readonly kind: "xyz"; readonly xM: number; readonly yM: number; readonly zM: number }
  | { readonly kind: "pan-tilt"; readonly panDeg: number; readonly tiltDeg: number };

/** Named places where a meter is held. Left and right are camera left and camera right. */
export type PointName =
  | "nose"
  | "cheek-left"
  | "cheek-right"
  | "temple-left"
  | "temple-right"
  | "crown"
  | "shoulder-left"
  | "shoulder-right"
  | "backdrop-centre"
  | "backdrop-upper-left"
  | "backdrop-upper-right"
  | "backdrop-lower-left"
  | "backdrop-lower-right"
  | "lens";

export type ReceptorKind = "dome" | "disc";
/** light: at the front's middle. camera: at the lens. normal: along the surface (backdrop, cheek). */
export type MeterAim = "light" | "camera" | "normal";

export interface MeterPlace {
  readonly point: PointName;
  readonly receptor: ReceptorKind;
  readonly aim: MeterAim;
}

export type Target =
  | { readonly kind: "working" }
  /** So many stops under the working aperture (negative: over). */
  | { readonly kind: "under"; readonly stops: number }
  /** By the sitter's hair: 1, 2 or 3 under for dark, mid, fair. */
  | { readonly kind: "hair" }
  /** By the tone that the backdrop should have. */
  | { readonly kind: "tone" };

export interface Gel {
  readonly name: string;
  readonly miredShift: number;
  readonly lossStops: number;
}

/** A card, a reflector or a flag. Centre in world axes; normal by azimuth and elevation of the working face. */
export interface Panel {
  readonly id: Id;
  readonly order: string;
  readonly name: string;
  readonly tag: string;
  readonly hue: number;
  /** card: returns light; flag: only takes it. Both have a reflectance. */
  readonly role: "card" | "flag";
  readonly finish: "matt" | "mirror";
  readonly reflectance: number;
  readonly widthM: number;
  readonly heightM: number;
  readonly place: Place;
  readonly facingDeg: number;
  readonly tiltDeg: number;
  readonly target: Target | null;
  readonly massKg: number;
}

/** What a meter said, kept for ever. A reading is never a bare number. */
export interface Reading {
  readonly id: Id;
  /** The light alone, or null for together and room readings. */
  readonly lightId: Id | null;
  readonly kind: "alone" | "together" | "room" | "ambient";
  readonly place: MeterPlace;
  /** Ids of the lights that were on. */
  readonly lightsOn: readonly Id[];
  /** Ids of the lights shaded from the receptor by hand or flag. */
  readonly shaded: readonly Id[];
  readonly av: number;
  /** As typed: "5.6^7". */
  readonly typed: string;
  readonly iso: number;
  readonly shutterS: number;
  /** Where the dial stood. */
  readonly dialStops: number | null;
  readonly at: Instant;
  readonly device: string;
  /** Taken back by Undo: kept, not counted. */
  readonly undone: boolean;
}

export interface AsShot {
  readonly id: Id;
  readonly at: Instant;
  readonly note: string;
  readonly lights: readonly {
    readonly lightId: Id;
    readonly tag: string;
    readonly place: Place;
    readonly dialStops: number;
    readonly readingAv: number | null;
  }[];
}

/** What a photographer owns, apart from any one setup. */
export interface Kit {
  readonly format: "stopwise-kit";
  readonly version: 1;
  readonly id: Id;
  readonly name: string;
  readonly heads: readonly Head[];
  readonly modifiers: readonly Modifier[];
  readonly supports: readonly Support[];
  readonly panels: readonly KitPanel[];
  readonly meters: readonly Meter[];
  readonly cameras: readonly Camera[];
  readonly rooms: readonly Room[];
  readonly backdrops: readonly Backdrop[];
  readonly sandbagsKg: readonly number[];
  readonly counterweightsKg: readonly number[];
  readonly bonds: number;
  /** The room one is in: patterns are placed in it, the Book filters by it. */
  readonly roomHereId: Id | null;
}

export interface KitPanel {
  readonly id: Id;
  readonly name: string;
  readonly role: "card" | "flag";
  readonly finish: "matt" | "mirror";
  readonly reflectance: number;
  readonly widthM: number;
  readonly heightM: number;
  readonly massKg: number;
  readonly count: number;
}
