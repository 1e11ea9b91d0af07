/**
 * What takes up space in the room as convex solids: the parts of a light, and what it must not stand in. The column
 * and the arm are tubes of 2 cm, legs of 1.5 cm lying 5 cm over the floor, a counterweight is a ball of 8 cm, a
 * camera's tripod a cone 0.35 m wide (usual sizes, common practice, no source). Metres, world axes.
 */

import { addScaled, type Fault, fault, type Vec3 } from "../units/index.ts";
import { cameraField, pictureSidesMm } from "./camera-field.ts";
import { panelOutline } from "./fronts.ts";
import { bodyOf, headOf } from "./head.ts";
import { type LightBody, lightBody } from "./light-body.ts";
import { gapM, type Solid, solid } from "./solid.ts";
import type { Panel, Room, Setup } from "./types.ts";

const tubeM = 0.02;
const legM = 0.015;
const legHeightM = 0.05;
const weightM = 0.08;
const tripodM = 0.35;
const cameraM = 0.1;
const sitterHeadM = 0.13;

export type PartName = "front" | "head" | "column" | "leg" | "arm" | "counterweight";

export interface Part {
  readonly name: PartName;
  readonly solid: Solid;
}

/** Something that stands there already: how it is called, and how much room it wants about it. */
export interface Thing {
  readonly name: string;
  readonly kind: "furniture" | "camera" | "sitter" | "paper" | "panel" | "picture";
  readonly solid: Solid;
}

/** The parts of a light where it stands. */
export function partsOf(body: LightBody): readonly Part[] {
  const parts: Part[] = [
    { name: "front", solid: solid([...body.front, ...body.ring, ...(body.grid ?? [])]) },
    { name: "head", solid: solid(body.head) },
  ];
  const { stand, boom } = body;
  if (stand !== null) {
    parts.push({ name: "column", solid: solid([stand.foot, stand.top], tubeM) });
    const hub: Vec3 = [stand.foot[0], legHeightM, stand.foot[2]];
    for (const [x, , z] of stand.legEnds) parts.push({ name: "leg", solid: solid([hub, [x, legHeightM, z]], legM) });
  }
  if (boom !== null) {
    parts.push({ name: "arm", solid: solid([boom.load, boom.tail], tubeM) });
    if (boom.counterweightKg > 0) parts.push({ name: "counterweight", solid: solid([boom.tail], weightM) });
  }
  return parts;
}

/** All that lights must not stand in: furniture, camera, sitters, paper, panels, and the picture itself. */
export function thingsIn(setup: Setup): readonly Thing[] {
  return [
    ...setup.room.furniture.map(
      (piece): Thing => ({ name: `the ${piece.name}`, kind: "furniture", solid: boxOf(setup.room, piece) }),
    ),
    ...cameraThings(setup),
    ...sitterThings(setup),
    ...paperThings(setup),
    ...setup.panels.map((panel): Thing => panelThing(setup, panel)),
    { name: "the picture", kind: "picture", solid: pictureOf(setup) },
  ];
}

export const panelThing = (setup: Setup, panel: Panel): Thing => ({
  name: `the ${panel.name}`,
  kind: "panel",
  solid: solid(panelOutline(setup, panel)),
});

function boxOf(room: Room, piece: Room["furniture"][number]): Solid {
  const [x, z] = [piece.fromLeftM - room.crossFromLeftM, piece.fromBackM - room.crossFromBackM];
  return solid(
    [0, piece.widthM].flatMap((dx) =>
      [0, piece.heightM].flatMap((y) => [0, piece.depthM].map((dz): Vec3 => [x + dx, y, z + dz])),
    ),
  );
}

function cameraThings({ camera }: Setup): readonly Thing[] {
  const { xM, yM, zM } = camera.position;
  const feet = Array.from({ length: 6 }, (_, i): Vec3 => {
    const angle = (i * Math.PI) / 3;
    return [xM + tripodM * Math.sin(angle), 0, zM + tripodM * Math.cos(angle)];
  });
  return [
    { name: "the camera", kind: "camera", solid: solid([[xM, yM, zM]], cameraM) },
    { name: "the camera's tripod", kind: "camera", solid: solid([...feet, [xM, yM, zM]]) },
  ];
}

/** Everybody of a group sits like the first. */
function sitterThings(setup: Setup): readonly Thing[] {
  const [head, body] = [headOf(setup), bodyOf(setup)];
  if (head === null || body === null) return [];
  const group = setup.subject.group.length > 0 ? setup.subject.group : [{ xM: 0, yM: 0, zM: 0 }];
  return group.flatMap(({ xM, yM, zM }) => {
    const at = (p: Vec3): Vec3 => [p[0] + xM, p[1] + yM, p[2] + zM];
    const name = "the sitter";
    const limbs = body.capsules.flatMap((each): Thing[] =>
      each.kind === "capsule" ? [{ name, kind: "sitter", solid: solid([at(each.a), at(each.b)], each.radiusM) }] : [],
    );
    return [{ name, kind: "sitter", solid: solid([at(head.centre)], sitterHeadM) }, ...limbs];
  });
}

function paperThings({ backdrop }: Setup): readonly Thing[] {
  if (backdrop === null) return [];
  const { name, xM, zM, widthM, heightM } = backdrop;
  const corners = [-0.5, 0.5].flatMap((side) => [0, heightM].map((y): Vec3 => [xM + side * widthM, y, zM]));
  return [{ name: `the ${name.toLowerCase()}`, kind: "paper", solid: solid(corners) }];
}

/** The camera's field from the lens to the paper, or to the wall behind the sitter, focused far away: at its widest. */
function pictureOf(setup: Setup): Solid {
  const { position, forward, right, up } = cameraField(setup);
  const end = setup.backdrop?.zM ?? -setup.room.crossFromBackM;
  const depth = Math.max(0.1, (end - position[2]) / Math.min(-0.1, forward[2]));
  const ahead = addScaled(position, forward, depth);
  const [halfWidth, halfHeight] = pictureSidesMm(setup.camera).map(
    (mm) => (mm / 2 / setup.camera.focalLengthMm) * depth,
  );
  const corners = [-1, 1].flatMap((u) =>
    [-1, 1].map((v) => addScaled(addScaled(ahead, right, u * (halfWidth ?? 0)), up, v * (halfHeight ?? 0))),
  );
  return solid([position, ...corners]);
}

/** Two lights, or a light and a thing, that stand in each other; never silent. One fault for each pair. */
export function clashFaults(setup: Setup): readonly Fault[] {
  const faults: Fault[] = [];
  const things = thingsIn(setup).filter(({ kind }) => kind !== "picture" && kind !== "furniture");
  const lights = setup.lights.map((light) => partsOf(lightBody(setup, light)));
  lights.forEach((parts, i) => {
    const tag = setup.lights[i]?.tag ?? "";
    const add = (other: string, mend: string): void => {
      faults.push(fault("in-the-way", `${tag} stands in ${other}`, `lights[${i}].place`, mend));
    };
    const hit = things.filter((thing) => parts.some((part) => gapM(part.solid, thing.solid, 0) < 0));
    for (const name of new Set(hit.map((thing) => thing.name))) add(name, `Move ${tag}, or move ${name}.`);
    lights.slice(0, i).forEach((others, j) => {
      const touching = parts.some((part) => others.some((other) => gapM(part.solid, other.solid, 0) < 0));
      if (touching) add(setup.lights[j]?.tag ?? "", "Move one of them, or hang it on a boom.");
    });
  });
  return faults;
}
