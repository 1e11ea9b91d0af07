/**
 * The page's half of bench/tracers: the same matt scene by our tracer in module workers and by three-gpu-pathtracer in
 * WebGL 2, each handing its mixed luminance over as it gets better. Their light sends L = weight/area, so that both pictures carry
 * the same display-linear values.
 */

import {
  BufferAttribute,
  BufferGeometry,
  Color,
  Mesh,
  MeshPhysicalMaterial,
  PerspectiveCamera,
  RectAreaLight,
  Scene as ThreeScene,
  Vector3,
  WebGLRenderer,
} from "three";
import { WebGLPathTracer } from "three-gpu-pathtracer";
import { denoiseLayer, type Layer, packScene, type RenderRequest } from "../src/picture/index.ts";
import type { Scene } from "../src/scene/index.ts";
import type { Setup } from "../src/setup/index.ts";
import { add, distance, subtract, type Vec3 } from "../src/units/index.ts";
import { createRenderer } from "../src/work/index.ts";
import { diffuseScene } from "./diffuse-scene.ts";

export interface Step {
  readonly samples: number;
  readonly ms: number;
  /** Luminance per pixel, base64 of 32-bit floats. */
  readonly luminance: string;
  /** Ours only: after the filter, and the time with it. */
  readonly filtered: string | null;
  readonly filteredMs: number;
}

async function traceOurs(
  setup: Setup,
  request: RenderRequest,
  weights: readonly number[],
  most: number,
): Promise<readonly Step[]> {
  const packed = packScene(diffuseScene(setup));
  const renderer = createRenderer();
  await renderer.render(packed, { ...request, seed: 9 }, { noiseStops: 0, mostSamples: 1 });
  const steps: Step[] = [];
  let spent = 0;
  const start = performance.now();
  const goal = { noiseStops: 0, mostSamples: most, weights };
  await renderer.render(packed, request, goal, ({ layers, guides, samples }) => {
    const traced = performance.now();
    const ms = traced - start - spent;
    const filtered = layers.map((layer) => denoiseLayer(layer, guides));
    const filteredMs = ms + performance.now() - traced;
    steps.push({ samples, ms, filteredMs, luminance: mixOf(layers, weights), filtered: mixOf(filtered, weights) });
    spent += performance.now() - traced;
  });
  renderer.end();
  return steps;
}

/** `counts` rising; a step is handed over after each. */
async function traceTheirs(
  setup: Setup,
  { width, height, bounces }: RenderRequest,
  weights: readonly number[],
  counts: readonly number[],
): Promise<{ readonly renderer: string; readonly compileMs: number; readonly steps: readonly Step[] }> {
  const scene = diffuseScene(setup);
  const renderer = new WebGLRenderer({ antialias: false });
  renderer.setPixelRatio(1);
  renderer.setSize(width, height);
  const gl = renderer.getContext();
  const info = gl.getExtension("WEBGL_debug_renderer_info");
  const tracer = new WebGLPathTracer(renderer);
  Object.assign(tracer, { bounces: bounces + 1, renderDelay: 0, minSamples: 0, fadeDuration: 0 });
  Object.assign(tracer, { renderToCanvas: false, rasterizeScene: false, dynamicLowRes: false, filterGlossyFactor: 0 });
  const began = performance.now();
  tracer.setScene(threeScene(scene, weights), threeCamera(scene, width / height));
  const floats = new Float32Array(4 * width * height);
  const look = (): void => renderer.readRenderTargetPixels(tracer.target, 0, 0, width, height, floats);
  while (tracer.samples < 1) {
    tracer.renderSample();
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  look();
  const compileMs = performance.now() - began;
  tracer.reset();
  const steps: Step[] = [];
  let ms = 0;
  for (const samples of counts) {
    const start = performance.now();
    while (tracer.samples < samples) {
      tracer.renderSample();
      // One pixel read back waits for the draw.
      renderer.readRenderTargetPixels(tracer.target, 0, 0, 1, 1, floats);
    }
    ms += performance.now() - start;
    look();
    steps.push({ samples, ms, luminance: luminanceOf(floats, width, height), filtered: null, filteredMs: ms });
    await new Promise((resolve) => setTimeout(resolve, 0));
  }
  return { renderer: info ? String(gl.getParameter(info.UNMASKED_RENDERER_WEBGL)) : "?", compileMs, steps };
}

function threeScene({ mesh, materials, emitters }: Scene, weights: readonly number[]): ThreeScene {
  const made = new ThreeScene();
  made.background = new Color(0, 0, 0);
  materials.forEach((material, m) => {
    if (material.kind !== "diffuse") return;
    const triangles = Array.from(mesh.materials.keys()).filter((t) => mesh.materials[t] === m);
    if (triangles.length === 0) return;
    const corners = triangles.flatMap((t) => [...mesh.indices.subarray(3 * t, 3 * t + 3)]);
    const pick = (from: Float32Array): Float32Array =>
      Float32Array.from(corners.flatMap((v) => [...from.subarray(3 * v, 3 * v + 3)]));
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(pick(mesh.positions), 3));
    geometry.setAttribute("normal", new BufferAttribute(pick(mesh.normals), 3));
    const matt = new MeshPhysicalMaterial({ roughness: 1, metalness: 0, specularIntensity: 0, side: 2 });
    matt.color.setRGB(...material.reflectance);
    made.add(new Mesh(geometry, matt));
  });
  emitters.forEach(({ front, areaM2 }, i) => {
    const [a, b, , d] = front.outline as readonly [Vec3, Vec3, Vec3, Vec3];
    const light = new RectAreaLight(0xffffff, (weights[i] ?? 0) / areaM2, distance(a, b), distance(a, d));
    light.up.set(...subtract(d, a));
    light.position.set(...front.centre);
    light.lookAt(new Vector3(...add(front.centre, front.normal)));
    made.add(light);
  });
  return made;
}

function threeCamera({ camera }: Scene, aspect: number): PerspectiveCamera {
  const made = new PerspectiveCamera(camera.fovYDeg, aspect, 0.01, 100);
  made.up.set(...camera.up);
  made.position.set(...camera.position);
  made.lookAt(new Vector3(...add(camera.position, camera.forward)));
  made.updateMatrixWorld();
  return made;
}

/** From rgba, rows from below, to rows from above. */
function luminanceOf(rgba: Float32Array, width: number, height: number): string {
  const out = new Float32Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = 4 * ((height - 1 - y) * width + x);
      out[y * width + x] = 0.2126 * rgba[i]! + 0.7152 * rgba[i + 1]! + 0.0722 * rgba[i + 2]!;
    }
  }
  return packed(out);
}

function mixOf(layers: readonly Layer[], weights: readonly number[]): string {
  const out = new Float32Array((layers[0]?.rgb.length ?? 0) / 3);
  layers.forEach(({ rgb }, k) => {
    const w = weights[k] ?? 0;
    for (let i = 0; i < out.length; i++) {
      out[i]! += w * (0.2126 * rgb[3 * i]! + 0.7152 * rgb[3 * i + 1]! + 0.0722 * rgb[3 * i + 2]!);
    }
  });
  return packed(out);
}

function packed(floats: Float32Array): string {
  const bytes = new Uint8Array(floats.buffer);
  let text = "";
  for (let i = 0; i < bytes.length; i += 32_768) text += String.fromCharCode(...bytes.subarray(i, i + 32_768));
  return btoa(text);
}

Object.assign(globalThis, { traceOurs, traceTheirs, ready: true });
