/**
 * A light's front as the tracer reads it: packed numbers that both twins share, points sampled on it, the
 * luminance of a point in a direction (photometry's rules P7 to P9: hot centre, grid, lobe, measured beam), and
 * the closed form of the whole outline (P6). Luminances are π·L per unit of flux, 1/m²: a plain front has 1/A.
 *
 * Sampling is by solid angle: rectangles after Ureña, Fajardo & King 2013, other outlines as a fan of spherical
 * triangles after Arvo 1995 (both from memory); far away outlines of many corners are sampled by area, where the
 * two differ little and area is cheaper.
 */

import { clip, fluxAlong, isInside } from "../photometry/index.ts";
import {
  CORNERS_AT,
  EMITTER_STRIDE,
  type EmitterKind,
  KINDS,
  type PackedEmitters,
  WEB_PHI,
  WEB_THETA,
} from "./emitter-pack.ts";
import { createFanSampler, type FanSampler } from "./spherical-fan.ts";
import { sampleSphericalRectangle, setRectangle } from "./spherical-rectangle.ts";

/** Where a sample landed. One object per emitter, overwritten by each call. */
export interface LightSample {
  x: number;
  y: number;
  z: number;
  /** Unit direction from the receiver and distance, m. */
  dx: number;
  dy: number;
  dz: number;
  distance: number;
  /** Per solid angle, 1/sr; 0 when nothing was sampled; points: 1 (`light` is then an illuminance across the ray). */
  pdf: number;
  /** π·L toward the receiver, 1/m², all factors in; points: π·I/d². */
  light: number;
  /** π·L of an even Lambertian front of equal flux: what the closed form integrates. */
  plain: number;
}

/** An emitter ready for the inner loops. */
export interface EmitterSampler {
  readonly kind: EmitterKind;
  readonly areaM2: number;
  readonly sample: LightSample;
  /** Draws a point seen from (x, y, z); fills `sample`. Returns false when the receiver is behind. */
  draw(x: number, y: number, z: number, u: number, v: number): boolean;
  /** Density by which `draw` would have chosen direction (dx, dy, dz) that meets the front at `distance`, 1/sr. */
  density(x: number, y: number, z: number, dx: number, dy: number, dz: number, distance: number): number;
  /** π·L of the spot that a ray from (x, y, z) along (dx, dy, dz) meets at `distance`. */
  seen(x: number, y: number, z: number, dx: number, dy: number, dz: number, distance: number): number;
  /** ∫ plain·max(0, cos) dω over all that `draw` may choose, unit normal (nx, ny, nz): the closed form. */
  unshadowed(x: number, y: number, z: number, nx: number, ny: number, nz: number): number;
}

/** The sampler of emitter `index`. Each worker makes its own: scratch numbers live inside. */
export function createEmitter(packed: PackedEmitters, index: number): EmitterSampler {
  const d = packed.data.subarray(EMITTER_STRIDE * index, EMITTER_STRIDE * (index + 1));
  const at = (i: number): number => d[i] as number;
  const [cx, cy, cz, rx, ry, rz, ux, uy, uz] = [at(0), at(1), at(2), at(3), at(4), at(5), at(6), at(7), at(8)];
  const [nx, ny, nz, areaM2, corners] = [at(9), at(10), at(11), at(12), at(13)];
  const [gridRatio, gridOpen, lobe, hot, softM, webAt] = [at(14), at(15), at(16), at(17), at(18), at(20)];
  const kind = KINDS[at(19)] as EmitterKind;
  const special = gridRatio > 0 || lobe !== 1 || webAt >= 0;
  const xy = Float64Array.from(d.subarray(CORNERS_AT, CORNERS_AT + 2 * corners));
  const clipped = new Float64Array(2 * corners + 12);
  const clippedNext = new Float64Array(2 * corners + 12);
  const reach2 = at(21);
  const rectangle = corners === 4 && isRectangle(xy);
  const fan: FanSampler = createFanSampler(xy, corners);
  const sample: LightSample = {
    x: 0.5,
    y: 0.5,
    z: 0.5,
    dx: 0.5,
    dy: 0.5,
    dz: 0.5,
    distance: 0.5,
    pdf: 0.5,
    light: 0.5,
    plain: 0.5,
  };

  /** π·L at (px, py) of the front, direction to the receiver (dx, dy, dz) in the front's frame. */
  const luminanceAt = (px: number, py: number, dx: number, dy: number, dz: number): number => {
    let light = plainAt(px, py);
    if (!special) return light;
    if (gridRatio > 0) light *= gridPart(gridRatio, gridOpen, dx, dy, dz);
    if (webAt >= 0) light *= (Math.PI * webIntensity(packed.webs, webAt, dx, dy, dz)) / dz;
    else if (lobe !== 1) light *= 0.5 * (lobe + 1) * dz ** (lobe - 1);
    return light;
  };
  const plainAt = (px: number, py: number): number => {
    if (hot === 0) return 1 / areaM2;
    const rho = rimFraction(xy, corners, px, py);
    return (1 - hot * rho * rho) / ((1 - hot / 2) * areaM2);
  };
  /** Intensity over flux of a point toward direction (dx, dy, dz) of its frame, 1/sr. */
  const intensity = (dx: number, dy: number, dz: number): number => {
    if (kind === "bare") return 1 / (4 * Math.PI);
    const grid = gridRatio > 0 ? (dz > 0 ? gridPart(gridRatio, gridOpen, dx, dy, dz) : 0) : 1;
    if (webAt >= 0) return grid * webIntensity(packed.webs, webAt, dx, dy, dz);
    return dz > 0 ? (grid * (lobe + 1) * dz ** lobe) / (2 * Math.PI) : 0;
  };

  const [left, right] = [Math.min(xy[0] ?? 0, xy[4] ?? 0), Math.max(xy[0] ?? 0, xy[4] ?? 0)];
  const [low, high] = [Math.min(xy[1] ?? 0, xy[5] ?? 0), Math.max(xy[1] ?? 0, xy[5] ?? 0)];
  /** Behind a grid only a window of ±h·w/t about the receiver's foot is seen: no sample goes beside it. */
  const windowed = rectangle && gridRatio > 0;
  function seeRectangle(lx: number, ly: number, h: number): number {
    if (!windowed) return setRectangle(left, low, right, high, lx, ly, h);
    const w = h / gridRatio;
    return setRectangle(
      Math.max(left, lx - w),
      Math.max(low, ly - w),
      Math.min(right, lx + w),
      Math.min(high, ly + w),
      lx,
      ly,
      h,
    );
  }

  function draw(x: number, y: number, z: number, u: number, v: number): boolean {
    const ox = x - cx;
    const oy = y - cy;
    const oz = z - cz;
    const lx = ox * rx + oy * ry + oz * rz;
    const ly = ox * ux + oy * uy + oz * uz;
    const h = ox * nx + oy * ny + oz * nz;
    sample.pdf = 0;
    if (kind !== "outline") return drawPoint(x, y, z, lx, ly, h, u, v);
    if (h <= 1e-5) return false;
    let px: number;
    let py: number;
    const near = lx * lx + ly * ly + h * h < reach2;
    if (rectangle) {
      seeRectangle(lx, ly, h);
      const spot = sampleSphericalRectangle(u, v);
      px = spot.x;
      py = spot.y;
      sample.pdf = spot.pdf;
    } else {
      const spot = near ? fan.byAngle(lx, ly, h, u, v) : fan.byArea(u, v);
      px = spot.x;
      py = spot.y;
      sample.pdf = spot.pdf;
    }
    const ex = px - lx;
    const ey = py - ly;
    const d2 = ex * ex + ey * ey + h * h;
    const far = Math.sqrt(d2);
    if (!rectangle && !near) sample.pdf = (d2 * far) / (areaM2 * h);
    aim(x, y, z, cx + px * rx + py * ux, cy + px * ry + py * uy, cz + px * rz + py * uz);
    sample.plain = 1 / areaM2;
    sample.light = luminanceAt(px, py, -ex / far, -ey / far, h / far);
    return sample.pdf > 0;
  }

  function drawPoint(
    x: number,
    y: number,
    z: number,
    lx: number,
    ly: number,
    h: number,
    u: number,
    v: number,
  ): boolean {
    const d2 = lx * lx + ly * ly + h * h;
    const far = Math.sqrt(d2);
    sample.pdf = 1;
    sample.light = (Math.PI * intensity(lx / far, ly / far, h / far)) / d2;
    sample.plain = 0;
    // Soft shadows of a small body: a spot on a sphere of its radius; the level stays the centre's.
    const cosine = 1 - 2 * u;
    const sine = Math.sqrt(Math.max(0, 1 - cosine * cosine));
    const turn = 2 * Math.PI * v;
    aim(x, y, z, cx + softM * sine * Math.cos(turn), cy + softM * sine * Math.sin(turn), cz + softM * cosine);
    // The ray stops before the lamp's own body.
    sample.distance = Math.max(0, sample.distance - 2 * softM);
    return sample.light > 0;
  }

  function aim(x: number, y: number, z: number, tx: number, ty: number, tz: number): void {
    const ex = tx - x;
    const ey = ty - y;
    const ez = tz - z;
    const distance = Math.sqrt(ex * ex + ey * ey + ez * ez);
    sample.x = tx;
    sample.y = ty;
    sample.z = tz;
    sample.dx = ex / distance;
    sample.dy = ey / distance;
    sample.dz = ez / distance;
    sample.distance = distance;
  }

  function density(x: number, y: number, z: number, dx: number, dy: number, dz: number, distance: number): number {
    if (kind !== "outline") return 0;
    const ox = x - cx;
    const oy = y - cy;
    const oz = z - cz;
    const lx = ox * rx + oy * ry + oz * rz;
    const ly = ox * ux + oy * uy + oz * uz;
    const h = ox * nx + oy * ny + oz * nz;
    if (h <= 1e-5) return 0;
    if (rectangle) {
      const angle = seeRectangle(lx, ly, h);
      return angle > 0 ? 1 / angle : 0;
    }
    if (lx * lx + ly * ly + h * h < reach2) {
      const angle = fan.setReceiver(lx, ly, h);
      return angle > 0 ? 1 / angle : 0;
    }
    const cosine = -(dx * nx + dy * ny + dz * nz);
    return cosine > 0 ? (distance * distance) / (areaM2 * cosine) : 0;
  }

  function seen(x: number, y: number, z: number, dx: number, dy: number, dz: number, distance: number): number {
    const cosine = -(dx * nx + dy * ny + dz * nz);
    if (kind !== "outline" || cosine <= 0) return 0;
    const [ox, oy, oz] = [x + distance * dx - cx, y + distance * dy - cy, z + distance * dz - cz];
    return luminanceAt(
      ox * rx + oy * ry + oz * rz,
      ox * ux + oy * uy + oz * uz,
      -(dx * rx + dy * ry + dz * rz),
      -(dx * ux + dy * uy + dz * uz),
      cosine,
    );
  }

  function unshadowed(x: number, y: number, z: number, ax: number, ay: number, az: number): number {
    if (kind !== "outline") return 0;
    const ox = x - cx;
    const oy = y - cy;
    const oz = z - cz;
    const lx = ox * rx + oy * ry + oz * rz;
    const ly = ox * ux + oy * uy + oz * uz;
    const h = ox * nx + oy * ny + oz * nz;
    if (h <= 1e-5) return 0;
    const la = ax * rx + ay * ry + az * rz;
    const lb = ax * ux + ay * uy + az * uz;
    const lc = ax * nx + ay * ny + az * nz;
    const offset = -la * lx - lb * ly - lc * h;
    let outline = xy;
    let n = corners;
    if (windowed) {
      const w = h / gridRatio;
      n = clip(xy, n, 1, 0, w - lx, clipped);
      n = clip(clipped, n, -1, 0, w + lx, clippedNext);
      n = clip(clippedNext, n, 0, 1, w - ly, clipped);
      n = clip(clipped, n, 0, -1, w + ly, clippedNext);
      outline = clippedNext;
      if (n === 0) return 0;
    }
    if (!isInside(outline, n, la, lb, offset)) {
      n = clip(outline, n, la, lb, offset, clipped);
      outline = clipped;
    }
    return n === 0 ? 0 : Math.max(0, fluxAlong(outline, n, lx, ly, h, la, lb, lc)) / areaM2;
  }

  return { kind, areaM2, sample, draw, density, seen, unshadowed };
}

/** What a square-cell grid passes along a direction of the front's frame (rule P8). */
function gridPart(ratio: number, open: number, dx: number, dy: number, dz: number): number {
  const gx = 1 - (ratio * Math.abs(dx)) / dz;
  const gy = 1 - (ratio * Math.abs(dy)) / dz;
  return gx > 0 && gy > 0 ? gx * gy * open : 0;
}

/** I/Φ of a measured beam toward a direction of the front's frame, 1/sr, bilinear in the table. */
function webIntensity(webs: Float32Array, at: number, dx: number, dy: number, dz: number): number {
  const theta = (Math.acos(Math.min(1, Math.max(-1, dz))) * 180) / Math.PI;
  const turn = (Math.atan2(dx, dy) * 180) / Math.PI;
  const phi = (turn < 0 ? turn + 360 : turn) / 5;
  const t = Math.min(WEB_THETA - 2, Math.floor(theta));
  const p = Math.min(WEB_PHI - 2, Math.floor(phi));
  const [ft, fp] = [theta - t, phi - p];
  const row = at + t * WEB_PHI + p;
  const near = (webs[row] as number) * (1 - fp) + (webs[row + 1] as number) * fp;
  const far = (webs[row + WEB_PHI] as number) * (1 - fp) + (webs[row + WEB_PHI + 1] as number) * fp;
  return near * (1 - ft) + far * ft;
}

/** ρ of the hot centre: 0 in the middle, 1 on the outline, constant on outlines shrunk toward the middle. */
function rimFraction(xy: Float64Array, corners: number, px: number, py: number): number {
  let most = 0;
  for (let i = 0, j = corners - 1; i < corners; j = i++) {
    const [x0, y0, x1, y1] = [xy[2 * j], xy[2 * j + 1], xy[2 * i], xy[2 * i + 1]] as [number, number, number, number];
    // Outward normal of the edge; its offset is the distance at which ρ = 1.
    const [ex, ey] = [y1 - y0, x0 - x1];
    most = Math.max(most, (ex * px + ey * py) / (ex * x0 + ey * y0));
  }
  return Math.min(1, most);
}

/** Sides along the frame's axes, as photometry's makers lay them: lower right, upper right, upper left, lower left. */
function isRectangle(xy: Float64Array): boolean {
  const [ax, ay, bx, by, qx, qy, dx, dy] = xy as unknown as number[];
  const same = (a: number | undefined, b: number | undefined): boolean => Math.abs((a ?? 0) - (b ?? 0)) < 1e-6;
  return same(ax, bx) && same(qx, dx) && same(by, qy) && same(ay, dy);
}
