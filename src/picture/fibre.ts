/**
 * One hair as a scatterer, and a surface of many. One fibre: the near-field model of Chiang, Bitterli, Tappan &
 * Burley 2016 ("A Practical and Controllable Hair and Fur Model for Production Path Tracing") on d'Eon et al. 2011:
 * R, TT, TRT and the rest, longitudinal M, trimmed logistic azimuthal N, absorption on the way through, cuticle
 * tilt. All from memory. The offset h across the fibre is drawn per event, so that many hairs are averaged.
 * Directions are in the fibre's frame, x along the strand from root to tip. `fibreValue` is the phase function
 * of a fibre: f·cos θ_i, which integrates to its albedo over the sphere, 1/sr.
 */

export interface Fibre {
  readonly absorption: readonly [number, number, number];
  readonly ior: number;
  readonly variance: Float64Array;
  /** log of 2v·sinh(1/v) per lobe: what M is divided by. */
  readonly norm: Float64Array;
  /** Logistic scale of the azimuthal lobes. */
  readonly scale: number;
  readonly sinTilt: Float64Array;
  readonly cosTilt: Float64Array;
}

/** Lobes told apart: R, TT, TRT; the fourth is all longer ways together. */
const LOBES = 3;

/** Fibre from its roughnesses 0…1 and tilt. Absorption per fibre radius. */
export function makeFibre(
  absorption: readonly [number, number, number],
  betaM: number,
  betaN: number,
  tiltDeg: number,
  ior: number,
): Fibre {
  const variance = new Float64Array(LOBES + 1);
  variance[0] = (0.726 * betaM + 0.812 * betaM ** 2 + 3.7 * betaM ** 20) ** 2;
  variance[1] = 0.25 * (variance[0] as number);
  variance[2] = 4 * (variance[0] as number);
  variance[3] = variance[2] as number;
  // log(2 sinh(1/v)) = 1/v + log(1 − exp(−2/v)), which holds for narrow and wide lobes alike.
  const norm = variance.map((v) => 1 / v + Math.log(1 - Math.exp(-2 / v)) + Math.log(v));
  const scale = Math.sqrt(Math.PI / 8) * (0.265 * betaN + 1.194 * betaN ** 2 + 5.372 * betaN ** 22);
  const sinTilt = new Float64Array(3);
  const cosTilt = new Float64Array(3);
  let s = Math.sin((tiltDeg * Math.PI) / 180);
  for (let i = 0; i < 3; i++) {
    const c = Math.sqrt(Math.max(0, 1 - s * s));
    sinTilt[i] = s;
    cosTilt[i] = c;
    s = 2 * c * s;
  }
  return { absorption, ior, variance, norm, scale, sinTilt, cosTilt };
}

/** Attenuations of the four lobes, rgb each; filled by `attenuations`. */
const ap = new Float64Array(12);

/** f·cos θ_i of the fibre, written to `out` rgb, for unit directions toward light and viewer, offset h in −1…1. */
export function fibreValue(
  fibre: Fibre,
  ix: number,
  iy: number,
  iz: number,
  ox: number,
  oy: number,
  oz: number,
  h: number,
  out: Float64Array,
): void {
  const cosO = Math.sqrt(Math.max(0, 1 - ox * ox));
  const cosI = Math.sqrt(Math.max(0, 1 - ix * ix));
  const phi = Math.atan2(iz, iy) - Math.atan2(oz, oy);
  const { gammaO, gammaT } = fibreAngles(fibre, ox, cosO, h);
  out[0] = 0;
  out[1] = 0;
  out[2] = 0;
  for (let p = 0; p <= LOBES; p++) {
    const m = longitudinal(fibre, p, ix, cosI, ox, cosO);
    const n = p < LOBES ? azimuthal(fibre, p, phi, gammaO, gammaT) : 1 / (2 * Math.PI);
    const weight = m * n;
    for (let c = 0; c < 3; c++) out[c] = (out[c] as number) + weight * (ap[3 * p + c] as number);
  }
}

/** Direction drawn by `sampleFibre`. */
export const fibreDirection: { x: number; y: number; z: number } = { x: 0.5, y: 0.5, z: 0.5 };

/**
 * Draws a direction toward light for viewer o, by lobes; writes value/density to `out` rgb. `u0…u3` in [0, 1).
 */
export function sampleFibre(
  fibre: Fibre,
  ox: number,
  oy: number,
  oz: number,
  h: number,
  u0: number,
  u1: number,
  u2: number,
  u3: number,
  out: Float64Array,
): void {
  const cosO = Math.sqrt(Math.max(0, 1 - ox * ox));
  const { gammaO, gammaT } = fibreAngles(fibre, ox, cosO, h);
  let total = 0;
  for (let p = 0; p <= LOBES; p++) total += brightness(p);
  let rest = u0 * total;
  let p = 0;
  while (p < LOBES && rest >= brightness(p)) rest -= brightness(p++);
  const { sinT, cosT } = tilted(fibre, p, ox, cosO);
  // d'Eon's M sampled exactly.
  const v = fibre.variance[p] as number;
  const x = 1 + v * Math.log(Math.max(1e-5, u1) + (1 - Math.max(1e-5, u1)) * Math.exp(-2 / v));
  const sx = Math.sqrt(Math.max(0, 1 - x * x));
  const sinI = Math.min(1, Math.max(-1, -x * sinT + sx * Math.cos(2 * Math.PI * u2) * cosT));
  const cosI = Math.sqrt(Math.max(0, 1 - sinI * sinI));
  const turn = p < LOBES ? exitAngle(p, gammaO, gammaT) + sampleLogistic(u3, fibre.scale) : 2 * Math.PI * u3;
  const phi = Math.atan2(oz, oy) + turn;
  fibreDirection.x = sinI;
  fibreDirection.y = cosI * Math.cos(phi);
  fibreDirection.z = cosI * Math.sin(phi);
  let density = 0;
  out[0] = 0;
  out[1] = 0;
  out[2] = 0;
  for (let q = 0; q <= LOBES; q++) {
    const m = longitudinal(fibre, q, sinI, cosI, ox, cosO);
    const n = q < LOBES ? azimuthal(fibre, q, turn, gammaO, gammaT) : 1 / (2 * Math.PI);
    density += (m * n * brightness(q)) / total;
    for (let c = 0; c < 3; c++) out[c] = (out[c] as number) + m * n * (ap[3 * q + c] as number);
  }
  for (let c = 0; c < 3; c++) out[c] = density > 0 ? (out[c] as number) / density : 0;
}

const brightness = (p: number): number =>
  0.2126 * (ap[3 * p] as number) + 0.7152 * (ap[3 * p + 1] as number) + 0.0722 * (ap[3 * p + 2] as number);

const angles = { gammaO: 0.5, gammaT: 0.5 };

/** What lobe p carries of channel c, as `fibreAngles` left it. */
export const attenuationOf = (p: number, c: number): number => ap[3 * p + c] as number;

/** Fills what each lobe carries: Fresnel at the way in and out, Beer's law inside. Returns one object, overwritten. */
export function fibreAngles(fibre: Fibre, sinO: number, cosO: number, h: number): typeof angles {
  const { ior, absorption } = fibre;
  const sinT = sinO / ior;
  const cosT = Math.sqrt(1 - sinT * sinT);
  const etap = Math.sqrt(Math.max(0, ior * ior - sinO * sinO)) / Math.max(1e-6, cosO);
  const sinGammaT = Math.min(1, Math.max(-1, h / etap));
  const cosGammaT = Math.sqrt(1 - sinGammaT * sinGammaT);
  const f = dielectric(cosO * Math.sqrt(Math.max(0, 1 - h * h)), ior);
  for (let c = 0; c < 3; c++) {
    const t = Math.exp((-(absorption[c] as number) * 2 * cosGammaT) / cosT);
    ap[c] = f;
    ap[3 + c] = (1 - f) ** 2 * t;
    ap[6 + c] = (ap[3 + c] as number) * t * f;
    ap[9 + c] = ((ap[6 + c] as number) * f * t) / (1 - t * f);
  }
  angles.gammaO = Math.asin(Math.min(1, Math.max(-1, h)));
  angles.gammaT = Math.asin(sinGammaT);
  return angles;
}

function dielectric(cosine: number, eta: number): number {
  const g = Math.sqrt(eta * eta - 1 + cosine * cosine);
  const a = (g - cosine) / (g + cosine);
  const b = (cosine * (g + cosine) - 1) / (cosine * (g - cosine) + 1);
  return 0.5 * a * a * (1 + b * b);
}

const leaning = { sinT: 0.5, cosT: 0.5 };

/** The viewer's inclination shifted by the cuticle's tilt, as each lobe sees it. */
function tilted(fibre: Fibre, p: number, sinO: number, cosO: number): typeof leaning {
  const k = p === 0 ? 1 : p === 1 ? 0 : 2;
  const sign = p === 0 ? -1 : 1;
  const s = fibre.sinTilt[k] as number;
  const c = fibre.cosTilt[k] as number;
  if (p >= LOBES) {
    leaning.sinT = sinO;
    leaning.cosT = cosO;
  } else {
    leaning.sinT = sinO * c + sign * cosO * s;
    leaning.cosT = Math.abs(cosO * c - sign * sinO * s);
  }
  return leaning;
}

/** M of d'Eon et al.: a Gaussian on the sphere, integrates to 1 with cos θ_i. */
export function longitudinal(fibre: Fibre, p: number, sinI: number, cosI: number, sinO: number, cosO: number): number {
  const { sinT, cosT } = tilted(fibre, p, sinO, cosO);
  const v = fibre.variance[p] as number;
  const a = (cosI * cosT) / v;
  return scaledBessel0(a) * Math.exp(a - (sinI * sinT) / v - (fibre.norm[p] as number));
}

/** I₀(x)·e⁻ˣ within 3e-7 (Abramowitz & Stegun 9.8.1 and 9.8.2; figures from memory, tested against the series). */
export function scaledBessel0(x: number): number {
  if (x < 3.75) {
    const t = (x / 3.75) ** 2;
    const sum =
      1 + t * (3.5156229 + t * (3.0899424 + t * (1.2067492 + t * (0.2659732 + t * (0.0360768 + t * 0.0045813)))));
    return sum * Math.exp(-x);
  }
  const t = 3.75 / x;
  const far = 0.00916281 + t * (-0.02057706 + t * (0.02635537 + t * (-0.01647633 + t * 0.00392377)));
  return (0.39894228 + t * (0.01328592 + t * (0.00225319 + t * (-0.00157565 + t * far)))) / Math.sqrt(x);
}

/** Azimuth at which lobe p leaves a smooth fibre. */
const exitAngle = (p: number, gammaO: number, gammaT: number): number => 2 * p * gammaT - 2 * gammaO + p * Math.PI;

/** N of lobe p: a trimmed logistic about where a smooth fibre sends it. */
export function azimuthal(fibre: Fibre, p: number, phi: number, gammaO: number, gammaT: number): number {
  let d = (phi - exitAngle(p, gammaO, gammaT)) % (2 * Math.PI);
  if (d > Math.PI) d -= 2 * Math.PI;
  if (d < -Math.PI) d += 2 * Math.PI;
  return trimmedLogistic(d, fibre.scale);
}

const logisticPart = (x: number, s: number): number => 1 / (1 + Math.exp(-x / s));

function trimmedLogistic(x: number, s: number): number {
  const e = Math.exp(-Math.abs(x) / s);
  return e / (s * (1 + e) ** 2) / (logisticPart(Math.PI, s) - logisticPart(-Math.PI, s));
}

function sampleLogistic(u: number, s: number): number {
  const k = logisticPart(Math.PI, s) - logisticPart(-Math.PI, s);
  const x = -s * Math.log(1 / (u * k + logisticPart(-Math.PI, s)) - 1);
  return Math.min(Math.PI, Math.max(-Math.PI, x));
}
