/**
 * The CPU twin: a path tracer that follows one path for all lights and writes each light's layer. At every matt
 * surface each front is sampled over the solid angle it fills (emitter.ts); glossy coats combine that with
 * directions of their own by the balance heuristic (Veach & Guibas 1995); the first matt surface keeps the parts of
 * the ratio estimator apart (sums.ts); paths go on through the room under Russian roulette. Light is π·L per unit
 * of flux (types.ts). Deterministic: a pixel's numbers depend on seed, pixel and sample alone.
 */

import { cameraRay, newRay } from "./camera-rays.ts";
import { coatDensity, coatDirection, coatReflects, coatValue, fresnel, sampleCoat } from "./coat.ts";
import { drawRadius, MOST_UNLIKE, radiusDensity, SKIN_LIFT } from "./diffusion.ts";
import { createEmitter, type EmitterSampler } from "./emitter.ts";
import { type Fibre, makeFibre } from "./fibre.ts";
import { GUIDE_STRIDE } from "./guides.ts";
import { COATED, DIFFUSE, EMITTER, GLASS, HAIR, MIRROR, type PackedScene } from "./pack.ts";
import { hashPair, sobolSample } from "./random.ts";
import { type Exit, HAIR_WALKS, type StrandLight, walkStrands } from "./strands.ts";
import { luminanceOf, SUM_STRIDE } from "./sums.ts";
import { createMeeting, type Surface } from "./surface.ts";
import type { RenderRequest, Tile } from "./types.ts";

/** Panes and mirrors a path may pass beyond its bounces. */
const MOST_CLEAR = 24;
/** Random dimensions per surface: lights 4, then choice, direction 2, roulette. */
const DIMENSIONS = 8;

/** What of a coated surface gathers light: all, its coat, what lies under it. */
const BOTH = 0;
const COAT = 1;
const BASE = 2;
/** How a path came to a front: counted in full, already counted by sampling the front, or shared. */
const FULL = 0;
const COUNTED = 1;
const SHARED = 2;

export interface Tracer {
  /**
   * Adds `samples` paths per pixel of the tile, the first of them number `first`, to every layer's sums and to the
   * guides (guides.ts). Both are the tile's own, row by row.
   */
  trace(tile: Tile, first: number, samples: number, sums: readonly Float32Array[], guides: Float32Array): void;
  /** Rays so far. */
  rays(): number;
}

/** A tracer for one scene and request. `sums` of `trace` has one array per emitter asked for, then the ambient one. */
export function createTracer(scene: PackedScene, request: RenderRequest): Tracer {
  const meeting = createMeeting(scene);
  const s = meeting.surface;
  const lights: readonly EmitterSampler[] = request.emitters.map((index) => createEmitter(scene.emitters, index));
  const layerOf = new Int32Array(scene.emitters.count).fill(-1);
  request.emitters.forEach((index, layer) => {
    layerOf[index] = layer;
  });
  const ambientLayer = request.ambient ? lights.length : -1;
  const { materials, coats } = scene;
  const fibres = fibresOf(scene);
  const ray = newRay();
  const strandLights: StrandLight[] = lights.map(() => ({ x: 0.5, y: 0.5, z: 0.5, cosine: 0.5, weight: 0.5 }));
  const gathered = new Float64Array(3 * lights.length);
  const exit: Exit = { x: 0.5, y: 0.5, z: 0.5, throughput: new Float64Array(3) };
  const { width, height, bounces, shadows } = request;

  // The path: what it carries, where it goes, how it came to be, and the frame it stands in. Fields of an object hold
  // numbers as they are; a variable that closures share boxes every number it is given.
  const path = {
    tr: 0.5,
    tg: 0.5,
    tb: 0.5,
    ox: 0.5,
    oy: 0.5,
    oz: 0.5,
    dx: 0.5,
    dy: 0.5,
    dz: 0.5,
    coatPdf: 0.5,
    fromX: 0.5,
    fromY: 0.5,
    fromZ: 0.5,
    t1x: 0.5,
    t1y: 0.5,
    t1z: 0.5,
    t2x: 0.5,
    t2y: 0.5,
    t2z: 0.5,
    ix: 0.5,
    iy: 0.5,
    iz: 0.5,
    vx: 0.5,
    vy: 0.5,
    vz: 0.5,
  };
  let arrival: number = FULL;
  let into: readonly Float32Array[] = [];
  let pixel = 0;
  let isOdd = false;

  function addRest(layer: number, r: number, g: number, b: number): void {
    const sums = into[layer] as Float32Array;
    const at = SUM_STRIDE * pixel;
    sums[at + 5] = (sums[at + 5] as number) + r;
    sums[at + 6] = (sums[at + 6] as number) + g;
    sums[at + 7] = (sums[at + 7] as number) + b;
    if (isOdd) sums[at + 11] = (sums[at + 11] as number) + luminanceOf(r, g, b);
  }

  /** N, A and G of the ratio estimator for the first surface. */
  function addDirect(layer: number, r: number, g: number, b: number, closed: number, sampled: number): void {
    const sums = into[layer] as Float32Array;
    const at = SUM_STRIDE * pixel;
    sums[at] = (sums[at] as number) + r;
    sums[at + 1] = (sums[at + 1] as number) + g;
    sums[at + 2] = (sums[at + 2] as number) + b;
    sums[at + 3] = (sums[at + 3] as number) + closed;
    sums[at + 4] = (sums[at + 4] as number) + sampled;
    if (!isOdd) return;
    sums[at + 8] = (sums[at + 8] as number) + luminanceOf(r, g, b);
    sums[at + 9] = (sums[at + 9] as number) + closed;
    sums[at + 10] = (sums[at + 10] as number) + sampled;
  }

  function trace(
    tile: Tile,
    first: number,
    samples: number,
    sums: readonly Float32Array[],
    guides: Float32Array,
  ): void {
    into = sums;
    for (let y = tile.y; y < tile.y + tile.height; y++) {
      for (let x = tile.x; x < tile.x + tile.width; x++) {
        pixel = (y - tile.y) * tile.width + x - tile.x;
        const seed = hashPair(hashPair(request.seed, y * width + x), 1);
        for (let i = first; i < first + samples; i++) {
          isOdd = (i & 1) === 1;
          tracePath(x, y, i, seed, guides);
        }
      }
    }
  }

  function tracePath(x: number, y: number, index: number, seed: number, guides: Float32Array): void {
    const jx = sobolSample(index, 0, seed);
    const jy = sobolSample(index, 1, seed);
    const lens = scene.camera.lensRadiusM > 0;
    cameraRay(
      scene.camera,
      width,
      height,
      x + jx,
      y + jy,
      lens ? sobolSample(index, 2, seed) : 0,
      lens ? sobolSample(index, 3, seed) : 0,
      ray,
    );
    path.ox = ray.ox;
    path.oy = ray.oy;
    path.oz = ray.oz;
    path.dx = ray.dx;
    path.dy = ray.dy;
    path.dz = ray.dz;
    path.tr = 1;
    path.tg = 1;
    path.tb = 1;
    arrival = FULL;
    let camera = true;
    let clear = 0;
    let ambient = ambientLayer >= 0;
    // What is seen through glass guides the filter, not the glass: distance passed so far, or negative once it is told.
    let through = 0;
    for (let depth = 0; ; ) {
      const met = meeting.meet(path.ox, path.oy, path.oz, path.dx, path.dy, path.dz, camera);
      if (through >= 0 && !(met && s.kind === GLASS)) {
        addGuides(guides, met, index === 0, through);
        through = -1;
      }
      if (ambient && (met ? depth > 0 && scene.walls[s.triangle] === 1 : depth + clear > 0)) {
        addRest(ambientLayer, path.tr, path.tg, path.tb);
        ambient = false;
      }
      if (!met) return;
      if (s.kind === EMITTER) {
        meetFront();
        return;
      }
      camera = false;
      if (s.kind === GLASS || s.kind === MIRROR) {
        const isLast = ++clear > MOST_CLEAR;
        let passed = false;
        if (s.kind === MIRROR) reflect(true);
        else passed = passGlass(sobolSample(index, 4 + DIMENSIONS * depth + 7, hashPair(seed, clear)));
        if (through >= 0 && passed && !isLast) through += s.distance;
        else if (through >= 0) {
          addGuides(guides, met, index === 0, through);
          through = -1;
        }
        if (isLast) return;
        continue;
      }
      const base = 4 + DIMENSIONS * depth;
      const isFirst = depth === 0 && clear === 0;
      if (depth > bounces) return;
      if (s.kind === HAIR) {
        if (!bounceHair(index, base, seed, isFirst)) return;
      } else {
        const viewZ = -(path.dx * s.nx + path.dy * s.ny + path.dz * s.nz);
        const spreads = isFirst && s.kind === COATED && (materials[s.material + 9] as number) > 0;
        if (spreads) wander(index, base, seed, viewZ);
        gather(index, base, seed, isFirst, viewZ, spreads ? BASE : BOTH);
        if (depth === bounces && s.kind === DIFFUSE) return;
        if (!bounceCoated(index, base, seed, viewZ, spreads)) return;
      }
      depth++;
      if (!survives(sobolSample(index, base + 7, seed))) return;
    }
  }

  /** Russian roulette on what the path still carries. */
  function survives(u: number): boolean {
    const keep = Math.min(0.95, Math.max(path.tr, path.tg, path.tb));
    if (!(u < keep)) return false;
    path.tr /= keep;
    path.tg /= keep;
    path.tb /= keep;
    return true;
  }

  /** The path met a front: what it shines on that light's layer, unless sampling has counted it. */
  function meetFront(): void {
    const index = materials[s.material + 8] as number;
    const layer = layerOf[index] as number;
    if (layer < 0 || !s.outside || arrival === COUNTED) return;
    const light = (lights[layer] as EmitterSampler).seen(
      path.ox,
      path.oy,
      path.oz,
      path.dx,
      path.dy,
      path.dz,
      s.distance,
    );
    let part = 1;
    if (arrival === SHARED) {
      const reach = Math.hypot(s.x - path.fromX, s.y - path.fromY, s.z - path.fromZ);
      const pdf = (lights[layer] as EmitterSampler).density(
        path.fromX,
        path.fromY,
        path.fromZ,
        path.dx,
        path.dy,
        path.dz,
        reach,
      );
      part = path.coatPdf / (path.coatPdf + pdf);
    }
    addRest(layer, path.tr * light * part, path.tg * light * part, path.tb * light * part);
  }

  // Where a path went into skin, and what each channel of the light that comes out here counts.
  const entry: Surface = { ...s };
  const spread = { r: 1, g: 1, b: 1 };
  /** Of each light, what got through where it went in. */
  const through = new Float64Array(lights.length);
  /**
   * Takes what the coat sends back here, then moves on to where the light that the lens sees came into the skin: away in the
   * tangent plane by the profile (diffusion.ts), back along the normal onto the same material. Where none is met
   * it came in here. Every draw counts alike in luminance: energy stays, whatever the surface's shape.
   */
  function wander(index: number, base: number, seed: number, viewZ: number): void {
    gather(index, base, seed, true, viewZ, COAT);
    Object.assign(entry, s);
    const d = [9, 10, 11].map((k) => materials[s.material + k] as number) as [number, number, number];
    const whole = luminanceOf(s.r, s.g, s.b) + 1e-9;
    const [pr, pg, pb] = [(0.2126 * s.r) / whole, (0.7152 * s.g) / whole, (0.0722 * s.b) / whole];
    const u = sobolSample(index, base, seed);
    const channel = u < pg ? 1 : u < pg + pr ? 0 : 2;
    const radius = drawRadius(d[channel] as number, sobolSample(index, base + 1, seed));
    const turn = 2 * Math.PI * sobolSample(index, base + 2, seed);
    frame();
    const [a, b, lift] = [radius * Math.cos(turn), radius * Math.sin(turn), radius + SKIN_LIFT];
    const { nx, ny, nz } = entry;
    const probeX = entry.x + a * path.t1x + b * path.t2x + lift * nx;
    const probeY = entry.y + a * path.t1y + b * path.t2y + lift * ny;
    const probeZ = entry.z + a * path.t1z + b * path.t2z + lift * nz;
    const found = meeting.meet(probeX, probeY, probeZ, -nx, -ny, -nz, false);
    if (!(found && s.material === entry.material && s.outside && s.distance < 2 * lift)) {
      Object.assign(s, entry);
      spread.r = 1;
      spread.g = 1;
      spread.b = 1;
      return;
    }
    s.r = entry.r;
    s.g = entry.g;
    s.b = entry.b;
    const [qr, qg, qb] = [radiusDensity(d[0], radius), radiusDensity(d[1], radius), radiusDensity(d[2], radius)];
    const all = pr * qr + pg * qg + pb * qb;
    spread.r = qr / all;
    spread.g = qg / all;
    spread.b = qb / all;
  }

  /** Light of every front on a matt or coated surface, or one part of it, seen under the cosine `viewZ`. */
  function gather(index: number, base: number, seed: number, isFirst: boolean, viewZ: number, part: number): void {
    const m = s.material;
    const isCoated = s.kind === COATED;
    const alpha = materials[m + 4] as number;
    const eta = materials[m + 5] as number;
    const table = materials[m + 6] as number;
    const ownCoat = isCoated ? coatReflects(coats, table, viewZ) : 0;
    const base0 = isCoated ? (1 - ownCoat) / (1 - (materials[m + 7] as number)) : 1;
    const choice = isCoated ? coatChoice(ownCoat) : 0;
    const r = (path.tr * s.r) / Math.PI;
    const g = (path.tg * s.g) / Math.PI;
    const b = (path.tb * s.b) / Math.PI;
    for (let layer = 0; layer < lights.length; layer++) {
      const light = lights[layer] as EmitterSampler;
      const own = hashPair(seed, 101 + layer);
      const drawn = light.draw(s.sx, s.sy, s.sz, sobolSample(index, base, own), sobolSample(index, base + 1, own));
      const ratio = isFirst && light.kind === "outline" && part !== COAT;
      const y = luminanceOf(r, g, b);
      const open = ratio ? light.unshadowed(s.sx, s.sy, s.sz, s.nx, s.ny, s.nz) : 0;
      if (part === COAT) through[layer] = 0;
      if (!drawn) continue;
      const l = light.sample;
      const cosine = l.dx * s.nx + l.dy * s.ny + l.dz * s.nz;
      const visible = cosine <= 0 || l.light === 0 ? 0 : shadows ? meeting.passes(l.dx, l.dy, l.dz, l.distance) : 1;
      if (part === COAT) through[layer] = visible;
      const weight = visible === 0 ? 0 : (l.light * cosine * visible) / l.pdf;
      const coupled = isCoated && cosine > 0 ? base0 * (1 - coatReflects(coats, table, cosine)) : base0;
      const w = weight * coupled;
      let wr = w;
      let wg = w;
      let wb = w;
      if (part === BASE) {
        // The channels' weights act on what differs from the light where the path went in: noise in colour cancels.
        const here = cosine > 0 ? (through[layer] as number) * ((l.light * cosine * coupled) / l.pdf) : 0;
        const there = ratio ? light.unshadowed(entry.sx, entry.sy, entry.sz, entry.nx, entry.ny, entry.nz) : open;
        const usual = ratio && open > 0 ? here * Math.min(MOST_UNLIKE, there / open) : here;
        wr = usual + spread.r * (w - usual);
        wg = usual + spread.g * (w - usual);
        wb = usual + spread.b * (w - usual);
      }
      if (ratio) addDirect(layer, r * wr, g * wg, b * wb, y * open, cosine > 0 ? (y * l.plain * cosine) / l.pdf : 0);
      else if (part !== COAT) addRest(layer, r * wr, g * wg, b * wb);
      if (isCoated && weight > 0 && part !== BASE) {
        localise(l.dx, l.dy, l.dz);
        const f = coatValue(path.ix, path.iy, path.iz, path.vx, path.vy, path.vz, alpha, eta);
        if (f > 0) {
          const pdf =
            light.kind === "outline"
              ? choice * coatDensity(path.ix, path.iy, path.iz, path.vx, path.vy, path.vz, alpha)
              : 0;
          const k = (f * weight * l.pdf) / (l.pdf + pdf);
          addRest(layer, path.tr * k, path.tg * k, path.tb * k);
        }
      }
    }
  }

  /** Chance of following the coat: its share of what goes on. */
  function coatChoice(coat: number): number {
    const base = luminanceOf(s.r, s.g, s.b);
    return Math.min(0.9, Math.max(0.15, coat / (coat + base * (1 - coat) + 1e-6)));
  }

  // Frame about the shading normal (Duff et al. 2017), made when asked.
  function frame(): void {
    const sign = s.nz >= 0 ? 1 : -1;
    const a = -1 / (sign + s.nz);
    const b = s.nx * s.ny * a;
    path.t1x = 1 + sign * s.nx * s.nx * a;
    path.t1y = sign * b;
    path.t1z = -sign * s.nx;
    path.t2x = b;
    path.t2y = sign + s.ny * s.ny * a;
    path.t2z = -s.ny;
  }

  // A direction and the viewer in that frame, filled by `localise`.
  function localise(lx: number, ly: number, lz: number): void {
    frame();
    path.ix = lx * path.t1x + ly * path.t1y + lz * path.t1z;
    path.iy = lx * path.t2x + ly * path.t2y + lz * path.t2z;
    path.iz = lx * s.nx + ly * s.ny + lz * s.nz;
    path.vx = -(path.dx * path.t1x + path.dy * path.t1y + path.dz * path.t1z);
    path.vy = -(path.dx * path.t2x + path.dy * path.t2y + path.dz * path.t2z);
    path.vz = -(path.dx * s.nx + path.dy * s.ny + path.dz * s.nz);
  }

  /** Goes on from a matt or coated surface; a path that wandered under skin leaves its coat where it went in. */
  function bounceCoated(index: number, base: number, seed: number, viewZ: number, wandered: boolean): boolean {
    const m = s.material;
    const u = sobolSample(index, base + 5, seed);
    const v = sobolSample(index, base + 6, seed);
    const table = materials[m + 6] as number;
    const coat = s.kind === COATED ? coatReflects(coats, table, viewZ) : 0;
    const choice = s.kind === COATED ? coatChoice(coat) : 0;
    if (s.kind === COATED && sobolSample(index, base + 4, seed) < choice) {
      if (wandered) Object.assign(s, entry);
      return bounceOffCoat(choice, u, v);
    }
    frame();
    // Cosine-weighted: value/density is ρ times the coupling.
    const radius = Math.sqrt(u);
    const a = radius * Math.cos(2 * Math.PI * v);
    const b = radius * Math.sin(2 * Math.PI * v);
    const c = Math.sqrt(Math.max(1e-9, 1 - u));
    let k = 1 / (1 - choice);
    if (s.kind === COATED) {
      k *= ((1 - coat) * (1 - coatReflects(coats, table, c))) / (1 - (materials[m + 7] as number));
    }
    path.tr *= k * s.r * (wandered ? spread.r : 1);
    path.tg *= k * s.g * (wandered ? spread.g : 1);
    path.tb *= k * s.b * (wandered ? spread.b : 1);
    arrival = COUNTED;
    leave(
      a * path.t1x + b * path.t2x + c * s.nx,
      a * path.t1y + b * path.t2y + c * s.ny,
      a * path.t1z + b * path.t2z + c * s.nz,
    );
    return path.dx * s.gx + path.dy * s.gy + path.dz * s.gz > 0;
  }

  function bounceOffCoat(choice: number, u: number, v: number): boolean {
    const alpha = materials[s.material + 4] as number;
    localise(path.dx, path.dy, path.dz);
    sampleCoat(path.vx, path.vy, path.vz, alpha, u, v);
    const { x, y, z } = coatDirection;
    if (z <= 0) return false;
    path.coatPdf = choice * coatDensity(x, y, z, path.vx, path.vy, path.vz, alpha);
    if (!(path.coatPdf > 0)) return false;
    const k =
      (coatValue(x, y, z, path.vx, path.vy, path.vz, alpha, materials[s.material + 5] as number) * z) / path.coatPdf;
    path.tr *= k;
    path.tg *= k;
    path.tb *= k;
    arrival = SHARED;
    path.fromX = s.sx;
    path.fromY = s.sy;
    path.fromZ = s.sz;
    leave(
      x * path.t1x + y * path.t2x + z * s.nx,
      x * path.t1y + y * path.t2y + z * s.ny,
      x * path.t1z + y * path.t2z + z * s.nz,
    );
    return path.dx * s.gx + path.dy * s.gy + path.dz * s.gz > 0;
  }

  function leave(x: number, y: number, z: number): void {
    path.ox = s.x;
    path.oy = s.y;
    path.oz = s.z;
    path.dx = x;
    path.dy = y;
    path.dz = z;
  }

  /** Turns the path over the shading normal. A mirror's back is black. */
  function reflect(tinted: boolean): void {
    const k = 2 * (path.dx * s.nx + path.dy * s.ny + path.dz * s.nz);
    if (tinted) {
      const front = s.outside ? 1 : 0;
      path.tr *= front * s.r;
      path.tg *= front * s.g;
      path.tb *= front * s.b;
    }
    arrival = FULL;
    leave(path.dx - k * s.nx, path.dy - k * s.ny, path.dz - k * s.nz);
  }

  /**
   * Reflects or lets through by chance; what goes on keeps how it arrived, for shadow rays see through glass too.
   * True when it went through.
   */
  function passGlass(u: number): boolean {
    const m = s.material;
    const ior = materials[m + 5] as number;
    const thin = materials[m + 8] === 1;
    const eta = s.outside || thin ? ior : 1 / ior;
    const cosine = -(path.dx * s.nx + path.dy * s.ny + path.dz * s.nz);
    const single = fresnel(cosine, eta);
    const back = thin ? (2 * single) / (1 + single) : single;
    if (u < back) {
      reflect(false);
      return false;
    }
    path.tr *= s.r;
    path.tg *= s.g;
    path.tb *= s.b;
    if (thin) {
      leave(path.dx, path.dy, path.dz);
      return true;
    }
    const sine2 = (1 - cosine * cosine) / (eta * eta);
    const k = cosine / eta - Math.sqrt(Math.max(0, 1 - sine2));
    leave(path.dx / eta + k * s.nx, path.dy / eta + k * s.ny, path.dz / eta + k * s.nz);
    return true;
  }

  /** A surface of strands: gathers every light along a walk among them and leaves where the walk comes out. */
  function bounceHair(index: number, base: number, seed: number, isFirst: boolean): boolean {
    const fibre = fibres[s.material / 16] as Fibre;
    // Frame: x along the strand, z as near the normal as it may be.
    let tangent = Math.sqrt(s.tx * s.tx + s.ty * s.ty + s.tz * s.tz);
    if (tangent < 1e-6) {
      frame();
      [s.tx, s.ty, s.tz] = [path.t1x, path.t1y, path.t1z];
      tangent = 1;
    }
    const [xx, xy, xz] = [s.tx / tangent, s.ty / tangent, s.tz / tangent];
    let [yx, yy, yz] = [s.ny * xz - s.nz * xy, s.nz * xx - s.nx * xz, s.nx * xy - s.ny * xx];
    const across = Math.max(1e-6, Math.sqrt(yx * yx + yy * yy + yz * yz));
    [yx, yy, yz] = [yx / across, yy / across, yz / across];
    const [zx, zy, zz] = [xy * yz - xz * yy, xz * yx - xx * yz, xx * yy - xy * yx];
    for (let layer = 0; layer < lights.length; layer++) {
      const light = lights[layer] as EmitterSampler;
      const to = strandLights[layer] as StrandLight;
      const own = hashPair(seed, 101 + layer);
      to.weight = 0;
      if (!light.draw(s.sx, s.sy, s.sz, sobolSample(index, base, own), sobolSample(index, base + 1, own))) continue;
      const l = light.sample;
      to.cosine = l.dx * s.nx + l.dy * s.ny + l.dz * s.nz;
      if (to.cosine <= 1e-4 || l.light === 0) continue;
      to.x = l.dx * xx + l.dy * xy + l.dz * xz;
      to.y = l.dx * yx + l.dy * yy + l.dz * yz;
      to.z = l.dx * zx + l.dy * zy + l.dz * zz;
      to.weight = (l.light * (shadows ? meeting.passes(l.dx, l.dy, l.dz, l.distance) : 1)) / l.pdf;
    }
    const viewX = -(path.dx * xx + path.dy * xy + path.dz * xz);
    const viewY = -(path.dx * yx + path.dy * yy + path.dz * yz);
    const viewZ = -(path.dx * zx + path.dy * zy + path.dz * zz);
    const normalX = s.nx * xx + s.ny * xy + s.nz * xz;
    const normalZ = s.nx * zx + s.ny * zy + s.nz * zz;
    let own = hashPair(hashPair(seed, index), base);
    // A walk casts no ray: at first surfaces many share the rays to the lights, and the last one's way out is followed.
    const table = materials[s.material + 6] as number;
    const walks = isFirst ? HAIR_WALKS : 1;
    let out = false;
    for (let walk = 0; walk < walks; walk++) {
      own = hashPair(own, walk);
      // The second axis lies across the normal.
      out = walkStrands(
        fibre,
        coats,
        table,
        viewX,
        viewY,
        viewZ,
        normalX,
        0,
        normalZ,
        strandLights,
        gathered,
        exit,
        own,
      );
      for (let layer = 0; layer < lights.length; layer++) {
        addRest(
          layer,
          (path.tr * (gathered[3 * layer] as number)) / walks,
          (path.tg * (gathered[3 * layer + 1] as number)) / walks,
          (path.tb * (gathered[3 * layer + 2] as number)) / walks,
        );
      }
    }
    if (!out) return false;
    path.tr *= exit.throughput[0] as number;
    path.tg *= exit.throughput[1] as number;
    path.tb *= exit.throughput[2] as number;
    arrival = COUNTED;
    leave(
      exit.x * xx + exit.y * yx + exit.z * zx,
      exit.x * xy + exit.y * yy + exit.z * zy,
      exit.x * xz + exit.y * yz + exit.z * zz,
    );
    return path.dx * s.gx + path.dy * s.gy + path.dz * s.gz > 0;
  }

  function addGuides(guides: Float32Array, met: boolean, isFirst: boolean, through: number): void {
    const at = GUIDE_STRIDE * pixel;
    const isPlain = met && (s.kind === DIFFUSE || s.kind === COATED);
    guides[at] = (guides[at] as number) + (isPlain ? s.r : 1);
    guides[at + 1] = (guides[at + 1] as number) + (isPlain ? s.g : 1);
    guides[at + 2] = (guides[at + 2] as number) + (isPlain ? s.b : 1);
    guides[at + 13] = (guides[at + 13] as number) + 1;
    if (!met) return;
    guides[at + 3] = (guides[at + 3] as number) + s.nx;
    guides[at + 4] = (guides[at + 4] as number) + s.ny;
    guides[at + 5] = (guides[at + 5] as number) + s.nz;
    guides[at + 6] = (guides[at + 6] as number) + s.x;
    guides[at + 7] = (guides[at + 7] as number) + s.y;
    guides[at + 8] = (guides[at + 8] as number) + s.z;
    if (!isFirst) return;
    guides[at + 9] = s.x;
    guides[at + 10] = s.y;
    guides[at + 11] = s.z;
    guides[at + 12] = through + s.distance;
  }

  return { trace, rays: meeting.rays };
}

function fibresOf(scene: PackedScene): (Fibre | null)[] {
  const { materials } = scene;
  return Array.from({ length: materials.length / 16 }, (_, i) => {
    const m = 16 * i;
    if (materials[m] !== HAIR) return null;
    const at = (k: number): number => materials[m + k] as number;
    return makeFibre([at(9), at(10), at(11)], at(12), at(13), at(14), at(5));
  });
}
