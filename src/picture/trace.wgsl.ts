/**
 * The WGSL twin of trace.ts and of all it stands on (random, emitter, spherical rectangle and fan, coat, fibre,
 * strands, surface, sums), function by function under the same names, in 32-bit floats. One invocation is one pixel;
 * a dispatch adds a few paths to every layer. Sources and formulas are the CPU twin's. Buffers: see gpu-buffers.ts.
 */

import { COAT_STEPS } from "./coat.ts";
import { EMITTER_STRIDE, WEB_PHI, WEB_THETA } from "./emitter.ts";
import { fibreWgsl } from "./fibre.wgsl.ts";
import { COATED, DIFFUSE, EMITTER, GLASS, HAIR, MATERIAL_STRIDE, MIRROR } from "./pack.ts";
import { sobolDirections } from "./random.ts";
import { SUM_STRIDE } from "./sums.ts";
import { LIFT } from "./surface.ts";

const head = /* wgsl */ `
struct Params {
  width: u32, height: u32, first: u32, samples: u32,
  seed: u32, bounces: u32, shadows: u32, lights: u32,
  ambient: u32, hasGlass: u32, hasHidden: u32, originRow: u32,
  rows: u32, materialsAt: u32, coatsAt: u32, emittersAt: u32,
  websAt: u32, requestAt: u32, emitterCount: u32, writeGuides: u32,
  position: vec4f, forward: vec4f, right: vec4f, up: vec4f,
  lens: vec4f, // radius, focus, tan(fov/2), aspect
}
@group(0) @binding(0) var<uniform> params: Params;
@group(0) @binding(1) var<storage, read> nodes: array<vec4u>;
@group(0) @binding(2) var<storage, read> triangles: array<vec4f>;
@group(0) @binding(3) var<storage, read> vertices: array<vec4f>;
@group(0) @binding(4) var<storage, read> tables: array<f32>;
@group(0) @binding(5) var<storage, read_write> sums: array<f32>;
@group(0) @binding(6) var<storage, read_write> guides: array<f32>;

const PI = 3.14159265358979;
const LIFT = ${LIFT};
const FULL = 0u;
const COUNTED = 1u;
const SHARED = 2u;
const DIMENSIONS = 8u;
const MOST_CLEAR = 24u;
const sobolDirections = array<u32, 96>(${Array.from(sobolDirections, (word) => `${word}u`).join(", ")});
`;

const random = /* wgsl */ `
fn pcgHash(word: u32) -> u32 {
  let state = word * 747796405u + 2891336453u;
  let mixed = ((state >> ((state >> 28u) + 4u)) ^ state) * 277803737u;
  return (mixed >> 22u) ^ mixed;
}
fn hashPair(a: u32, b: u32) -> u32 { return pcgHash(a ^ pcgHash(b)); }
fn unitOf(word: u32) -> f32 { return f32(word >> 8u) / 16777216.0; }
fn owenScramble(word: u32, seed: u32) -> u32 {
  var x = reverseBits(word) + seed;
  x ^= x * 0x6c50b47cu;
  x ^= x * 0xb82f1e52u;
  x ^= x * 0xc7afe638u;
  x ^= x * 0x8d22f6e6u;
  return reverseBits(x);
}
fn sobolWord(index: u32, axis: u32) -> u32 {
  if (axis == 0u) { return reverseBits(index); }
  var word = 0u;
  var i = index;
  for (var bit = 32u * (axis - 1u); i != 0u; bit++) {
    if ((i & 1u) == 1u) { word ^= sobolDirections[bit]; }
    i >>= 1u;
  }
  return word;
}
fn sobolSample(index: u32, dimension: u32, seed: u32) -> f32 {
  let setSeed = hashPair(seed, dimension >> 2u);
  let axis = dimension & 3u;
  return unitOf(owenScramble(sobolWord(owenScramble(index, setSeed), axis), hashPair(setSeed, axis + 1u)));
}
fn luminanceOf(c: vec3f) -> f32 { return dot(c, vec3f(0.2126, 0.7152, 0.0722)); }
`;

const traversal = /* wgsl */ `
struct Hit { slot: i32, t: f32, u: f32, v: f32 }
var<private> hit: Hit;

fn enter(node: u32, o: vec3f, inverse: vec3f, tMin: f32, tMax: f32) -> f32 {
  let a = (bitcast<vec3f>(nodes[2u * node].xyz) - o) * inverse;
  let b = (bitcast<vec3f>(nodes[2u * node + 1u].xyz) - o) * inverse;
  let near = min(a, b);
  let far = max(a, b);
  let low = max(max(near.x, near.y), max(near.z, tMin));
  let high = min(min(far.x, far.y), min(far.z, tMax));
  return select(1e38, low, low <= high * 1.0000004);
}

fn meetTriangle(slot: u32, o: vec3f, d: vec3f, tMin: f32) {
  let p = triangles[3u * slot].xyz;
  let e = triangles[3u * slot + 1u].xyz;
  let f = triangles[3u * slot + 2u].xyz;
  let q = cross(d, f);
  let det = dot(e, q);
  if (det == 0.0) { return; }
  let inverse = 1.0 / det;
  let s = o - p;
  let u = dot(s, q) * inverse;
  if (u < -1e-6 || u > 1.000001) { return; }
  let r = cross(s, e);
  let v = dot(d, r) * inverse;
  if (v < -1e-6 || u + v > 1.000001) { return; }
  let t = dot(f, r) * inverse;
  if (t <= tMin || t >= hit.t) { return; }
  hit = Hit(i32(slot), t, u, v);
}

fn walk(o: vec3f, d: vec3f, tMin: f32, tMax: f32, anyHit: bool) -> bool {
  let safe = select(d, vec3f(1e-20), abs(d) < vec3f(1e-20));
  let inverse = 1.0 / safe;
  hit = Hit(-1, tMax, 0.0, 0.0);
  var stack: array<u32, 64>;
  var top = 0u;
  var node = 0u;
  if (enter(0u, o, inverse, tMin, tMax) >= 1e38) { return false; }
  loop {
    let first = nodes[2u * node].w;
    let count = nodes[2u * node + 1u].w;
    var down = false;
    if (count > 0u) {
      for (var i = first; i < first + count; i++) {
        meetTriangle(i, o, d, tMin);
        if (anyHit && hit.slot >= 0) { return true; }
      }
    } else if (first > 0u) {
      var near = enter(first, o, inverse, tMin, hit.t);
      var far = enter(first + 1u, o, inverse, tMin, hit.t);
      var nearNode = first;
      var farNode = first + 1u;
      if (far < near) {
        let t = near; near = far; far = t;
        nearNode = first + 1u; farNode = first;
      }
      if (near < 1e38) {
        if (far < 1e38) { stack[top] = farNode; top++; }
        node = nearNode;
        down = true;
      }
    }
    if (down) { continue; }
    if (top == 0u) { break; }
    top--;
    node = stack[top];
  }
  return hit.slot >= 0;
}
`;

const surface = /* wgsl */ `
struct Surface {
  material: u32, kind: u32, wall: bool, outside: bool, distance: f32,
  p: vec3f, g: vec3f, n: vec3f, start: vec3f, tangent: vec3f, colour: vec3f,
}
var<private> s: Surface;

fn material(i: u32) -> f32 { return tables[s.material + i]; }

fn lift(position: vec3f, normal: vec3f, weight: f32) -> vec3f {
  let below = dot(s.p - position, normal);
  return select(vec3f(0.0), -weight * below * normal, below < 0.0);
}

fn settle(o: vec3f, d: vec3f) {
  let slot = u32(hit.slot);
  let w = 1.0 - hit.u - hit.v;
  let u = hit.u;
  let v = hit.v;
  let word = bitcast<u32>(triangles[3u * slot].w);
  s.material = params.materialsAt + ${MATERIAL_STRIDE}u * (word & 0xffffu);
  s.kind = u32(tables[s.material]);
  s.wall = (word & 0x20000u) != 0u;
  s.distance = hit.t;
  s.p = o + hit.t * d;
  let e = triangles[3u * slot + 1u].xyz;
  let f = triangles[3u * slot + 2u].xyz;
  let g = cross(e, f);
  s.outside = dot(g, d) <= 0.0;
  let side = select(-1.0, 1.0, s.outside);
  s.g = side * normalize(g);
  // Three vertices a triangle: position, normal, tangent, tint.
  let a = 12u * slot;
  let n0 = side * vertices[a + 1u].xyz;
  let n1 = side * vertices[a + 5u].xyz;
  let n2 = side * vertices[a + 9u].xyz;
  let n = w * n0 + u * n1 + v * n2;
  s.n = s.g;
  if (length(n) > 0.1 && dot(n, d) < 0.0) { s.n = normalize(n); }
  s.tangent = w * vertices[a + 2u].xyz + u * vertices[a + 6u].xyz + v * vertices[a + 10u].xyz;
  s.colour = vec3f(material(1u), material(2u), material(3u)) *
    (w * vertices[a + 3u].xyz + u * vertices[a + 7u].xyz + v * vertices[a + 11u].xyz);
  s.start = s.p + LIFT * s.g + lift(vertices[a].xyz, n0, w) + lift(vertices[a + 4u].xyz, n1, u) + lift(vertices[a + 8u].xyz, n2, v);
}

fn meet(o: vec3f, d: vec3f, camera: bool) -> bool {
  var start = LIFT;
  loop {
    if (!walk(o, d, start, 1e30, false)) { return false; }
    let word = bitcast<u32>(triangles[3u * u32(hit.slot)].w);
    if (!camera || (word & 0x10000u) == 0u) { break; }
    start = hit.t + LIFT;
  }
  settle(o, d);
  return true;
}

fn facePasses(slot: u32, d: vec3f, m: u32) -> f32 {
  let r = fresnel(abs(dot(d, vertices[12u * slot + 1u].xyz)), tables[m + 5u]);
  let tint = luminanceOf(vec3f(tables[m + 1u], tables[m + 2u], tables[m + 3u]));
  return select(1.0 - r, 1.0 - 2.0 * r / (1.0 + r), tables[m + 8u] == 1.0) * tint;
}

fn passes(d: vec3f, reach: f32) -> f32 {
  let end = reach * (1.0 - 1e-4) - LIFT;
  if (end <= LIFT) { return 1.0; }
  if (!walk(s.start, d, LIFT, end, true)) { return 1.0; }
  if (params.hasGlass == 0u) { return 0.0; }
  var left = 1.0;
  var start = LIFT;
  loop {
    if (!walk(s.start, d, start, end, false)) { return left; }
    let slot = u32(hit.slot);
    let m = params.materialsAt + ${MATERIAL_STRIDE}u * (bitcast<u32>(triangles[3u * slot].w) & 0xffffu);
    if (u32(tables[m]) != ${GLASS}u) { return 0.0; }
    left *= facePasses(slot, d, m);
    start = hit.t + LIFT;
  }
}
`;

const coat = /* wgsl */ `
fn fresnel(cosine: f32, eta: f32) -> f32 {
  let c = min(1.0, abs(cosine));
  let g2 = eta * eta - 1.0 + c * c;
  if (g2 <= 0.0) { return 1.0; }
  let g = sqrt(g2);
  let a = (g - c) / (g + c);
  let b = (c * (g + c) - 1.0) / (c * (g - c) + 1.0);
  return 0.5 * a * a * (1.0 + b * b);
}
fn ggxDistribution(m: f32, alpha: f32) -> f32 {
  let a2 = alpha * alpha;
  let bottom = m * m * (a2 - 1.0) + 1.0;
  return a2 / (PI * bottom * bottom);
}
fn lambda(cosine: f32, alpha: f32) -> f32 {
  let c2 = cosine * cosine;
  return 0.5 * (sqrt(1.0 + alpha * alpha * (1.0 - c2) / c2) - 1.0);
}
fn coatValue(i: vec3f, o: vec3f, alpha: f32, eta: f32) -> f32 {
  if (i.z <= 0.0 || o.z <= 0.0) { return 0.0; }
  let h = normalize(i + o);
  let shadow = 1.0 / (1.0 + lambda(i.z, alpha) + lambda(o.z, alpha));
  return fresnel(dot(i, h), eta) * ggxDistribution(h.z, alpha) * shadow / (4.0 * i.z * o.z);
}
fn coatDensity(i: vec3f, o: vec3f, alpha: f32) -> f32 {
  if (i.z <= 0.0 || o.z <= 0.0) { return 0.0; }
  return ggxDistribution(normalize(i + o).z, alpha) / ((1.0 + lambda(o.z, alpha)) * 4.0 * o.z);
}
fn sampleCoat(o: vec3f, alpha: f32, u: f32, v: f32) -> vec3f {
  let view = normalize(vec3f(alpha * o.x, alpha * o.y, o.z));
  let side = view.x * view.x + view.y * view.y;
  var t1 = vec3f(1.0, 0.0, 0.0);
  if (side > 0.0) { t1 = vec3f(-view.y, view.x, 0.0) / sqrt(side); }
  let t2 = cross(view, t1);
  let r = sqrt(u);
  let turn = 2.0 * PI * v;
  let p1 = r * cos(turn);
  let k = 0.5 * (1.0 + view.z);
  let p2 = (1.0 - k) * sqrt(max(0.0, 1.0 - p1 * p1)) + k * r * sin(turn);
  let p3 = sqrt(max(0.0, 1.0 - p1 * p1 - p2 * p2));
  let n = p1 * t1 + p2 * t2 + p3 * view;
  let m = normalize(vec3f(alpha * n.x, alpha * n.y, max(0.0, n.z)));
  return 2.0 * dot(o, m) * m - o;
}
fn coatReflects(table: u32, cosine: f32) -> f32 {
  let x = clamp(cosine * ${COAT_STEPS}.0 - 0.5, 0.0, ${COAT_STEPS - 1}.0);
  let i = min(${COAT_STEPS - 2}u, u32(x));
  return mix(tables[table + i], tables[table + i + 1u], x - f32(i));
}
`;

const emitter = /* wgsl */ `
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

const path = /* wgsl */ `
var<private> carried: vec3f;
var<private> origin: vec3f;
var<private> d: vec3f;
var<private> arrival: u32;
var<private> coatPdf: f32;
var<private> leftFrom: vec3f;
var<private> pixel: u32;
var<private> isOdd: bool;
var<private> t1: vec3f;
var<private> t2: vec3f;

fn sumAt(layer: u32) -> u32 { return ${SUM_STRIDE}u * (layer * params.width * params.rows + pixel); }
fn addRest(layer: u32, c: vec3f) {
  let at = sumAt(layer);
  sums[at + 5u] += c.x;
  sums[at + 6u] += c.y;
  sums[at + 7u] += c.z;
  if (isOdd) { sums[at + 11u] += luminanceOf(c); }
}
fn addDirect(layer: u32, c: vec3f, closed: f32, sampled: f32) {
  let at = sumAt(layer);
  sums[at] += c.x;
  sums[at + 1u] += c.y;
  sums[at + 2u] += c.z;
  sums[at + 3u] += closed;
  sums[at + 4u] += sampled;
  if (!isOdd) { return; }
  sums[at + 8u] += luminanceOf(c);
  sums[at + 9u] += closed;
  sums[at + 10u] += sampled;
}
fn lightIndex(layer: u32) -> u32 { return u32(tables[params.requestAt + layer]); }

fn frame() {
  let sign = select(-1.0, 1.0, s.n.z >= 0.0);
  let a = -1.0 / (sign + s.n.z);
  let b = s.n.x * s.n.y * a;
  t1 = vec3f(1.0 + sign * s.n.x * s.n.x * a, sign * b, -sign * s.n.x);
  t2 = vec3f(b, sign + s.n.y * s.n.y * a, -s.n.y);
}
fn localise(v: vec3f) -> vec3f { return vec3f(dot(v, t1), dot(v, t2), dot(v, s.n)); }
fn coatChoice(own: f32) -> f32 {
  return clamp(own / (own + luminanceOf(s.colour) * (1.0 - own) + 1e-6), 0.15, 0.9);
}
fn leave(direction: vec3f) {
  origin = s.p;
  d = direction;
}

fn gather(index: u32, base: u32, seed: u32, isFirst: bool) {
  let isCoated = s.kind == ${COATED}u;
  let alpha = material(4u);
  let eta = material(5u);
  let table = params.coatsAt + u32(max(0.0, material(6u)));
  var ownCoat = 0.0;
  var base0 = 1.0;
  var choice = 0.0;
  if (isCoated) {
    ownCoat = coatReflects(table, -dot(d, s.n));
    base0 = (1.0 - ownCoat) / (1.0 - material(7u));
    choice = coatChoice(ownCoat);
    frame();
  }
  let c = carried * s.colour / PI;
  let y = luminanceOf(c);
  for (var layer = 0u; layer < params.lights; layer++) {
    chooseEmitter(lightIndex(layer));
    let own = hashPair(seed, 101u + layer);
    let isOutline = e(19u) == 0.0;
    let drawn = draw(s.start, sobolSample(index, base, own), sobolSample(index, base + 1u, own));
    let l = sample;
    let ratio = isFirst && isOutline;
    var closed = 0.0;
    if (ratio) { closed = y * unshadowed(s.start, s.n); }
    if (!drawn) { continue; }
    let cosine = dot(l.d, s.n);
    var visible = 0.0;
    if (cosine > 0.0 && l.light != 0.0) {
      visible = 1.0;
      if (params.shadows != 0u) { visible = passes(l.d, l.distance); }
    }
    let weight = select(l.light * cosine * visible / l.pdf, 0.0, visible == 0.0);
    var coupled = base0;
    if (isCoated && cosine > 0.0) { coupled *= 1.0 - coatReflects(table, cosine); }
    let w = weight * coupled;
    if (ratio) { addDirect(layer, c * w, closed, select(0.0, y * l.plain * cosine / l.pdf, cosine > 0.0)); }
    else if (w > 0.0) { addRest(layer, c * w); }
    if (isCoated && weight > 0.0) {
      let i = localise(l.d);
      let o = localise(-d);
      let f = coatValue(i, o, alpha, eta);
      if (f > 0.0) {
        let pdf = select(0.0, choice * coatDensity(i, o, alpha), isOutline);
        addRest(layer, carried * (f * weight * l.pdf / (l.pdf + pdf)));
      }
    }
  }
}

fn bounceCoated(index: u32, base: u32, seed: u32) -> bool {
  let isCoated = s.kind == ${COATED}u;
  let u = sobolSample(index, base + 5u, seed);
  let v = sobolSample(index, base + 6u, seed);
  let table = params.coatsAt + u32(max(0.0, material(6u)));
  var own = 0.0;
  var choice = 0.0;
  frame();
  if (isCoated) {
    own = coatReflects(table, -dot(d, s.n));
    choice = coatChoice(own);
    if (sobolSample(index, base + 4u, seed) < choice) {
      let alpha = material(4u);
      let o = localise(-d);
      let i = sampleCoat(o, alpha, u, v);
      if (i.z <= 0.0) { return false; }
      coatPdf = choice * coatDensity(i, o, alpha);
      if (!(coatPdf > 0.0)) { return false; }
      carried *= coatValue(i, o, alpha, material(5u)) * i.z / coatPdf;
      arrival = SHARED;
      leftFrom = s.start;
      leave(i.x * t1 + i.y * t2 + i.z * s.n);
      return dot(d, s.g) > 0.0;
    }
  }
  let radius = sqrt(u);
  let c = sqrt(max(1e-9, 1.0 - u));
  var k = 1.0 / (1.0 - choice);
  if (isCoated) { k *= (1.0 - own) * (1.0 - coatReflects(table, c)) / (1.0 - material(7u)); }
  carried *= k * s.colour;
  arrival = COUNTED;
  leave(radius * cos(2.0 * PI * v) * t1 + radius * sin(2.0 * PI * v) * t2 + c * s.n);
  return dot(d, s.g) > 0.0;
}

fn mirrored(tinted: bool) {
  if (tinted) { carried *= select(vec3f(0.0), s.colour, s.outside); }
  arrival = FULL;
  leave(d - 2.0 * dot(d, s.n) * s.n);
}
fn passGlass(u: f32) {
  let ior = material(5u);
  let thin = material(8u) == 1.0;
  let eta = select(1.0 / ior, ior, s.outside || thin);
  let cosine = -dot(d, s.n);
  let single = fresnel(cosine, eta);
  if (u < select(single, 2.0 * single / (1.0 + single), thin)) {
    mirrored(false);
    return;
  }
  carried *= s.colour;
  if (thin) {
    leave(d);
    return;
  }
  let sine2 = (1.0 - cosine * cosine) / (eta * eta);
  leave(d / eta + (cosine / eta - sqrt(max(0.0, 1.0 - sine2))) * s.n);
}
fn meetFront() {
  let index = u32(material(8u));
  if (!s.outside || arrival == COUNTED) { return; }
  for (var layer = 0u; layer < params.lights; layer++) {
    if (lightIndex(layer) != index) { continue; }
    chooseEmitter(index);
    var part = 1.0;
    if (arrival == SHARED) { part = coatPdf / (coatPdf + density(leftFrom, d, distance(s.p, leftFrom))); }
    addRest(layer, carried * seen(s.p, d) * part);
  }
}

fn cameraRay(x: f32, y: f32, lu: f32, lv: f32) {
  let tangent = params.lens.z;
  let sx = (2.0 * x / f32(params.width) - 1.0) * tangent * f32(params.width) / f32(params.height);
  let sy = (1.0 - 2.0 * y / f32(params.height)) * tangent;
  d = params.forward.xyz + sx * params.right.xyz + sy * params.up.xyz;
  origin = params.position.xyz;
  if (params.lens.x > 0.0) {
    let radius = params.lens.x * sqrt(lu);
    let m = radius * cos(2.0 * PI * lv) * params.right.xyz + radius * sin(2.0 * PI * lv) * params.up.xyz;
    origin += m;
    d = params.lens.y * d - m;
  }
  d = normalize(d);
}

fn writeGuides() {
  let at = 10u * pixel;
  let plain = s.kind == ${DIFFUSE}u || s.kind == ${COATED}u;
  let albedo = select(vec3f(1.0), s.colour, plain);
  for (var c = 0u; c < 3u; c++) {
    guides[at + c] = albedo[c];
    guides[at + 3u + c] = s.n[c];
    guides[at + 6u + c] = s.p[c];
  }
  guides[at + 9u] = s.distance;
}

fn tracePath(x: u32, y: u32, index: u32, seed: u32) {
  var lens = vec2f(0.0);
  if (params.lens.x > 0.0) { lens = vec2f(sobolSample(index, 2u, seed), sobolSample(index, 3u, seed)); }
  cameraRay(f32(x) + sobolSample(index, 0u, seed), f32(y) + sobolSample(index, 1u, seed), lens.x, lens.y);
  carried = vec3f(1.0);
  arrival = FULL;
  var camera = true;
  var clear = 0u;
  var ambient = params.ambient != 0u;
  var depth = 0u;
  loop {
    let met = meet(origin, d, camera);
    if (met && camera && index == 0u && params.writeGuides != 0u) { writeGuides(); }
    if (ambient && select(depth + clear > 0u, depth > 0u && s.wall, met)) {
      addRest(params.lights, carried);
      ambient = false;
    }
    if (!met) { return; }
    if (s.kind == ${EMITTER}u) {
      meetFront();
      return;
    }
    camera = false;
    if (s.kind == ${GLASS}u || s.kind == ${MIRROR}u) {
      clear++;
      if (clear > MOST_CLEAR) { return; }
      if (s.kind == ${MIRROR}u) { mirrored(true); }
      else { passGlass(sobolSample(index, 4u + DIMENSIONS * depth + 7u, hashPair(seed, clear))); }
      continue;
    }
    let base = 4u + DIMENSIONS * depth;
    if (depth > params.bounces) { return; }
    if (s.kind == ${HAIR}u) {
      if (!bounceHair(index, base, seed)) { return; }
    } else {
      gather(index, base, seed, depth == 0u && clear == 0u);
      if (depth == params.bounces && s.kind == ${DIFFUSE}u) { return; }
      if (!bounceCoated(index, base, seed)) { return; }
    }
    depth++;
    let keep = min(0.95, max(carried.x, max(carried.y, carried.z)));
    if (!(sobolSample(index, base + 7u, seed) < keep)) { return; }
    carried /= keep;
  }
}

@compute @workgroup_size(8, 8)
fn trace(@builtin(global_invocation_id) id: vec3u) {
  if (id.x >= params.width || id.y >= params.rows) { return; }
  pixel = id.y * params.width + id.x;
  let y = id.y + params.originRow;
  let seed = hashPair(hashPair(params.seed, y * params.width + id.x), 1u);
  for (var i = params.first; i < params.first + params.samples; i++) {
    isOdd = (i & 1u) == 1u;
    tracePath(id.x, y, i, seed);
  }
}
`;

/** The whole module; entry point `trace`, 8 × 8 pixels a workgroup. */
export const traceWgsl: string = head + random + coat + traversal + surface + emitter + fibreWgsl + path;
