/** The parts of three and of the packages built on it that benches use: three carries no types. */

declare module "three" {
  export class Vector3 {
    constructor(x?: number, y?: number, z?: number);
    x: number;
    y: number;
    z: number;
    set(x: number, y: number, z: number): this;
  }
  export class Color {
    constructor(r: number, g: number, b: number);
    setRGB(r: number, g: number, b: number): this;
  }
  export class Object3D {
    readonly up: Vector3;
    readonly position: Vector3;
    lookAt(target: Vector3): void;
    add(other: Object3D): this;
    updateMatrixWorld(): void;
  }
  export class Scene extends Object3D {
    background: Color | null;
  }
  export class MeshPhysicalMaterial {
    constructor(values: Readonly<Record<string, number>>);
    readonly color: Color;
  }
  export class Mesh extends Object3D {
    constructor(geometry: BufferGeometry, material: MeshPhysicalMaterial);
  }
  export class RectAreaLight extends Object3D {
    constructor(colour: number, intensity: number, width: number, height: number);
  }
  export class PerspectiveCamera extends Object3D {
    constructor(fovY: number, aspect: number, near: number, far: number);
  }
  export class WebGLRenderTarget {
    readonly width: number;
  }
  export class WebGLRenderer {
    constructor(options: Readonly<Record<string, boolean>>);
    setPixelRatio(ratio: number): void;
    setSize(width: number, height: number): void;
    getContext(): WebGL2RenderingContext;
    readRenderTargetPixels(
      target: WebGLRenderTarget,
      x: number,
      y: number,
      width: number,
      height: number,
      into: Float32Array,
    ): void;
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

declare module "three-gpu-pathtracer" {
  import type { PerspectiveCamera, Scene, WebGLRenderer, WebGLRenderTarget } from "three";

  export class WebGLPathTracer {
    constructor(renderer: WebGLRenderer);
    readonly samples: number;
    readonly target: WebGLRenderTarget;
    setScene(scene: Scene, camera: PerspectiveCamera): void;
    renderSample(): void;
    reset(): void;
  }
}
