/**
 * The surface a ray meets: position, normals and material of a hit, the frame about its normal, and the way to a
 * light past everything that stands between. Shadow rays leave from the smooth surface that the vertex normals
 * describe (Hanika 2021, "Hacking the Shadow Terminator", from memory), so that coarse triangles cast no steps.
 * Metres, world axes. One surface per tracer, overwritten by each hit.
 */

import type { Hit } from "../scene/index.ts";
import { anyHit, closestHit, newHit, newStack } from "../scene/index.ts";
import { fresnel } from "./coat.ts";
import { GLASS, MATERIAL_STRIDE, type PackedScene } from "./pack.ts";

/** Rays start this far from where they left, m. */
export const LIFT = 1e-4;

export interface Surface {
  triangle: number;
  /** Place of the material's numbers. */
  material: number;
  kind: number;
  distance: number;
  x: number;
  y: number;
  z: number;
  /** Geometric normal toward the viewer; `outside` tells whether that is the mesh's outer side. */
  gx: number;
  gy: number;
  gz: number;
  outside: boolean;
  /** Shading normal on the viewer's side. */
  nx: number;
  ny: number;
  nz: number;
  /** Where rays toward lights begin. */
  sx: number;
  sy: number;
  sz: number;
  /** Reflectance or tint: the material's times the vertices'. */
  r: number;
  g: number;
  b: number;
  /** Direction of the strands, unit or 0. */
  tx: number;
  ty: number;
  tz: number;
}

export interface Meeting {
  readonly surface: Surface;
  /** Nearest surface along a unit direction; fills `surface`. `camera`: passes what is hidden from the camera. */
  meet(ox: number, oy: number, oz: number, dx: number, dy: number, dz: number, camera: boolean): boolean;
  /** Part 0…1 of light that gets from the surface along a unit direction over `reach` metres; glass lets through. */
  passes(dx: number, dy: number, dz: number, reach: number): number;
  /** Rays asked so far, for the books. */
  rays(): number;
}

export function createMeeting(scene: PackedScene): Meeting {
  const { mesh, materials, hidden } = scene;
  const { positions, normals, tangents, tints, indices } = mesh;
  const hit: Hit = newHit();
  const stack = newStack(scene.bvh);
  let rays = 0;
  const surface: Surface = {
    ...{ triangle: -1, material: 0, kind: 0, distance: 0.5, x: 0.5, y: 0.5, z: 0.5, gx: 0.5, gy: 0.5, gz: 0.5 },
    ...{ outside: true, nx: 0.5, ny: 0.5, nz: 0.5, sx: 0.5, sy: 0.5, sz: 0.5, tx: 0.5, ty: 0.5, tz: 0.5 },
    ...{ r: 0.5, g: 0.5, b: 0.5 },
  };

  function meet(ox: number, oy: number, oz: number, dx: number, dy: number, dz: number, camera: boolean): boolean {
    let from = LIFT;
    for (;;) {
      rays++;
      if (!closestHit(scene, ox, oy, oz, dx, dy, dz, from, 1e30, hit, stack)) return false;
      if (!camera || !scene.hasHidden || hidden[hit.triangle] === 0) break;
      from = hit.t + LIFT;
    }
    settle(dx, dy, dz, ox, oy, oz);
    return true;
  }

  /** Everything about the hit; the ray is o + t·d. */
  function settle(dx: number, dy: number, dz: number, ox: number, oy: number, oz: number): void {
    const s = surface;
    const t = hit.triangle;
    const [u, v] = [hit.u, hit.v];
    const w = 1 - u - v;
    const a = 3 * (indices[3 * t] as number);
    const b = 3 * (indices[3 * t + 1] as number);
    const c = 3 * (indices[3 * t + 2] as number);
    s.triangle = t;
    s.distance = hit.t;
    s.material = MATERIAL_STRIDE * (mesh.materials[t] as number);
    s.kind = materials[s.material] as number;
    s.x = ox + hit.t * dx;
    s.y = oy + hit.t * dy;
    s.z = oz + hit.t * dz;
    const ax = positions[a] as number;
    const ay = positions[a + 1] as number;
    const az = positions[a + 2] as number;
    const ex = (positions[b] as number) - ax;
    const ey = (positions[b + 1] as number) - ay;
    const ez = (positions[b + 2] as number) - az;
    const fx = (positions[c] as number) - ax;
    const fy = (positions[c + 1] as number) - ay;
    const fz = (positions[c + 2] as number) - az;
    let gx = ey * fz - ez * fy;
    let gy = ez * fx - ex * fz;
    let gz = ex * fy - ey * fx;
    const facing = gx * dx + gy * dy + gz * dz;
    s.outside = facing <= 0;
    const g = (s.outside ? 1 : -1) / Math.sqrt(gx * gx + gy * gy + gz * gz);
    gx *= g;
    gy *= g;
    gz *= g;
    s.gx = gx;
    s.gy = gy;
    s.gz = gz;
    // Shading normal, turned to the viewer's side with the geometric one.
    const side = s.outside ? 1 : -1;
    const nx = side * (w * (normals[a] as number) + u * (normals[b] as number) + v * (normals[c] as number));
    const ny =
      side * (w * (normals[a + 1] as number) + u * (normals[b + 1] as number) + v * (normals[c + 1] as number));
    const nz =
      side * (w * (normals[a + 2] as number) + u * (normals[b + 2] as number) + v * (normals[c + 2] as number));
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz);
    if (length > 0.1 && nx * dx + ny * dy + nz * dz < 0) {
      s.nx = nx / length;
      s.ny = ny / length;
      s.nz = nz / length;
    } else {
      s.nx = gx;
      s.ny = gy;
      s.nz = gz;
    }
    s.r =
      (materials[s.material + 1] as number) *
      (w * (tints[a] as number) + u * (tints[b] as number) + v * (tints[c] as number));
    s.g =
      (materials[s.material + 2] as number) *
      (w * (tints[a + 1] as number) + u * (tints[b + 1] as number) + v * (tints[c + 1] as number));
    s.b =
      (materials[s.material + 3] as number) *
      (w * (tints[a + 2] as number) + u * (tints[b + 2] as number) + v * (tints[c + 2] as number));
    s.tx = w * (tangents[a] as number) + u * (tangents[b] as number) + v * (tangents[c] as number);
    s.ty = w * (tangents[a + 1] as number) + u * (tangents[b + 1] as number) + v * (tangents[c + 1] as number);
    s.tz = w * (tangents[a + 2] as number) + u * (tangents[b + 2] as number) + v * (tangents[c + 2] as number);
    liftX = 0;
    liftY = 0;
    liftZ = 0;
    lift(a, w, side);
    lift(b, u, side);
    lift(c, v, side);
    s.sx = s.x + liftX + LIFT * gx;
    s.sy = s.y + liftY + LIFT * gy;
    s.sz = s.z + liftZ + LIFT * gz;
  }

  let liftX = 0.5;
  let liftY = 0.5;
  let liftZ = 0.5;
  /** Adds the offset toward the tangent plane of one vertex, weighted: −w·min(0, (p − v)·n)·n. */
  function lift(vertex: number, weight: number, side: number): void {
    const nx = side * (normals[vertex] as number);
    const ny = side * (normals[vertex + 1] as number);
    const nz = side * (normals[vertex + 2] as number);
    const below =
      (surface.x - (positions[vertex] as number)) * nx +
      (surface.y - (positions[vertex + 1] as number)) * ny +
      (surface.z - (positions[vertex + 2] as number)) * nz;
    if (below >= 0) return;
    liftX -= weight * below * nx;
    liftY -= weight * below * ny;
    liftZ -= weight * below * nz;
  }

  function passes(dx: number, dy: number, dz: number, reach: number): number {
    const { sx, sy, sz } = surface;
    const end = reach * (1 - 1e-4) - LIFT;
    if (end <= LIFT) return 1;
    rays++;
    if (!anyHit(scene, sx, sy, sz, dx, dy, dz, LIFT, end, stack)) return 1;
    return scene.hasGlass ? throughGlass(dx, dy, dz, end) : 0;
  }

  /** Straight on through every face of glass, each taking its reflection: bending is left out of shadow rays. */
  function throughGlass(dx: number, dy: number, dz: number, end: number): number {
    const { sx, sy, sz } = surface;
    let left = 1;
    let from = LIFT;
    for (;;) {
      rays++;
      if (!closestHit(scene, sx, sy, sz, dx, dy, dz, from, end, hit, stack)) return left;
      const t = hit.triangle;
      const m = MATERIAL_STRIDE * (mesh.materials[t] as number);
      if ((materials[m] as number) !== GLASS) return 0;
      left *= facePasses(t, dx, dy, dz, m);
      from = hit.t + LIFT;
    }
  }

  function facePasses(t: number, dx: number, dy: number, dz: number, m: number): number {
    const a = 3 * (indices[3 * t] as number);
    const cosine = Math.abs(
      dx * (normals[a] as number) + dy * (normals[a + 1] as number) + dz * (normals[a + 2] as number),
    );
    const r = fresnel(cosine, materials[m + 5] as number);
    const tint =
      0.2126 * (materials[m + 1] as number) +
      0.7152 * (materials[m + 2] as number) +
      0.0722 * (materials[m + 3] as number);
    // A pane has two faces in one surface: 2r/(1 + r) goes back.
    return (materials[m + 8] === 1 ? 1 - (2 * r) / (1 + r) : 1 - r) * tint;
  }

  return { surface, meet, passes, rays: () => rays };
}
