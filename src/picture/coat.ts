/**
 * A rough dielectric coat over a diffuse base. Coat: microfacets with the GGX distribution (Walter et al. 2007),
 * height-correlated Smith shadowing (Heitz 2014), visible normals sampled after Heitz 2018, Fresnel of an
 * unpolarised dielectric. Base: Lambert, weakened where the coat reflects, after Kelemen & Szirmay-Kalos 2001:
 * f = ρ/π·(1 − E(i))·(1 − E(o))/(1 − Ē), which is reciprocal and returns at most E + ρ·(1 − E). All from memory.
 * Directions are in the frame of the shading normal (z up); f is per steradian, cosines not included.
 */

/** Steps of the table of E over the cosine. */
export const COAT_STEPS = 32;

/** Roughness below this is traced as this: smaller is a mirror to the eye and noise to the tracer. */
export const LEAST_ROUGHNESS = 0.01;

/** Reflectance of a smooth boundary at the cosine of the angle on the side of index 1; eta = n inside / outside. */
export function fresnel(cosine: number, eta: number): number {
  const c = Math.min(1, Math.abs(cosine));
  const g2 = eta * eta - 1 + c * c;
  if (g2 <= 0) return 1;
  const g = Math.sqrt(g2);
  const a = (g - c) / (g + c);
  const b = (c * (g + c) - 1) / (c * (g - c) + 1);
  return 0.5 * a * a * (1 + b * b);
}

/** GGX distribution of normals at cosine `m` (isotropic), 1/sr. */
export function ggxDistribution(m: number, alpha: number): number {
  const a2 = alpha * alpha;
  const bottom = m * m * (a2 - 1) + 1;
  return a2 / (Math.PI * bottom * bottom);
}

/** Λ of Smith's shadowing. */
function lambda(cosine: number, alpha: number): number {
  const c2 = cosine * cosine;
  return 0.5 * (Math.sqrt(1 + (alpha * alpha * (1 - c2)) / c2) - 1);
}

/** f of the coat, 1/sr, for directions toward light i and viewer o. 0 when either is under the surface. */
export function coatValue(
  ix: number,
  iy: number,
  iz: number,
  ox: number,
  oy: number,
  oz: number,
  alpha: number,
  eta: number,
): number {
  if (iz <= 0 || oz <= 0) return 0;
  const hx = ix + ox;
  const hy = iy + oy;
  const hz = iz + oz;
  const length = Math.sqrt(hx * hx + hy * hy + hz * hz);
  const m = hz / length;
  const half = (ix * hx + iy * hy + iz * hz) / length;
  const shadow = 1 / (1 + lambda(iz, alpha) + lambda(oz, alpha));
  return (fresnel(half, eta) * ggxDistribution(m, alpha) * shadow) / (4 * iz * oz);
}

/** Density with which `sampleCoat` chooses direction i for viewer o, 1/sr. */
export function coatDensity(
  ix: number,
  iy: number,
  iz: number,
  ox: number,
  oy: number,
  oz: number,
  alpha: number,
): number {
  if (iz <= 0 || oz <= 0) return 0;
  const hx = ix + ox;
  const hy = iy + oy;
  const hz = iz + oz;
  const m = hz / Math.sqrt(hx * hx + hy * hy + hz * hz);
  return ggxDistribution(m, alpha) / ((1 + lambda(oz, alpha)) * 4 * oz);
}

/** A direction, reused between calls. */
export const coatDirection: { x: number; y: number; z: number } = { x: 0.5, y: 0.5, z: 0.5 };

/** Chooses a direction toward light by visible normals; it may point under the surface, which reflects nothing. */
export function sampleCoat(ox: number, oy: number, oz: number, alpha: number, u: number, v: number): void {
  // Stretch the view, project a hemisphere of normals on the disc it sees, unstretch.
  const sx = alpha * ox;
  const sy = alpha * oy;
  const length = Math.sqrt(sx * sx + sy * sy + oz * oz);
  const vx = sx / length;
  const vy = sy / length;
  const vz = oz / length;
  const side = vx * vx + vy * vy;
  const t1x = side > 0 ? -vy / Math.sqrt(side) : 1;
  const t1y = side > 0 ? vx / Math.sqrt(side) : 0;
  const t2x = -vz * t1y;
  const t2y = vz * t1x;
  const t2z = vx * t1y - vy * t1x;
  const r = Math.sqrt(u);
  const turn = 2 * Math.PI * v;
  const p1 = r * Math.cos(turn);
  const s = 0.5 * (1 + vz);
  const p2 = (1 - s) * Math.sqrt(Math.max(0, 1 - p1 * p1)) + s * r * Math.sin(turn);
  const p3 = Math.sqrt(Math.max(0, 1 - p1 * p1 - p2 * p2));
  const nx = alpha * (p1 * t1x + p2 * t2x + p3 * vx);
  const ny = alpha * (p1 * t1y + p2 * t2y + p3 * vy);
  const nz = Math.max(0, p2 * t2z + p3 * vz);
  const inverse = 1 / Math.sqrt(nx * nx + ny * ny + nz * nz);
  const half = 2 * (ox * nx + oy * ny + oz * nz) * inverse * inverse;
  coatDirection.x = half * nx - ox;
  coatDirection.y = half * ny - oy;
  coatDirection.z = half * nz - oz;
}

/** E over the cosine at COAT_STEPS midpoints, then Ē = 2∫E·μ dμ: the part of light the coat alone sends back. */
export function coatTable(alpha: number, eta: number): Float32Array {
  const table = new Float32Array(COAT_STEPS + 1);
  let mean = 0;
  for (let i = 0; i < COAT_STEPS; i++) {
    const mu = (i + 0.5) / COAT_STEPS;
    table[i] = coatAlbedo(mu, alpha, eta);
    mean += (2 * mu * (table[i] as number)) / COAT_STEPS;
  }
  table[COAT_STEPS] = mean;
  return table;
}

/** E from the table, straight lines between midpoints. */
export function coatReflects(table: Float32Array, at: number, cosine: number): number {
  const x = Math.min(COAT_STEPS - 1, Math.max(0, cosine * COAT_STEPS - 0.5));
  const i = Math.min(COAT_STEPS - 2, Math.floor(x));
  const f = x - i;
  return (table[at + i] as number) * (1 - f) + (table[at + i + 1] as number) * f;
}

/** ∫ f·cos dω over the hemisphere by visible normals on a lattice of 16 × 32: value/density = F·G₂/G₁. */
export function coatAlbedo(mu: number, alpha: number, eta: number): number {
  const ox = Math.sqrt(Math.max(0, 1 - mu * mu));
  let sum = 0;
  for (let i = 0; i < 16; i++) {
    for (let j = 0; j < 32; j++) {
      sampleCoat(ox, 0, mu, alpha, (i + 0.5) / 16, (j + 0.5) / 32);
      const { x, y, z } = coatDirection;
      if (z <= 0) continue;
      const density = coatDensity(x, y, z, ox, 0, mu, alpha);
      if (density > 0) sum += (coatValue(x, y, z, ox, 0, mu, alpha, eta) * z) / density;
    }
  }
  return sum / 512;
}
