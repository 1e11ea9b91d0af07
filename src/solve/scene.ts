/**
 * A setup made ready for questions: fronts, spots, what stands in the way, the room as a box with its
 * panels; and a short number for each group of inputs, so that whatever was computed from the same inputs is
 * found again. A scene is derived from its setup alone and holds nothing that the setup does not say.
 */

import {
  type Front,
  frontGain,
  type Occluder,
  type ReceptorKind,
  type ReflectingPanel,
  type RoomBox,
} from "../photometry/index.ts";
import {
  frontOf,
  type Id,
  type Light,
  type MeterAim,
  type MeterPlace,
  occludersOf,
  type Panel,
  type PointName,
  panelNormal,
  panelOutline,
  pointOf,
  type Setup,
} from "../setup/index.ts";
import { addScaled, type Vec3 } from "../units/index.ts";
import { lensPosition, towards } from "./face.ts";
import { frontText, type Kept, keep, type Numbering, numbering } from "./kept.ts";
import { type LightRows, lightRows } from "./light-rows.ts";

/** A light with everything about it that does not depend on the meter. */
export interface Lit {
  readonly light: Light;
  readonly front: Front;
  /** Equal for equal fronts in equal places. */
  readonly frontId: number;
  /** Intensity on the axis per unit of flux, far away, 1/sr: what the modifier's row counts from. */
  readonly axial: number;
  readonly rows: LightRows;
}

/** Where a meter is held, and how: one question to the kernel. */
export interface Spot {
  /** Equal for equal spots within scenes of equal `spotsId`. */
  readonly key: string;
  readonly position: Vec3;
  /** Unit vector along which the receptor looks. */
  readonly axis: Vec3;
  readonly receptor: ReceptorKind;
  readonly words: string;
}

export interface Scene {
  readonly setup: Setup;
  readonly lights: ReadonlyMap<Id, Lit>;
  /** What stands between fronts and spots: head, body, panels. */
  readonly occluders: readonly Occluder[];
  /** Head and body alone. */
  readonly people: readonly Occluder[];
  readonly panels: readonly ReflectingPanel[];
  readonly box: RoomBox;
  readonly spotsId: number;
  readonly shadeId: number;
  readonly roomId: number;
}

/** Memory that scenes of one solver share. */
export interface SceneMemory {
  readonly numbers: Numbering;
  readonly fronts: Kept<{ readonly front: Front; readonly id: number; readonly axial: number }>;
  readonly webs: WeakMap<object, number>;
  readonly spots: Kept<Spot>;
}

export const sceneMemory = (): SceneMemory => ({
  numbers: numbering(),
  fronts: keep(4000),
  webs: new WeakMap(),
  spots: keep(8000),
});

/** The scene of a setup. */
export function makeScene(setup: Setup, memory: SceneMemory): Scene {
  const { head, body, panels } = occludersOf(setup);
  const people = head === null ? body : [head, ...body];
  const { subject, room, backdrop, camera } = setup;
  const sitter = JSON.stringify([
    ...[subject.kind, subject.pose, subject.noseHeightM, subject.headYawDeg, subject.headPitchDeg, subject.bodyYawDeg],
    subject.group,
  ]);
  const standing = JSON.stringify([setup.panels.map(panelText), subject.noseHeightM]);
  const seen = JSON.stringify([
    ...[camera.position, camera.aim, camera.focalLengthMm, camera.sensorWidthMm, camera.sensorHeightMm, camera.upright],
    backdrop && [backdrop.xM, backdrop.zM, backdrop.widthM, backdrop.heightM],
    [room.widthM, room.heightM, room.crossFromLeftM, room.crossFromBackM],
  ]);
  const box = boxOf(setup);
  return {
    setup,
    lights: new Map(setup.lights.map((light) => [light.id, litOf(setup, light, memory)])),
    occluders: [...people, ...panels.map((panel) => panel.occluder)],
    people,
    panels: setup.panels.map((panel) => reflecting(setup, panel)),
    box,
    spotsId: memory.numbers.of(`spots ${sitter} ${seen}`),
    shadeId: memory.numbers.of(`shade ${sitter} ${standing}`),
    roomId: memory.numbers.of(`room ${JSON.stringify(box)} ${standing}`),
  };
}

/** The spot of a named place; a meter aimed at "the light" needs to know which. */
export function spotOf(scene: Scene, place: MeterPlace, lit: Lit | null, memory: SceneMemory): Spot {
  const aim = place.aim === "light" ? `light ${lit?.frontId ?? "-"}` : place.aim;
  const key = `${place.point} ${place.receptor} ${aim}`;
  return memory.spots.get(`${scene.spotsId} ${key}`, () => {
    const { position, normal, words } = pointOf(scene.setup, place.point);
    return {
      key,
      position,
      axis: axisAt(scene.setup, position, normal, place.aim, lit),
      receptor: place.receptor,
      words,
    };
  });
}

/** A spot anywhere, for groups and maps. */
export const freeSpot = (position: Vec3, axis: Vec3, receptor: ReceptorKind, words: string): Spot => ({
  key: `at ${position.join(" ")} ${axis.join(" ")} ${receptor}`,
  position,
  axis,
  receptor,
  words,
});

/** How a meter is usually held at a point: flat along the backdrop and at the lens, dome to the camera elsewhere. */
export function usualPlace(point: PointName): MeterPlace {
  const flat = point === "lens" || point.startsWith("backdrop-");
  return flat ? { point, receptor: "disc", aim: "normal" } : { point, receptor: "dome", aim: "camera" };
}

function axisAt(setup: Setup, position: Vec3, normal: Vec3, aim: MeterAim, lit: Lit | null): Vec3 {
  if (aim === "normal") return normal;
  const axis = towards(position, aim === "light" && lit ? lit.front.centre : lensPosition(setup));
  return axis[0] === 0 && axis[1] === 0 && axis[2] === 0 ? normal : axis;
}

function litOf(setup: Setup, light: Light, memory: SceneMemory): Lit {
  const made = frontOf(setup, light);
  const { front, id, axial } = memory.fronts.get(frontText(made, memory.webs), () => ({
    front: made,
    id: memory.numbers.of(`front ${frontText(made, memory.webs)}`),
    axial: axialIntensity(made),
  }));
  return { light, front, frontId: id, axial, rows: lightRows(setup, light, front, axial) };
}

/** A beam with a dark middle is counted from the bare tube instead: no logarithm of nothing. */
function axialIntensity(front: Front): number {
  const ahead = addScaled(front.centre, front.normal, 1);
  const back: Vec3 = [-front.normal[0], -front.normal[1], -front.normal[2]];
  const { beam } = frontGain(front, ahead, back, { kind: "disc" });
  return beam > 0 ? beam : 1 / (4 * Math.PI);
}

/** The room about the cross under the nose, world axes. */
function boxOf({ room }: Setup): RoomBox {
  const left = -room.crossFromLeftM;
  const back = -room.crossFromBackM;
  return {
    min: [left, 0, back],
    max: [left + room.widthM, room.heightM, back + room.depthM],
    reflectance: room.reflectance,
  };
}

function reflecting(setup: Setup, panel: Panel): ReflectingPanel {
  const [a, b, c, d] = panelOutline(setup, panel) as [Vec3, Vec3, Vec3, Vec3];
  return { outline: [a, b, c, d], normal: panelNormal(panel), reflectance: panel.reflectance, finish: panel.finish };
}

const panelText = (panel: Panel): readonly unknown[] => [
  ...[panel.place, panel.facingDeg, panel.tiltDeg, panel.widthM, panel.heightM],
  ...[panel.reflectance, panel.finish],
];
