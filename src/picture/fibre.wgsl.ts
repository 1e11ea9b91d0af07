/** The WGSL twin of fibre.ts and strands.ts: one hair, and a surface of many. Part of trace.wgsl.ts. */

import { FIBRE_AZIMUTHS, FIBRE_CELL, FIBRE_COSINES } from "./fibre-table.ts";
import { HAIR } from "./pack.ts";
import { HAIR_WALKS } from "./strands.ts";

/** Lights on one surface of hair, at most. */
export const MOST_STRAND_LIGHTS = 16;

export const fibreWgsl: string = /* wgsl */ `
const MOST_LIGHTS = ${MOST_STRAND_LIGHTS}u;
const HAIR_KIND = ${HAIR}u;
var<private> absorption: vec3f;
var<private> hairIor: f32;
var<private> variance: vec4f;
var<private> lobeNorm: vec4f;
var<private> logisticScale: f32;
var<private> tiltSin: vec3f;
var<private> tiltCos: vec3f;
var<private> fibreTableAt: u32;
var<private> lobes: array<vec3f, 4>;
var<private> gammaO: f32;
var<private> gammaT: f32;
var<private> strandTo: array<vec4f, ${MOST_STRAND_LIGHTS}>;
var<private> strandWeight: array<f32, ${MOST_STRAND_LIGHTS}>;
var<private> gathered: array<vec3f, ${MOST_STRAND_LIGHTS}>;

fn makeFibre() {
  absorption = vec3f(material(9u), material(10u), material(11u));
  let betaM = material(12u);
  let betaN = material(13u);
  hairIor = material(5u);
  let v = pow(0.726 * betaM + 0.812 * betaM * betaM + 3.7 * pow(betaM, 20.0), 2.0);
  variance = vec4f(v, 0.25 * v, 4.0 * v, 4.0 * v);
  lobeNorm = 1.0 / variance + log(1.0 - exp(-2.0 / variance)) + log(variance);
  fibreTableAt = params.coatsAt + u32(material(6u));
  logisticScale = sqrt(PI / 8.0) * (0.265 * betaN + 1.194 * betaN * betaN + 5.372 * pow(betaN, 22.0));
  var si = sin(radians(material(14u)));
  for (var i = 0u; i < 3u; i++) {
    let c = sqrt(max(0.0, 1.0 - si * si));
    tiltSin[i] = si;
    tiltCos[i] = c;
    si = 2.0 * c * si;
  }
}
fn attenuations(sinO: f32, cosO: f32, h: f32) {
  let sinT = sinO / hairIor;
  let cosT = sqrt(1.0 - sinT * sinT);
  let etap = sqrt(max(0.0, hairIor * hairIor - sinO * sinO)) / max(1e-6, cosO);
  let sinGammaT = clamp(h / etap, -1.0, 1.0);
  let cosGammaT = sqrt(1.0 - sinGammaT * sinGammaT);
  let f = fresnel(cosO * sqrt(max(0.0, 1.0 - h * h)), hairIor);
  let t = exp(-absorption * 2.0 * cosGammaT / cosT);
  lobes[0] = vec3f(f);
  lobes[1] = (1.0 - f) * (1.0 - f) * t;
  lobes[2] = lobes[1] * t * f;
  lobes[3] = lobes[2] * f * t / (1.0 - t * f);
  gammaO = asin(clamp(h, -1.0, 1.0));
  gammaT = asin(sinGammaT);
}
fn tilted(p: u32, sinO: f32, cosO: f32) -> vec2f {
  if (p >= 3u) { return vec2f(sinO, cosO); }
  let k = select(select(2u, 0u, p == 1u), 1u, p == 0u);
  let sign = select(1.0, -1.0, p == 0u);
  return vec2f(sinO * tiltCos[k] + sign * cosO * tiltSin[k], abs(cosO * tiltCos[k] - sign * sinO * tiltSin[k]));
}
fn scaledBessel0(x: f32) -> f32 {
  if (x < 3.75) {
    let t = x * x / 14.0625;
    let sum = 1.0 + t * (3.5156229 + t * (3.0899424 + t * (1.2067492 + t * (0.2659732 + t * (0.0360768 + t * 0.0045813)))));
    return sum * exp(-x);
  }
  let t = 3.75 / x;
  let far = 0.00916281 + t * (-0.02057706 + t * (0.02635537 + t * (-0.01647633 + t * 0.00392377)));
  return (0.39894228 + t * (0.01328592 + t * (0.00225319 + t * (-0.00157565 + t * far)))) / sqrt(x);
}
fn longitudinal(p: u32, sinI: f32, cosI: f32, sinO: f32, cosO: f32) -> f32 {
  let lean = tilted(p, sinO, cosO);
  let v = variance[p];
  let a = cosI * lean.y / v;
  return scaledBessel0(a) * exp(a - sinI * lean.x / v - lobeNorm[p]);
}
fn exitAngle(p: u32) -> f32 { return 2.0 * f32(p) * gammaT - 2.0 * gammaO + f32(p) * PI; }
fn logisticPart(x: f32) -> f32 { return 1.0 / (1.0 + exp(-x / logisticScale)); }
fn azimuthal(p: u32, phi: f32) -> f32 {
  var a = phi - exitAngle(p);
  a -= 2.0 * PI * round(a / (2.0 * PI));
  let k = exp(-abs(a) / logisticScale);
  return k / (logisticScale * (1.0 + k) * (1.0 + k)) / (logisticPart(PI) - logisticPart(-PI));
}
// f·cos averaged over the offsets h: the table of fibre-table.ts.
fn fibreMean(i: vec3f, o: vec3f) -> vec3f {
  let cosI = sqrt(max(0.0, 1.0 - i.x * i.x));
  let cosO = sqrt(max(0.0, 1.0 - o.x * o.x));
  let phi = acos(clamp((i.y * o.y + i.z * o.z) / max(1e-12, cosI * cosO), -1.0, 1.0));
  let x = cosO * ${FIBRE_COSINES - 1}.0;
  let y = phi / PI * ${FIBRE_AZIMUTHS - 1}.0;
  let column = min(${FIBRE_COSINES - 2}u, u32(x));
  let row = min(${FIBRE_AZIMUTHS - 2}u, u32(y));
  let fx = x - f32(column);
  let fy = y - f32(row);
  let a = fibreTableAt + ${FIBRE_CELL}u * (column * ${FIBRE_AZIMUTHS}u + row);
  let b = a + ${FIBRE_CELL * FIBRE_AZIMUTHS}u;
  let w = vec4f((1.0 - fx) * (1.0 - fy), (1.0 - fx) * fy, fx * (1.0 - fy), fx * fy);
  var value = vec3f(longitudinal(0u, i.x, cosI, o.x, cosO) * fibreCell(a, b, w));
  for (var p = 1u; p < 4u; p++) {
    let m = longitudinal(p, i.x, cosI, o.x, cosO);
    let k = 3u * p - 2u;
    value += m * vec3f(fibreCell(a + k, b + k, w), fibreCell(a + k + 1u, b + k + 1u, w), fibreCell(a + k + 2u, b + k + 2u, w));
  }
  return value;
}
fn fibreCell(a: u32, b: u32, w: vec4f) -> f32 {
  return dot(w, vec4f(tables[a], tables[a + ${FIBRE_CELL}u], tables[b], tables[b + ${FIBRE_CELL}u]));
}
// M·N of the four lobes.
fn fibreLobes(sinI: f32, cosI: f32, sinO: f32, cosO: f32, phi: f32) -> vec4f {
  var mn = vec4f(0.0);
  for (var p = 0u; p < 4u; p++) {
    var n = 1.0 / (2.0 * PI);
    if (p < 3u) { n = azimuthal(p, phi); }
    mn[p] = longitudinal(p, sinI, cosI, sinO, cosO) * n;
  }
  return mn;
}
var<private> fibreDirection: vec3f;
fn sampleFibre(o: vec3f, h: f32, u0: f32, u1: f32, u2: f32, u3: f32) -> vec3f {
  let cosO = sqrt(max(0.0, 1.0 - o.x * o.x));
  attenuations(o.x, cosO, h);
  let bright = vec4f(luminanceOf(lobes[0]), luminanceOf(lobes[1]), luminanceOf(lobes[2]), luminanceOf(lobes[3]));
  let total = bright.x + bright.y + bright.z + bright.w;
  var rest = u0 * total;
  var p = 0u;
  while (p < 3u && rest >= bright[p]) { rest -= bright[p]; p++; }
  let lean = tilted(p, o.x, cosO);
  let v = variance[p];
  let k = max(1e-5, u1);
  let x = 1.0 + v * log(k + (1.0 - k) * exp(-2.0 / v));
  let sinI = clamp(-x * lean.x + sqrt(max(0.0, 1.0 - x * x)) * cos(2.0 * PI * u2) * lean.y, -1.0, 1.0);
  let cosI = sqrt(max(0.0, 1.0 - sinI * sinI));
  var turn = 2.0 * PI * u3;
  if (p < 3u) {
    let width = logisticPart(PI) - logisticPart(-PI);
    turn = exitAngle(p) + clamp(-logisticScale * log(1.0 / (u3 * width + logisticPart(-PI)) - 1.0), -PI, PI);
  }
  let phi = atan2(o.z, o.y) + turn;
  fibreDirection = vec3f(sinI, cosI * cos(phi), cosI * sin(phi));
  let mn = fibreLobes(sinI, cosI, o.x, cosO, turn);
  let pdf = dot(mn, bright) / total;
  let value = mn.x * lobes[0] + mn.y * lobes[1] + mn.z * lobes[2] + mn.w * lobes[3];
  return select(vec3f(0.0), value / pdf, pdf > 0.0);
}

var<private> strandState: u32;
fn strandNext() -> f32 {
  strandState = pcgHash(strandState + 0x9e3779b9u);
  return unitOf(hashPair(strandState, 77u));
}
// Walks from viewer o under normal n; direction out in fibreDirection, carried part in strandExit.
var<private> strandExit: vec3f;
fn walkStrands(o: vec3f, n: vec3f, lights: u32) -> bool {
  var w = -o;
  var depth = 0.0;
  var t = vec3f(1.0);
  for (var k = 0u; k < 256u; k++) {
    let thickness = sqrt(max(1e-6, 1.0 - w.x * w.x));
    depth -= -log(1.0 - strandNext()) / thickness * dot(w, n);
    if (depth < 0.0) {
      fibreDirection = w;
      strandExit = t;
      return true;
    }
    let h = 2.0 * strandNext() - 1.0;
    for (var i = 0u; i < lights; i++) {
      if (strandWeight[i] == 0.0) { continue; }
      let to = strandTo[i];
      let above = depth * sqrt(max(0.0, 1.0 - to.x * to.x)) / to.w;
      if (above > 20.0) { continue; }
      gathered[i] += strandWeight[i] * exp(-above) * t * fibreMean(to.xyz, -w);
    }
    let u0 = strandNext();
    let u1 = strandNext();
    let u2 = strandNext();
    let u3 = strandNext();
    t *= sampleFibre(-w, h, u0, u1, u2, u3);
    let keep = min(1.0, 2.0 * max(t.x, max(t.y, t.z)));
    if (!(strandNext() < keep)) { return false; }
    t /= keep;
    w = fibreDirection;
  }
  return false;
}
fn strandAxis() -> vec3f {
  if (length(s.tangent) >= 1e-6) { return normalize(s.tangent); }
  frame();
  return t1;
}
// The lights were gathered into strandTo and strandWeight before.
fn bounceHair(index: u32, base: u32, seed: u32, isFirst: bool, x: vec3f, y: vec3f, z: vec3f) -> bool {
  makeFibre();
  let lights = min(params.lights, MOST_LIGHTS);
  let walks = select(1u, ${HAIR_WALKS}u, isFirst);
  var own = hashPair(hashPair(seed, index), base);
  var out = false;
  for (var walk = 0u; walk < walks; walk++) {
    for (var layer = 0u; layer < lights; layer++) { gathered[layer] = vec3f(0.0); }
    own = hashPair(own, walk);
    strandState = own;
    out = walkStrands(vec3f(-dot(d, x), -dot(d, y), -dot(d, z)), vec3f(dot(s.n, x), 0.0, dot(s.n, z)), lights);
    for (var layer = 0u; layer < lights; layer++) { addRest(layer, carried * gathered[layer] / f32(walks)); }
  }
  if (!out) { return false; }
  carried *= strandExit;
  arrival = COUNTED;
  leave(fibreDirection.x * x + fibreDirection.y * y + fibreDirection.z * z);
  return dot(d, s.g) > 0.0;
}
`;
