/** The WGSL twin of emitter.ts, spherical-rectangle.ts and spherical-fan.ts. Part of trace.wgsl.ts. */

import { EMITTER_STRIDE, WEB_PHI, WEB_THETA } from "./emitter-pack.ts";

export const emitterWgsl: string = /* wgsl */ `
struct LightSample { d: vec3f, distance: f32, pdf: f32, light: f32, plain: f32 }
var<private> sample: LightSample;
var<private> em: u32;
// The receiver in the emitter's frame.
var<private> here: vec3f;
const MOST_CORNERS = 72u;
var<private> corners: array<vec2f, 72>;
var<private> cornersNext: array<vec2f, 72>;
var<private> angles: array<f32, 64>;

fn e(i: u32) -> f32 { return tables[em + i]; }
fn e3(i: u32) -> vec3f { return vec3f(e(i), e(i + 1u), e(i + 2u)); }
fn corner(i: u32) -> vec2f { return vec2f(e(24u + 2u * i), e(25u + 2u * i)); }
fn chooseEmitter(index: u32) { em = params.emittersAt + ${EMITTER_STRIDE}u * index; }
fn intoFrame(v: vec3f) -> vec3f { return vec3f(dot(v, e3(3u)), dot(v, e3(6u)), dot(v, e3(9u))); }
fn outOfFrame(v: vec3f) -> vec3f { return v.x * e3(3u) + v.y * e3(6u) + v.z * e3(9u); }

fn gridPart(d: vec3f) -> f32 {
  let gx = 1.0 - e(14u) * abs(d.x) / d.z;
  let gy = 1.0 - e(14u) * abs(d.y) / d.z;
  return select(0.0, gx * gy * e(15u), gx > 0.0 && gy > 0.0);
}
fn webIntensity(d: vec3f) -> f32 {
  let theta = degrees(acos(clamp(d.z, -1.0, 1.0)));
  let turn = degrees(atan2(d.x, d.y));
  let phi = select(turn, turn + 360.0, turn < 0.0) / 5.0;
  let t = min(${WEB_THETA - 2}u, u32(theta));
  let p = min(${WEB_PHI - 2}u, u32(phi));
  let row = params.websAt + u32(e(20u)) + t * ${WEB_PHI}u + p;
  let fp = phi - f32(p);
  return mix(mix(tables[row], tables[row + 1u], fp), mix(tables[row + ${WEB_PHI}u], tables[row + ${WEB_PHI + 1}u], fp), theta - f32(t));
}
fn rimFraction(q: vec2f) -> f32 {
  var most = 0.0;
  let n = u32(e(13u));
  for (var i = 0u; i < n; i++) {
    let a = corner(select(i - 1u, n - 1u, i == 0u));
    let b = corner(i);
    let edge = vec2f(b.y - a.y, a.x - b.x);
    most = max(most, dot(edge, q) / dot(edge, a));
  }
  return min(1.0, most);
}
fn luminanceAt(q: vec2f, d: vec3f) -> f32 {
  var light = 1.0 / e(12u);
  if (e(17u) != 0.0) {
    let rho = rimFraction(q);
    light = (1.0 - e(17u) * rho * rho) / ((1.0 - e(17u) / 2.0) * e(12u));
  }
  if (e(14u) > 0.0) { light *= gridPart(d); }
  if (e(20u) >= 0.0) { light *= PI * webIntensity(d) / d.z; }
  else if (e(16u) != 1.0) { light *= 0.5 * (e(16u) + 1.0) * pow(d.z, e(16u) - 1.0); }
  return light;
}
fn intensity(d: vec3f) -> f32 {
  if (e(19u) == 2.0) { return 1.0 / (4.0 * PI); }
  var grid = 1.0;
  if (e(14u) > 0.0) {
    if (d.z <= 0.0) { return 0.0; }
    grid = gridPart(d);
  }
  if (e(20u) >= 0.0) { return grid * webIntensity(d); }
  if (d.z <= 0.0) { return 0.0; }
  return grid * (e(16u) + 1.0) * pow(d.z, e(16u)) / (2.0 * PI);
}

// Spherical rectangle.
var<private> r0: vec2f;
var<private> r1: vec2f;
var<private> rz: f32;
var<private> rb0: f32;
var<private> rb1: f32;
var<private> rk: f32;
var<private> rAngle: f32;
fn isRectangle() -> bool {
  if (e(13u) != 4.0) { return false; }
  let a = corner(0u); let b = corner(1u); let c = corner(2u); let d = corner(3u);
  return max(max(abs(a.x - b.x), abs(c.x - d.x)), max(abs(b.y - c.y), abs(a.y - d.y))) < 1e-6;
}
fn seeRectangle() -> f32 {
  var low = min(corner(0u), corner(2u));
  var high = max(corner(0u), corner(2u));
  if (e(14u) > 0.0) {
    let w = vec2f(here.z / e(14u));
    low = max(low, here.xy - w);
    high = min(high, here.xy + w);
  }
  rAngle = 0.0;
  if (!(all(high > low))) { return 0.0; }
  r0 = low - here.xy;
  r1 = high - here.xy;
  rz = -here.z;
  rb0 = -r0.y / sqrt(rz * rz + r0.y * r0.y);
  rb1 = r1.y / sqrt(rz * rz + r1.y * r1.y);
  let n1 = r1.x / sqrt(rz * rz + r1.x * r1.x);
  let n3 = -r0.x / sqrt(rz * rz + r0.x * r0.x);
  let g0 = acos(clamp(-rb0 * n1, -1.0, 1.0));
  let g1 = acos(clamp(-n1 * rb1, -1.0, 1.0));
  let g2 = acos(clamp(-rb1 * n3, -1.0, 1.0));
  let g3 = acos(clamp(-n3 * rb0, -1.0, 1.0));
  rk = 2.0 * PI - g2 - g3;
  rAngle = g0 + g1 - rk;
  return rAngle;
}
fn sampleRectangle(u: f32, v: f32) -> vec2f {
  let au = u * rAngle + rk;
  let fu = (cos(au) * rb0 - rb1) / sin(au);
  let cu = clamp(select(-1.0, 1.0, fu > 0.0) / sqrt(fu * fu + rb0 * rb0), -1.0, 1.0);
  let xu = clamp(-(cu * rz) / max(1e-9, sqrt(1.0 - cu * cu)), r0.x, r1.x);
  let d = sqrt(xu * xu + rz * rz);
  let h0 = r0.y / sqrt(d * d + r0.y * r0.y);
  let h1 = r1.y / sqrt(d * d + r1.y * r1.y);
  let hv = h0 + v * (h1 - h0);
  let rest = 1.0 - hv * hv;
  let yv = select(r1.y, hv * d / sqrt(max(rest, 1e-9)), rest > 1e-9);
  return vec2f(xu, clamp(yv, r0.y, r1.y)) + here.xy;
}

// Fan of spherical triangles.
fn toCorner(i: u32) -> vec3f { return normalize(vec3f(corner(i) - here.xy, -here.z)); }
fn fanAngle() -> f32 {
  let a = toCorner(0u);
  let n = u32(e(13u));
  var whole = 0.0;
  for (var i = 2u; i < n; i++) {
    let b = toCorner(i - 1u);
    let c = toCorner(i);
    let t = max(0.0, 2.0 * atan2(-dot(a, cross(b, c)), 1.0 + dot(a, b) + dot(a, c) + dot(b, c)));
    angles[i - 2u] = t;
    whole += t;
  }
  return whole;
}
fn arvo(a: vec3f, b: vec3f, c: vec3f, u: f32, area: f32, v: f32) -> vec3f {
  let ab = dot(a, b);
  let p = normalize(b - ab * a);
  let q = normalize(c - dot(a, c) * a);
  let cosAlpha = clamp(dot(p, q), -1.0, 1.0);
  let sinAlpha = sqrt(max(0.0, 1.0 - cosAlpha * cosAlpha));
  let part = u * area - acos(cosAlpha);
  let si = sin(part);
  let t = cos(part);
  let uu = t - cosAlpha;
  let vv = si + sinAlpha * ab;
  let bottom = (vv * si + uu * t) * sinAlpha;
  let k = select(clamp(((vv * t - uu * si) * cosAlpha - vv) / bottom, -1.0, 1.0), 1.0, bottom == 0.0);
  let far = k * a + sqrt(max(0.0, 1.0 - k * k)) * q;
  let eb = dot(far, b);
  let z = 1.0 - v * (1.0 - eb);
  let f = far - eb * b;
  let l = length(f);
  return z * b + select(0.0, sqrt(max(0.0, 1.0 - z * z)) / l, l > 1e-7) * f;
}
fn isNear() -> bool { return dot(here, here) < e(21u); }

fn aim(start: vec3f, to: vec3f) {
  let way = to - start;
  sample.distance = length(way);
  sample.d = way / sample.distance;
}
fn draw(start: vec3f, u: f32, v: f32) -> bool {
  here = intoFrame(start - e3(0u));
  sample.pdf = 0.0;
  if (e(19u) != 0.0) {
    let d2 = dot(here, here);
    sample.pdf = 1.0;
    sample.light = PI * intensity(here / sqrt(d2)) / d2;
    sample.plain = 0.0;
    let cosine = 1.0 - 2.0 * u;
    let sine = sqrt(max(0.0, 1.0 - cosine * cosine));
    aim(start, e3(0u) + e(18u) * vec3f(sine * cos(2.0 * PI * v), sine * sin(2.0 * PI * v), cosine));
    sample.distance = max(0.0, sample.distance - 2.0 * e(18u));
    return sample.light > 0.0;
  }
  if (here.z <= 1e-5) { return false; }
  var q = vec2f(0.0);
  var byArea = false;
  if (isRectangle()) {
    if (!(seeRectangle() > 1e-7)) { return false; }
    q = sampleRectangle(u, v);
    sample.pdf = 1.0 / rAngle;
  } else if (isNear()) {
    let whole = fanAngle();
    if (!(whole > 1e-7)) { return false; }
    let last = u32(e(13u)) - 3u;
    var rest = u * whole;
    var i = 0u;
    while (i < last && rest >= angles[i]) { rest -= angles[i]; i++; }
    if (!(angles[i] > 0.0)) { return false; }
    let d = arvo(toCorner(0u), toCorner(i + 1u), toCorner(i + 2u), min(0.999999, rest / angles[i]), angles[i], v);
    if (d.z > -1e-9) { return false; }
    q = here.xy - (here.z / d.z) * d.xy;
    sample.pdf = 1.0 / whole;
  } else {
    byArea = true;
    let n = u32(e(13u));
    let a = corner(0u);
    var rest = u * e(12u);
    for (var i = 2u; i < n; i++) {
      let b = corner(i - 1u) - a;
      let c = corner(i) - a;
      let own = 0.5 * (b.x * c.y - b.y * c.x);
      if (rest < own || i == n - 1u) {
        q = a + sqrt(clamp(rest / own, 0.0, 1.0)) * (b + v * (c - b));
        break;
      }
      rest -= own;
    }
  }
  let way = vec3f(here.xy - q, here.z);
  let d2 = dot(way, way);
  let distance = sqrt(d2);
  if (byArea) { sample.pdf = d2 * distance / (e(12u) * here.z); }
  aim(start, e3(0u) + outOfFrame(vec3f(q, 0.0)));
  sample.plain = 1.0 / e(12u);
  sample.light = luminanceAt(q, way / distance);
  return sample.pdf > 0.0;
}
fn density(start: vec3f, d: vec3f, distance: f32) -> f32 {
  if (e(19u) != 0.0) { return 0.0; }
  here = intoFrame(start - e3(0u));
  if (here.z <= 1e-5) { return 0.0; }
  if (isRectangle()) {
    let angle = seeRectangle();
    return select(0.0, 1.0 / angle, angle > 0.0);
  }
  if (isNear()) {
    let angle = fanAngle();
    return select(0.0, 1.0 / angle, angle > 0.0);
  }
  let cosine = -dot(d, e3(9u));
  return select(0.0, distance * distance / (e(12u) * cosine), cosine > 0.0);
}
fn seen(at: vec3f, d: vec3f) -> f32 {
  let way = -intoFrame(d);
  if (e(19u) != 0.0 || way.z <= 0.0) { return 0.0; }
  return luminanceAt(intoFrame(at - e3(0u)).xy, way);
}
// Keeps the part of corners with dot(plane, (x, y, 1)) >= 0.
fn clipCorners(n: u32, plane: vec3f) -> u32 {
  if (n == 0u) { return 0u; }
  var count = 0u;
  var a = corners[n - 1u];
  var s0 = dot(plane, vec3f(a, 1.0));
  for (var i = 0u; i < n; i++) {
    let b = corners[i];
    let s1 = dot(plane, vec3f(b, 1.0));
    if ((s0 < 0.0 && s1 > 0.0) || (s0 > 0.0 && s1 < 0.0)) { cornersNext[count] = mix(a, b, s0 / (s0 - s1)); count++; }
    if (s1 >= 0.0) { cornersNext[count] = b; count++; }
    a = b;
    s0 = s1;
  }
  for (var i = 0u; i < count; i++) { corners[i] = cornersNext[i]; }
  return select(count, 0u, count < 3u);
}
fn unshadowed(start: vec3f, normal: vec3f) -> f32 {
  if (e(19u) != 0.0) { return 0.0; }
  here = intoFrame(start - e3(0u));
  if (here.z <= 1e-5) { return 0.0; }
  let a = intoFrame(normal);
  var n = u32(e(13u));
  for (var i = 0u; i < n; i++) { corners[i] = corner(i); }
  if (e(14u) > 0.0 && isRectangle()) {
    let w = here.z / e(14u);
    n = clipCorners(n, vec3f(1.0, 0.0, w - here.x));
    n = clipCorners(n, vec3f(-1.0, 0.0, w + here.x));
    n = clipCorners(n, vec3f(0.0, 1.0, w - here.y));
    n = clipCorners(n, vec3f(0.0, -1.0, w + here.y));
  }
  n = clipCorners(n, vec3f(a.xy, -dot(a, here)));
  if (n == 0u) { return 0.0; }
  var sum = 0.0;
  var p = vec3f(corners[n - 1u] - here.xy, -here.z);
  for (var i = 0u; i < n; i++) {
    let q = vec3f(corners[i] - here.xy, -here.z);
    let edge = q - p;
    let c = vec3f(here.z * edge.y, -here.z * edge.x, p.x * edge.y - p.y * edge.x);
    let l = length(c);
    if (l > 0.0) { sum += atan2(l, dot(p, q)) / l * dot(c, a); }
    p = q;
  }
  return max(0.0, -0.5 * sum) / e(12u);
}
`;
