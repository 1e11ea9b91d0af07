/** The WGSL twin of surface.ts and of the scene room's walk through the tree. Part of trace.wgsl.ts. */

import { INDICES_AT } from "./gpu-buffers.ts";
import { GLASS, MATERIAL_STRIDE } from "./pack.ts";

export const traversalWgsl: string = /* wgsl */ `
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
  let p = bitcast<vec3f>(triangles[3u * slot].xyz);
  let e = bitcast<vec3f>(triangles[3u * slot + 1u].xyz);
  let f = bitcast<vec3f>(triangles[3u * slot + 2u].xyz);
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

export const surfaceWgsl: string = /* wgsl */ `
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

fn vertexOf(place: u32) -> u32 { return words[${INDICES_AT}u + place]; }
struct Vertex { normal: vec3f, tangent: vec3f, tint: vec3f }
fn vertexAt(i: u32) -> Vertex {
  let a = vertices[3u * i];
  let b = vertices[3u * i + 1u];
  let c = vertices[3u * i + 2u];
  return Vertex(a.xyz, vec3f(a.w, b.xy), vec3f(b.zw, c.x));
}

fn settle(o: vec3f, d: vec3f) {
  let slot = u32(hit.slot);
  let w = 1.0 - hit.u - hit.v;
  let u = hit.u;
  let v = hit.v;
  let word = triangles[3u * slot].w;
  s.material = params.materialsAt + ${MATERIAL_STRIDE}u * (word & 0xffffu);
  s.kind = u32(tables[s.material]);
  s.wall = (word & 0x20000u) != 0u;
  s.distance = hit.t;
  s.p = o + hit.t * d;
  let p = bitcast<vec3f>(triangles[3u * slot].xyz);
  let e = bitcast<vec3f>(triangles[3u * slot + 1u].xyz);
  let f = bitcast<vec3f>(triangles[3u * slot + 2u].xyz);
  let g = cross(e, f);
  s.outside = dot(g, d) <= 0.0;
  let side = select(-1.0, 1.0, s.outside);
  s.g = side * normalize(g);
  let t = triangles[3u * slot + 1u].w;
  let v0 = vertexAt(vertexOf(3u * t));
  let v1 = vertexAt(vertexOf(3u * t + 1u));
  let v2 = vertexAt(vertexOf(3u * t + 2u));
  let n = side * (w * v0.normal + u * v1.normal + v * v2.normal);
  s.n = s.g;
  if (length(n) > 0.1 && dot(n, d) < 0.0) { s.n = normalize(n); }
  s.tangent = w * v0.tangent + u * v1.tangent + v * v2.tangent;
  s.colour = vec3f(material(1u), material(2u), material(3u)) * (w * v0.tint + u * v1.tint + v * v2.tint);
  s.start = s.p + LIFT * s.g +
    lift(p, side * v0.normal, w) + lift(p + e, side * v1.normal, u) + lift(p + f, side * v2.normal, v);
}

fn meet(o: vec3f, d: vec3f, camera: bool) -> bool {
  var start = LIFT;
  loop {
    if (!walk(o, d, start, 1e30, false)) { return false; }
    let word = triangles[3u * u32(hit.slot)].w;
    if (!camera || (word & 0x10000u) == 0u) { break; }
    start = hit.t + LIFT;
  }
  settle(o, d);
  return true;
}

fn facePasses(slot: u32, d: vec3f, m: u32) -> f32 {
  let r = fresnel(abs(dot(d, vertexAt(vertexOf(3u * triangles[3u * slot + 1u].w)).normal)), tables[m + 5u]);
  let tint = luminanceOf(vec3f(tables[m + 1u], tables[m + 2u], tables[m + 3u]));
  return select(1.0 - r, 1.0 - 2.0 * r / (1.0 + r), tables[m + 8u] == 1.0) * tint;
}

fn passes(d: vec3f, reach: f32) -> f32 {
  let end = reach * (1.0 - 1e-4) - LIFT;
  if (end <= LIFT) { return 1.0; }
  var left = 1.0;
  var start = LIFT;
  // One place that walks, for compilers copy every call: any hit ends it where there is no glass.
  loop {
    if (!walk(s.start, d, start, end, params.hasGlass == 0u)) { return left; }
    if (params.hasGlass == 0u) { return 0.0; }
    let slot = u32(hit.slot);
    let m = params.materialsAt + ${MATERIAL_STRIDE}u * (triangles[3u * slot].w & 0xffffu);
    if (u32(tables[m]) != ${GLASS}u) { return 0.0; }
    left *= facePasses(slot, d, m);
    start = hit.t + LIFT;
  }
}
`;
