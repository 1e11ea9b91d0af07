/**
 * Predicting readings. A light alone is a tree: straight, by way of panels, by way of the room, and the
 * room's ambient where it was measured; a together reading adds such trees for one point, receptor and aim.
 * A light that is shaded from the meter by hand loses its straight way only. Readings are "believed" ones:
 * what the meter shows plus its offset, at the working ISO and shutter.
 */

import { falloffMap, type PointSheet, type ReceptorKind, sumReadings } from "../photometry/index.ts";
import type { Id, MeterPlace, Reading, Setup } from "../setup/index.ts";
import { expectOk, failure, fault, luxSeconds, type Result, success, type Vec3 } from "../units/index.ts";
import { addedAv, chainOf, predictedFrom, type RowSeed, sumOf } from "./ledger.ts";
import { LEVEL_C, quantityInput, receptorRow } from "./light-rows.ts";
import { asRead, roomPlace, roomReading } from "./room-reading.ts";
import { type Lit, makeScene, type Scene, type SceneMemory, type Spot, sceneMemory, spotOf } from "./scene.ts";
import type { Ledger, Predicted } from "./types.ts";
import { directWay, returnedTo, type WayMemory, wayMemory } from "./ways.ts";

/** Which ways count in a reading. */
export interface WayChoice {
  /** The room by its model alone, whatever a shaded reading said of it. */
  readonly modelled?: boolean;
  readonly direct: boolean;
  readonly panels: boolean;
  readonly room: boolean;
  readonly ambient: boolean;
}

export const ALL_WAYS: WayChoice = { direct: true, panels: true, room: true, ambient: true };
/** What is left of a light whose straight way is shaded by hand. */
export const SHADED: WayChoice = { direct: false, panels: true, room: true, ambient: false };

/** The engine of one solver: scenes and everything computed from them. */
export interface Engine {
  readonly sceneOf: (setup: Setup) => Scene;
  readonly ways: WayMemory;
  /** What a shaded reading said of each setup's room. */
  readonly roomRead: WeakMap<Setup, number | null>;
  readonly scenes: SceneMemory;
}

export function makeEngine(): Engine {
  const scenes = sceneMemory();
  const known = new WeakMap<Setup, Scene>();
  return {
    scenes,
    ways: wayMemory(),
    roomRead: new WeakMap(),
    sceneOf(setup) {
      const kept = known.get(setup);
      if (kept) return kept;
      const made = makeScene(setup, scenes);
      known.set(setup, made);
      return made;
    },
  };
}

/** C of a receptor of this setup's meter, lx·s. */
export const constantOf = (setup: Setup, kind: ReceptorKind): number =>
  kind === "disc" ? setup.meter.discC : setup.meter.domeC;

/** A light alone at a place. */
export function predictAlone(engine: Engine, setup: Setup, lit: Lit, place: MeterPlace): Predicted {
  const scene = engine.sceneOf(setup);
  return aloneAt(engine, scene, lit, spotOf(scene, place, lit, engine.scenes), ALL_WAYS);
}

/** A light alone at a spot, by the ways chosen. */
export function aloneAt(engine: Engine, scene: Scene, lit: Lit, spot: Spot, choice: WayChoice): Predicted {
  const parts: Ledger[] = lightParts(engine, scene, lit, spot, choice);
  if (choice.ambient) parts.push(...ambientParts(scene, spot));
  const ledger = sumOf(`${lit.light.tag} alone`, parts);
  return predictedFrom(ledger, constantOf(scene.setup, spot.receptor), scene.setup.exposure.iso);
}

/** What is asked of a reading of several lights. */
export interface TogetherQuestion {
  readonly place: MeterPlace;
  /** Null: those that are on. */
  readonly lightsOn: readonly Id[] | null;
  readonly shaded: readonly Id[];
}

/**
 * Several lights in one reading. Fault "sum-aim" when the meter would have to look at two lights at once:
 * readings aimed at each light are never added.
 */
export function predictSeveral(engine: Engine, setup: Setup, question: TogetherQuestion): Result<Predicted> {
  const scene = engine.sceneOf(setup);
  const { place, shaded } = question;
  const on = litLights(scene, question.lightsOn);
  const terms = on.map((lit) => {
    const spot = spotOf(scene, place, lit, engine.scenes);
    return {
      lit,
      spot,
      label: lit.light.tag,
      point: place.point,
      receptor: place.receptor,
      aim: spot.axis,
      aimName: place.aim === "light" ? `at ${lit.light.tag}` : `to the ${place.aim}`,
      exposure: luxSeconds(0),
    };
  });
  // The rule of photometry says whether these readings may be added at all.
  const legal = sumReadings(terms);
  if (!legal.ok) return failure(...legal.faults);
  const spot = terms[0]?.spot ?? spotOf(scene, place, null, engine.scenes);
  const parts: Ledger[] = terms.flatMap(({ lit }): Ledger[] => {
    const isShaded = shaded.includes(lit.light.id);
    const ways = lightParts(engine, scene, lit, spot, isShaded ? SHADED : ALL_WAYS);
    return ways.length > 0 ? [sumOf(isShaded ? `${lit.light.tag}, shaded from the meter` : lit.light.tag, ways)] : [];
  });
  parts.push(...ambientParts(scene, spot));
  const ledger = sumOf(`together at the ${spot.words}`, parts);
  return success(predictedFrom(ledger, constantOf(setup, place.receptor), setup.exposure.iso));
}

/** The same where the place cannot be at fault: aims other than at a light. */
export const predictTogetherAt = (engine: Engine, setup: Setup, question: TogetherQuestion): Predicted =>
  expectOk(predictSeveral(engine, setup, question));

/** The lights of a scene by id, or all that are on. */
export function litLights(scene: Scene, ids: readonly Id[] | null): readonly Lit[] {
  return [...scene.lights.values()].filter(({ light }) => (ids === null ? light.on : ids.includes(light.id)));
}

/** A light of a scene, or a fault that names the id. */
export function litOfId(scene: Scene, lightId: Id): Result<Lit> {
  const lit = scene.lights.get(lightId);
  if (lit) return success(lit);
  return failure(fault("no-such-light", `There is no light "${lightId}"`, "lights", "Name one of the setup's lights."));
}

/** The chains of one light at a spot: straight always, the others where they bring light. */
export function lightParts(engine: Engine, scene: Scene, lit: Lit, spot: Spot, choice: WayChoice): Ledger[] {
  const { before, shutter, calibration } = lit.rows;
  const after = [...shutter, receptorRow(scene.setup.meter, spot.receptor), ...calibration];
  const chain = (label: string, middle: readonly RowSeed[], last: readonly RowSeed[] = []): Ledger =>
    chainOf(label, [...before, ...middle, ...after, ...last]);
  const parts: Ledger[] = [];
  if (choice.direct) parts.push(chain("straight", directWay(scene, lit, spot, engine.ways).rows));
  if (!choice.panels && !choice.room) return parts;
  const returned = returnedTo(scene, lit, spot, engine.ways);
  if (choice.panels && returned.panelRows) parts.push(chain("by way of the panels", returned.panelRows));
  if (choice.room && returned.roomRows) {
    const read = choice.modelled ? null : roomReadStops(engine, scene.setup);
    const rows = read === null ? returned.roomRows : returned.roomRows.map((row) => ({ ...row, sigmaStops: 0 }));
    parts.push(chain("by way of the room", rows, read === null ? [] : [roomReadRow(read)]));
  }
  return parts;
}

/** 1σ of a room that was read, stops (common practice, no source). */
export const ROOM_READ_SIGMA_STOPS = 0.1;

/** What a counted shaded reading says of the room against its model, stops; null without one that says anything. */
export function roomReadStops(engine: Engine, setup: Setup): number | null {
  const known = engine.roomRead.get(setup);
  if (known !== undefined) return known;
  const reading = roomReading(setup);
  const stops = reading === null ? null : readAgainstModel(engine, setup, reading);
  engine.roomRead.set(setup, stops);
  return stops;
}

/** The reading less panels and ambient, against walls, ceiling and floor as modelled for the dials it was taken at. */
function readAgainstModel(engine: Engine, setup: Setup, reading: Reading): number | null {
  const { walls, rest } = shadedLight(engine, asRead(setup, reading));
  const light = 2 ** believedAv(setup, reading) - rest;
  return walls > 0 && light > 0 ? Math.log2(light / walls) : null;
}

/** 2^Av at the room's place with every light that is on shaded: walls as modelled; panels and ambient. */
export function shadedLight(engine: Engine, setup: Setup): { readonly walls: number; readonly rest: number } {
  const scene = engine.sceneOf(setup);
  const spot = spotOf(scene, roomPlace(setup), null, engine.scenes);
  const through = (choice: WayChoice): Ledger[] =>
    litLights(scene, null).flatMap((lit) => lightParts(engine, scene, lit, spot, choice));
  const none = { direct: false, panels: false, room: false, ambient: false };
  return {
    walls: lightOf(addedAv(through({ ...none, room: true, modelled: true }))),
    rest: lightOf(addedAv([...through({ ...none, panels: true }), ...ambientParts(scene, spot)])),
  };
}

const lightOf = (av: number | null): number => (av === null ? 0 : 2 ** av);

function roomReadRow(stops: number): RowSeed {
  return {
    row: "calibration",
    name: "Room as metered",
    detail: "every light shaded from the meter at the shadow cheek",
    stops,
    restsOn: "metered",
    sigmaStops: ROOM_READ_SIGMA_STOPS,
    cause: "room",
    inputs: [quantityInput("metered against modelled", stops, "stop", 2)],
    formula: "stops = log2((shaded reading − panels − ambient) / room as modelled)",
    source: "your shaded reading",
  };
}

/** The room's own light with every head off, where it was measured. */
export function ambientParts(scene: Scene, spot: Spot): Ledger[] {
  const { room, exposure, meter } = scene.setup;
  if (room.ambientLx === null || !(room.ambientLx > 0)) return [];
  const light = room.ambientLx * exposure.shutterS;
  const row: RowSeed = {
    row: "energy",
    name: "Ambient",
    detail: `${Math.round(room.ambientLx)} lx over ${exposure.shutterMark} s, every head off`,
    stops: Math.log2((light * exposure.iso) / LEVEL_C),
    restsOn: "metered",
    sigmaStops: 0.1,
    cause: "ambient",
    inputs: [
      quantityInput("illuminance E", room.ambientLx, "lx", 1),
      quantityInput("shutter t", exposure.shutterS, "s", 4),
    ],
    formula: "Av = log2(E·t·S/250)",
    source: "your reading; exposure equation, ISO 2720:1974",
  };
  return [chainOf("ambient", [row, receptorRow(meter, spot.receptor)])];
}

/** What a reading says at the working ISO and shutter, the meter's offset added: the scale of predictions. */
export function believedAv(setup: Setup, reading: Reading): number {
  const { exposure, meter, lights } = setup;
  const light = lights.find(({ id }) => id === reading.lightId);
  const metersTime = light ? light.head.kind === "continuous" : exposure.medium === "continuous";
  const time = metersTime ? Math.log2(exposure.shutterS / reading.shutterS) : 0;
  return reading.av + meter.offsetStops + Math.log2(exposure.iso / reading.iso) + time;
}

/** Flux leaving the front as set, lm·s, at the ledger's own figures: what maps and pictures multiply by. */
export function settingFlux(setup: Setup, lit: Lit): number {
  const { before, shutter, calibration } = lit.rows;
  const stops = [...before, ...shutter, ...calibration].reduce((sum, row) => sum + row.stops, 0);
  return (2 ** stops * LEVEL_C) / setup.exposure.iso / lit.axial;
}

/** M (lx·s) of a light's straight way over a sheet of points, nothing in between; shape columns × rows. */
export function predictMap(
  engine: Engine,
  setup: Setup,
  lit: Lit,
  sheet: PointSheet,
  axis: Vec3 | "front",
  receptor: ReceptorKind,
): Float64Array {
  const flux = settingFlux(engine.sceneOf(setup).setup, lit);
  const map = falloffMap(lit.front, sheet, axis, { kind: receptor });
  for (let i = 0; i < map.length; i++) map[i] = flux * (map[i] as number);
  return map;
}
