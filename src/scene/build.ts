/**
 * A setup as a scene: everything placed by the same geometry that the predictor uses (fronts, panels, nose,
 * camera), put into one mesh with its tree. Pure: the same setup and options give the same bytes. What is built
 * in blocks (sitters, eyes, the room's things, lights) may be kept: a moved light then builds lights alone.
 */

import { cameraField, noseTips, type Setup } from "../setup/index.ts";
import { addScaled, type Vec3 } from "../units/index.ts";
import { type Block, blockOf, joinBlocks, type Piece } from "./assemble.ts";
import { type LightPieces, lightPieces } from "./lights.ts";
import { diffuse, grey, hairMaterials, skinMaterial, standardMaterials } from "./materials.ts";
import { finish, newDraft, tube } from "./part.ts";
import { eyesPiece, lookOf, personPieces } from "./person.ts";
import { stillLifePieces, tableTopM } from "./still-life.ts";
import { backdropPiece, furniturePieces, panelPieces, roomPiece, wallNames } from "./studio.ts";
import type { Group, Material, Scene, SceneCamera, SceneEmitter, SceneOptions } from "./types.ts";

/** From the nose tip down to the seat: as the body of the setup room. */
const noseOverSeatM = 0.745;
/** Depth under the seat that the trousers take up. */
const seatSinkM = 0.03;

/** Blocks of the last scene, by kind. It only saves time: a scene built with one has the same bytes as without. */
export type SceneCache = Map<Kind, { readonly key: string; readonly block: Block }>;
type Kind = "at rest" | "sitters" | "eyes" | "set";

export const newSceneCache = (): SceneCache => new Map();

/** Hand in the same `cache` for every state of a setup under work, and only what changed is built again. */
export function buildScene(setup: Setup, options: SceneOptions = {}, cache: SceneCache = newSceneCache()): Scene {
  const { subject, camera, panels, backdrop, room } = setup;
  const { gaze } = options;
  const equipment = options.equipment ?? "shown";
  const lights = setup.lights.map((light, i) => lightPieces(setup, light, i, equipment === "hidden"));
  const lightsBlock = blockOf(
    lights.flatMap(({ face, equipment: gear }) => [...optional(face), ...(equipment === "absent" ? [] : gear)]),
  );
  const blocks = [
    sittersBlock(setup, options, cache),
    kept(cache, "eyes", [subject, camera, gaze], () => eyesOfSitters(setup, options)),
    kept(cache, "set", [panels, backdrop, room, subject, options.room], () => setPieces(setup, options)),
    lightsBlock,
  ];
  const { mesh, materials, groups, hidden, bounds, bvh } = joinBlocks(blocks, palette(setup, options, lights));
  const emitters = lights.map((each) => emitterOf(each, groups));
  return {
    ...{ mesh, materials, groups, hidden, bounds, bvh, emitters },
    camera: sceneCamera(setup, options.depthOfField === true),
  };
}

/**
 * Sitters in their pose, by the tree that they have looking straight ahead: turning a head fits it anew and builds
 * none. It is made so without a cache too, so that bytes never depend on one.
 */
function sittersBlock(setup: Setup, options: SceneOptions, cache: SceneCache): Block {
  const { subject, sitters } = setup;
  const { cut, hair, detail, objects } = options;
  const ahead = { ...subject, headYawDeg: 0, headPitchDeg: 0, bodyYawDeg: 0 };
  const inputs = [sitters, cut, hair, detail, objects];
  const rest = kept(cache, "at rest", [ahead, ...inputs], () => subjectPieces({ ...setup, subject: ahead }, options));
  if (JSON.stringify(subject) === JSON.stringify(ahead)) return rest;
  return kept(cache, "sitters", [subject, ...inputs], () => subjectPieces(setup, options), rest);
}

/** The cached block where everything it depends on is as it was. */
function kept(
  cache: SceneCache,
  kind: Kind,
  inputs: readonly unknown[],
  make: () => readonly Piece[],
  like: Block | null = null,
): Block {
  const key = JSON.stringify(inputs);
  const last = cache.get(kind);
  if (last?.key === key) return last.block;
  const block = blockOf(make(), like);
  cache.set(kind, { key, block });
  return block;
}

function setPieces(setup: Setup, options: SceneOptions): readonly Piece[] {
  return [
    ...panelPieces(setup),
    ...optional(backdropPiece(setup, setup.subject.kind === "object" ? tableTopM(setup) : 0)),
    ...(options.room === false ? [] : [roomPiece(setup), ...furniturePieces(setup)]),
  ];
}

/** The camera as the document places it, focused at the nose. */
export function sceneCamera(setup: Setup, depthOfField: boolean): SceneCamera {
  const field = cameraField(setup);
  const aperture = 2 ** (setup.exposure.apertureAv / 2);
  return {
    position: field.position,
    forward: field.forward,
    right: field.right,
    up: field.up,
    fovYDeg: (2 * Math.atan(field.tanHalfHeight) * 180) / Math.PI,
    aspect: field.tanHalfWidth / field.tanHalfHeight,
    lensRadiusM: depthOfField ? setup.camera.focalLengthMm / 2000 / aperture : 0,
    focusM: field.focusM,
  };
}

const optional = (piece: Piece | null): readonly Piece[] => (piece === null ? [] : [piece]);

function subjectPieces(setup: Setup, options: SceneOptions): readonly Piece[] {
  if (setup.subject.kind === "object") return stillLifePieces(setup, options.objects ?? ["vase"]);
  return noseTips(setup).flatMap((nose, i) => {
    const mark = markOf(i);
    const person = personPieces(setup, nose, lookOf(setup, options, i), mark);
    return setup.subject.pose === "seated" ? [...person, stool(nose, mark)] : person;
  });
}

function eyesOfSitters(setup: Setup, options: SceneOptions): readonly Piece[] {
  if (setup.subject.kind === "object") return [];
  const gaze = options.gaze ?? "camera";
  const lookAt = gaze === "camera" ? cameraField(setup).position : gaze;
  return noseTips(setup).map((nose, i) => eyesPiece(setup, nose, lookAt, markOf(i)));
}

/** Tells the sitters of a group apart: "", "#2", "#3"… */
const markOf = (i: number): string => (i === 0 ? "" : `#${i + 1}`);

/** What a seated sitter sits on. */
function stool(nose: Vec3, mark: string): Piece {
  const seat = Math.max(0.1, nose[1] - noseOverSeatM - seatSinkM);
  const under: Vec3 = [nose[0], seat, nose[2] - 0.125];
  const draft = newDraft();
  tube(draft, [addScaled(under, [0, 1, 0], -0.05), under], () => 0.17, 28);
  tube(draft, [[under[0], 0.03, under[2]], addScaled(under, [0, 1, 0], -0.05)], () => 0.03, 12);
  tube(
    draft,
    [
      [under[0], 0.002, under[2]],
      [under[0], 0.03, under[2]],
    ],
    () => 0.2,
    28,
  );
  return { name: `stool${mark}`, kind: "furniture", ownerId: null, parts: [finish(draft, "stool")] };
}

function palette(setup: Setup, options: SceneOptions, lights: readonly LightPieces[]): Record<string, Material> {
  const own: Record<string, Material> = {
    ...standardMaterials,
    ...hairMaterials,
    skin: skinMaterial(options.skin ?? "light"),
    cloth: diffuse("clothing", grey(options.clothing ?? 0.06)),
    backdrop: diffuse("backdrop", grey(setup.backdrop?.reflectance ?? 0.18)),
  };
  for (const wall of wallNames) own[`wall:${wall}`] = diffuse(`${wall} wall`, grey(setup.room.reflectance[wall]));
  for (const panel of setup.panels) {
    const name = `panel:${panel.id}`;
    own[name] =
      panel.finish === "mirror"
        ? { kind: "mirror", name: panel.name, reflectance: grey(panel.reflectance) }
        : diffuse(panel.name, grey(panel.reflectance));
  }
  lights.forEach(({ light }, i) => {
    own[`emitter:${i}`] = { kind: "emitter", name: `front of ${light.tag}`, emitterIndex: i };
  });
  return own;
}

function emitterOf({ light, front, face }: LightPieces, groups: readonly Group[]): SceneEmitter {
  const group = face === null ? undefined : groups.find((each) => each.name === face.name);
  return {
    lightId: light.id,
    tag: light.tag,
    front,
    firstTriangle: group?.firstTriangle ?? 0,
    triangleCount: group?.triangleCount ?? 0,
    outline: Float32Array.from(front.outline.flat()),
    areaM2: front.areaM2,
    radiusM: group === undefined ? Math.max(light.modifier.widthM, 0.02) / 2 : 0,
  };
}
