/**
 * A setup as a scene: everything placed by the same geometry that the predictor uses (fronts, panels, nose,
 * camera), put into one mesh with its tree. Pure: the same setup and options give the same bytes.
 */

import { cameraField, noseTips, type Setup } from "../setup/index.ts";
import { addScaled, type Vec3 } from "../units/index.ts";
import { assemble, type Piece } from "./assemble.ts";
import { buildBvh } from "./bvh.ts";
import { type LightPieces, lightPieces } from "./lights.ts";
import { diffuse, grey, hairMaterial, skinMaterial, standardMaterials } from "./materials.ts";
import { finish, newDraft, tube } from "./part.ts";
import { cutOf, personPieces } from "./person.ts";
import { stillLifePieces, tableTopM } from "./still-life.ts";
import { backdropPiece, furniturePieces, panelPieces, roomPiece, wallNames } from "./studio.ts";
import type { Group, Material, Scene, SceneCamera, SceneEmitter, SceneOptions } from "./types.ts";

/** From the nose tip down to the seat: as the body of the setup room. */
const noseOverSeatM = 0.745;
/** Depth under the seat that the trousers take up. */
const seatSinkM = 0.03;

export function buildScene(setup: Setup, options: SceneOptions = {}): Scene {
  const equipment = options.equipment ?? "shown";
  const lights = setup.lights.map((light, i) => lightPieces(setup, light, i, equipment === "hidden"));
  const pieces: readonly Piece[] = [
    ...subjectPieces(setup, options),
    ...panelPieces(setup),
    ...optional(backdropPiece(setup, setup.subject.kind === "object" ? tableTopM(setup) : 0)),
    ...(options.room === false ? [] : [roomPiece(setup), ...furniturePieces(setup)]),
    ...lights.flatMap(({ face, equipment: gear }) => [...optional(face), ...(equipment === "absent" ? [] : gear)]),
  ];
  const { mesh, materials, groups, hidden, bounds } = assemble(pieces, palette(setup, options, lights));
  return {
    mesh,
    materials,
    groups,
    hidden,
    bounds,
    emitters: lights.map((each) => emitterOf(each, groups)),
    camera: sceneCamera(setup, options.depthOfField === true),
    bvh: buildBvh(mesh),
  };
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
  const tips = noseTips(setup);
  const gaze = options.gaze ?? "camera";
  const lookAt = gaze === "camera" ? cameraField(setup).position : null;
  return tips.flatMap((nose, i) => {
    const mark = i === 0 ? "" : `#${i + 1}`;
    const look = {
      cut: cutOf(options, i),
      spectacles: setup.subject.spectacles,
      detail: options.detail ?? (tips.length > 2 ? "low" : "full"),
      lookAt,
      gaze: gaze === "camera" ? { azimuthDeg: 0, elevationDeg: 0 } : gaze,
    } as const;
    const person = personPieces(setup, nose, look, mark);
    return setup.subject.pose === "seated" ? [...person, stool(nose, mark)] : person;
  });
}

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
  const hair = hairMaterial(options.hair ?? setup.subject.hair);
  const own: Record<string, Material> = {
    ...standardMaterials,
    skin: skinMaterial(options.skin ?? "light"),
    hair,
    // Brows and lashes are darker than fair hair, and no lighter than brown.
    brow:
      options.hair === "grey" ? hair : hairMaterial(hair.eumelanin < 1 ? "mid" : hair.eumelanin > 5 ? "black" : "dark"),
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
