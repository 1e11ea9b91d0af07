/**
 * What the picture is traced from: triangles, what they are made of, what shines, and the camera. Lengths in
 * metres, world axes of the setup (docs/architecture.md); colours are linear Rec. 709 (sRGB primaries, D65),
 * so that luminance is 0.2126 R + 0.7152 G + 0.0722 B. Everything is plain data in flat arrays that the CPU
 * twin, a worker and a graphics card can read alike.
 */

import type { Rgb } from "../colour/index.ts";
import type { Front } from "../photometry/index.ts";
import type { HairClass, Id } from "../setup/index.ts";
import type { Vec3 } from "../units/index.ts";

export type { Rgb };

/** Indexed triangles. A triangle runs counter-clockwise seen from outside; normals point outward. */
export interface Mesh {
  /** xyz per vertex, m. */
  readonly positions: Float32Array;
  /** Unit shading normal xyz per vertex. */
  readonly normals: Float32Array;
  /** Unit direction of the strands from root to tip, xyz per vertex; 0 0 0 where there is no hair. */
  readonly tangents: Float32Array;
  /** Multiplies the material's reflectance, linear RGB per vertex 0…1; 1 1 1 mostly (lips, brows, iris, grain). */
  readonly tints: Float32Array;
  /** Three vertices per triangle. */
  readonly indices: Uint32Array;
  /** Index into `Scene.materials`, per triangle. */
  readonly materials: Uint16Array;
}

/** What a triangle is made of. Every kind conserves energy; `reflectance` never exceeds 1. */
export type Material =
  | { readonly kind: "diffuse"; readonly name: string; readonly reflectance: Rgb }
  /** A rough dielectric coat over a diffuse base: lips, the white of an eye, glaze, lacquer. */
  | {
      readonly kind: "glossy";
      readonly name: string;
      readonly reflectance: Rgb;
      /** GGX alpha, 0…1. */
      readonly roughness: number;
      readonly ior: number;
    }
  /** Diffuse base under an oily coat; light entering leaves within `scatterM` (mean free path per channel). */
  | {
      readonly kind: "skin";
      readonly name: string;
      /** Luminous reflectance Y, 0…1: what a contact instrument reads; equals the luminance of `reflectance`. */
      readonly luminous: number;
      readonly reflectance: Rgb;
      readonly roughness: number;
      readonly ior: number;
      readonly scatterM: Rgb;
    }
  /** A surface of fibres along the vertex tangents; one fibre scatters as `hair` says. */
  | {
      readonly kind: "hair";
      readonly name: string;
      /** Concentrations, the paper's arbitrary unit. */
      readonly eumelanin: number;
      readonly pheomelanin: number;
      /** Absorption inside the fibre, per fibre radius, linear RGB. */
      readonly absorption: Rgb;
      /** Longitudinal and azimuthal roughness 0…1, after Chiang et al. 2016. */
      readonly betaM: number;
      readonly betaN: number;
      /** Tilt of the cuticle scales, degrees. */
      readonly tiltDeg: number;
      readonly ior: number;
    }
  /** Clear dielectric. `thin`: both faces in one surface (a pane), light passes straight on. */
  | {
      readonly kind: "glass";
      readonly name: string;
      readonly ior: number;
      readonly tint: Rgb;
      readonly thin: boolean;
    }
  | { readonly kind: "mirror"; readonly name: string; readonly reflectance: Rgb }
  /** Face of a light's front: shines from its outer side, black otherwise. */
  | { readonly kind: "emitter"; readonly name: string; readonly emitterIndex: number };

/**
 * One light's front. With an area, it is the triangles `firstTriangle…` of the mesh, which lie in the front's
 * plane and fill its outline; without (bare tube, small reflector, small measured lamp) it is a point at
 * `front.centre` and has none. The luminance in a direction is uniform times the factors the front carries:
 * hot centre, grid, lobe or web, as photometry defines them. The lip is real geometry in the mesh; the grid
 * is not: apply photometry's product form.
 */
export interface SceneEmitter {
  readonly lightId: Id;
  readonly tag: string;
  readonly front: Front;
  readonly firstTriangle: number;
  readonly triangleCount: number;
  /** Corners of the outline, xyz, counter-clockwise seen from in front; empty for a point. */
  readonly outline: Float32Array;
  readonly areaM2: number;
  /** Small shapes of equal flux for which the mesh has a body but no front (a bare tube): radius for soft rays, m. */
  readonly radiusM: number;
}

/** A pinhole, or a thin lens when `lensRadiusM` is above 0. Pixel (0, 0) is the upper left. */
export interface SceneCamera {
  readonly position: Vec3;
  readonly forward: Vec3;
  readonly right: Vec3;
  readonly up: Vec3;
  /** Full vertical angle of the whole frame, degrees. */
  readonly fovYDeg: number;
  /** Width over height of the frame. */
  readonly aspect: number;
  readonly lensRadiusM: number;
  /** Distance from the lens to the sharp plane along `forward`, m. */
  readonly focusM: number;
}

export type GroupKind =
  | "head"
  | "eyes"
  | "spectacles"
  | "hair"
  | "body"
  | "object"
  | "room"
  | "furniture"
  | "backdrop"
  | "panel"
  | "front"
  | "shell"
  | "stand";

/** A named run of triangles. Names: "head", "hair", "room", "panel:ID", "stand:ID", with "#2"… for a group of sitters. */
export interface Group {
  readonly name: string;
  readonly kind: GroupKind;
  /** The light, panel or piece of furniture it belongs to; null otherwise. */
  readonly ownerId: Id | null;
  readonly firstTriangle: number;
  readonly triangleCount: number;
  readonly firstVertex: number;
  readonly vertexCount: number;
  /** Stands, booms, shells: shade light, but a camera ray passes through when the scene is built so. */
  readonly hiddenFromCamera: boolean;
}

/**
 * Bounding volume hierarchy in 32-byte nodes, two views of one buffer. Node i has in `floats` at 8i the
 * corner min xyz, at 8i + 4 the corner max xyz; in `words` at 8i + 3 `first`, at 8i + 7 `count`. count > 0:
 * a leaf of the triangles order[first … first + count). count = 0: children at `first` and `first + 1`.
 * Node 0 is the root; node 1 is unused, so that pairs of children share a 64-byte line.
 */
export interface Bvh {
  readonly buffer: ArrayBuffer;
  readonly floats: Float32Array;
  readonly words: Uint32Array;
  readonly nodeCount: number;
  /** Deepest leaf, root 0: the stack needs as many entries. */
  readonly depth: number;
  /** Triangle numbers in leaf order. */
  readonly order: Uint32Array;
  /** Triangles in leaf order: one corner and the two edges from it, nine numbers each, so that a leaf is read in one run. */
  readonly triangles: Float32Array;
}

export interface Bounds {
  readonly min: Vec3;
  readonly max: Vec3;
}

/** Everything a renderer needs. */
export interface Scene {
  readonly mesh: Mesh;
  readonly materials: readonly Material[];
  readonly emitters: readonly SceneEmitter[];
  readonly camera: SceneCamera;
  readonly bounds: Bounds;
  readonly groups: readonly Group[];
  /** Per triangle: 1 where a camera ray passes through. */
  readonly hidden: Uint8Array;
  readonly bvh: Bvh;
}

export type SkinClass = "very-light" | "light" | "intermediate" | "tan" | "brown" | "dark" | "very-dark";
export type HairCut = "short" | "bob" | "long" | "tied";
export type ObjectShape = "sphere" | "cylinder" | "box" | "vase" | "bottle";

/** What the document does not say. All have defaults. */
export interface SceneOptions {
  readonly skin?: SkinClass;
  readonly hair?: HairClass;
  readonly cut?: HairCut;
  /** Clothing, luminous reflectance; 0.06 by default. */
  readonly clothing?: number;
  /** Where the eyes look, degrees in the head's frame; "camera" (default) looks into the lens. */
  readonly gaze?: "camera" | { readonly azimuthDeg: number; readonly elevationDeg: number };
  /** Shapes on the table of a product setup. */
  readonly objects?: readonly ObjectShape[];
  /** Stands, booms and shells: seen (default), shading without being seen, or left out. */
  readonly equipment?: "shown" | "hidden" | "absent";
  /** Walls, floor, ceiling and furniture; true by default. */
  readonly room?: boolean;
  /** Working aperture gives depth of field; false by default (all sharp). */
  readonly depthOfField?: boolean;
  /** Rows of the face mesh per head: "full" (default) or "low" for thumbnails and groups. */
  readonly detail?: "full" | "low";
}
