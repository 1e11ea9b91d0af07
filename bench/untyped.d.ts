/** The parts of three and three-mesh-bvh that benches use: the packages carry no types of their own that we install. */

declare module "three" {
  export class Vector3 {
    x: number;
    y: number;
    z: number;
    set(x: number, y: number, z: number): this;
  }
  export class Ray {
    origin: Vector3;
    direction: Vector3;
    constructor();
  }
  export class BufferAttribute {
    constructor(array: Float32Array | Uint32Array, size: number);
  }
  export class BufferGeometry {
    setAttribute(name: string, attribute: BufferAttribute): this;
    setIndex(attribute: BufferAttribute): this;
  }
  export const DoubleSide: number;
}

declare module "three-mesh-bvh" {
  import type { BufferGeometry, Ray } from "three";

  export const SAH: number;
  export class MeshBVH {
    constructor(geometry: BufferGeometry, options?: { strategy?: number; maxLeafSize?: number; indirect?: boolean });
    raycastFirst(
      ray: Ray,
      side: number,
      near: number,
      far: number,
    ): { readonly distance: number; readonly faceIndex: number } | null;
  }
}
