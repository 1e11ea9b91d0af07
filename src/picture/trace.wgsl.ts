/**
 * The WGSL twin of trace.ts; what it stands on (random, emitter, coat, fibre, strands, surface) has twins of its own, joined
 * here into one module: function by function under the same names, in 32-bit floats. One invocation is one pixel;
 * a dispatch adds a few paths to every layer. Sources and formulas are the CPU twin's. Buffers: see gpu-buffers.ts.
 */

import { coatWgsl } from "./coat.wgsl.ts";
import { MOST_UNLIKE, SKIN_LIFT } from "./diffusion.ts";
import { emitterWgsl } from "./emitter.wgsl.ts";
import { fibreWgsl } from "./fibre.wgsl.ts";
import { TILE_ROW } from "./gpu-buffers.ts";
import { GUIDE_STRIDE } from "./guides.ts";
import { COATED, DIFFUSE, EMITTER, GLASS, HAIR, MIRROR } from "./pack.ts";
import { randomWgsl } from "./random.wgsl.ts";
import { SUM_STRIDE } from "./sums.ts";
import { LIFT } from "./surface.ts";
import { surfaceWgsl, traversalWgsl } from "./surface.wgsl.ts";

const head = /* wgsl */ `
struct Params {
  width: u32, height: u32, first: u32, samples: u32,
  seed: u32, bounces: u32, shadows: u32, lights: u32,
  ambient: u32, hasGlass: u32, hasHidden: u32, originRow: u32,
  rows: u32, materialsAt: u32, coatsAt: u32, emittersAt: u32,
  websAt: u32, requestAt: u32, emitterCount: u32, unused: u32,
  position: vec4f, forward: vec4f, right: vec4f, up: vec4f,
  lens: vec4f, // radius, focus, tan(fov/2), aspect
}
@group(0) @binding(0) var<uniform> params: Params;
@group(0) @binding(1) var<storage, read> nodes: array<vec4u>;
@group(0) @binding(2) var<storage, read> triangles: array<vec4u>;
@group(0) @binding(3) var<storage, read> vertices: array<vec4f>;
@group(0) @binding(4) var<storage, read> tables: array<f32>;
@group(0) @binding(5) var<storage, read_write> sums: array<f32>;
@group(0) @binding(6) var<storage, read_write> guides: array<f32>;
// What each byte of a Sobol index gives, then three vertex numbers per triangle.
@group(0) @binding(7) var<storage, read> words: array<u32>;
// A dispatch's size, how many tiles of 8 × 8 pixels, their numbers row by row.
@group(0) @binding(8) var<storage, read> tiles: array<u32>;

const PI = 3.14159265358979;
const LIFT = ${LIFT};
const FULL = 0u;
const COUNTED = 1u;
const SHARED = 2u;
const DIMENSIONS = 8u;
const BOTH = 0u;
const COAT = 1u;
const BASE = 2u;
const SKIN_LIFT = ${SKIN_LIFT};
const MOST_UNLIKE = ${MOST_UNLIKE}.0;
const MOST_CLEAR = 24u;
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

// Where a path went into skin, what each channel that comes out counts, and the view from there.
var<private> entry: Surface;
var<private> entryView: vec3f;
var<private> spread: vec3f;
var<private> wandered: f32;
// Of each light, what got through where it went in.
var<private> through: array<f32, MOST_LIGHTS>;

fn diffusion() -> vec3f { return vec3f(material(9u), material(10u), material(11u)); }
fn radiusDensity(d: vec3f, r: f32) -> vec3f { return (exp(-r / d) + exp(-r / (3.0 * d))) / (4.0 * d); }
fn channelShares() -> vec3f {
  let whole = vec3f(0.2126, 0.7152, 0.0722) * s.colour;
  return whole / (whole.x + whole.y + whole.z + 1e-9);
}
// Turns the path into a ray that looks for the spot where the seen light came into the skin.
fn wander(index: u32, base: u32, seed: u32) {
  entry = s;
  entryView = d;
  let share = channelShares();
  let u = sobolSample(index, base, seed);
  let lengths = diffusion();
  let length = select(select(lengths.z, lengths.x, u < share.y + share.x), lengths.y, u < share.y);
  let v = sobolSample(index, base + 1u, seed);
  wandered = select(-3.0 * length * log(1.0 - (4.0 * v - 1.0) / 3.0), -length * log(1.0 - 4.0 * v), v < 0.25);
  let turn = 2.0 * PI * sobolSample(index, base + 2u, seed);
  frame();
  origin = s.p + wandered * (cos(turn) * t1 + sin(turn) * t2) + (wandered + SKIN_LIFT) * s.n;
  d = -s.n;
}
fn emerge(met: bool) {
  d = entryView;
  if (!(met && s.material == entry.material && s.outside && s.distance < 2.0 * (wandered + SKIN_LIFT))) {
    s = entry;
    spread = vec3f(1.0);
    return;
  }
  s.colour = entry.colour;
  let density = radiusDensity(diffusion(), wandered);
  spread = density / dot(channelShares(), density);
}

fn gather(index: u32, base: u32, seed: u32, isFirst: bool, viewZ: f32, part: u32, x: vec3f, y: vec3f, z: vec3f) {
  let isCoated = s.kind == ${COATED}u;
  let isHair = s.kind == ${HAIR}u;
  let alpha = material(4u);
  let eta = material(5u);
  let table = params.coatsAt + u32(max(0.0, material(6u)));
  var ownCoat = 0.0;
  var base0 = 1.0;
  var choice = 0.0;
  if (isCoated) {
    ownCoat = coatReflects(table, viewZ);
    base0 = (1.0 - ownCoat) / (1.0 - material(7u));
    choice = coatChoice(ownCoat);
    frame();
  }
  let c = carried * s.colour / PI;
  let bright = luminanceOf(c);
  for (var layer = 0u; layer < params.lights; layer++) {
    chooseEmitter(lightIndex(layer));
    let own = hashPair(seed, 101u + layer);
    let isOutline = e(19u) == 0.0;
    if (isHair && layer < MOST_LIGHTS) { strandWeight[layer] = 0.0; }
    let drawn = draw(s.start, sobolSample(index, base, own), sobolSample(index, base + 1u, own));
    let l = sample;
    let ratio = isFirst && isOutline && !isHair && part != COAT;
    var open = 0.0;
    var there = 0.0;
    if (ratio) {
      // One place that computes the closed form: first where the path went in, if that is elsewhere.
      for (var k = select(1u, 0u, part == BASE); k < 2u; k++) {
        there = open;
        open = unshadowed(select(s.start, entry.start, k == 0u), select(s.n, entry.n, k == 0u));
      }
    }
    if (part == COAT && layer < MOST_LIGHTS) { through[layer] = 0.0; }
    if (!drawn) { continue; }
    let cosine = dot(l.d, s.n);
    var visible = 0.0;
    if (cosine > select(0.0, 1e-4, isHair) && l.light != 0.0) {
      visible = 1.0;
      if (params.shadows != 0u) { visible = passes(l.d, l.distance); }
    }
    if (part == COAT && layer < MOST_LIGHTS) { through[layer] = visible; }
    if (isHair) {
      if (layer < MOST_LIGHTS && visible > 0.0) {
        strandTo[layer] = vec4f(dot(l.d, x), dot(l.d, y), dot(l.d, z), cosine);
        strandWeight[layer] = l.light * visible / l.pdf;
      }
      continue;
    }
    let weight = select(l.light * cosine * visible / l.pdf, 0.0, visible == 0.0);
    var coupled = base0;
    if (isCoated && cosine > 0.0) { coupled *= 1.0 - coatReflects(table, cosine); }
    var w = vec3f(weight * coupled);
    if (part == BASE) {
      var here = 0.0;
      if (cosine > 0.0 && layer < MOST_LIGHTS) { here = through[layer] * l.light * cosine * coupled / l.pdf; }
      var usual = here;
      if (ratio && open > 0.0) { usual = here * min(MOST_UNLIKE, there / open); }
      w = usual + spread * (w - usual);
    }
    if (ratio) { addDirect(layer, c * w, bright * open, select(0.0, bright * l.plain * cosine / l.pdf, cosine > 0.0)); }
    else if (part != COAT) { addRest(layer, c * w); }
    if (isCoated && weight > 0.0 && part != BASE) {
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

fn bounceCoated(index: u32, base: u32, seed: u32, viewZ: f32, hasWandered: bool) -> bool {
  let isCoated = s.kind == ${COATED}u;
  let u = sobolSample(index, base + 5u, seed);
  let v = sobolSample(index, base + 6u, seed);
  let table = params.coatsAt + u32(max(0.0, material(6u)));
  var own = 0.0;
  var choice = 0.0;
  frame();
  if (isCoated) {
    own = coatReflects(table, viewZ);
    choice = coatChoice(own);
    if (sobolSample(index, base + 4u, seed) < choice) {
      if (hasWandered) {
        s = entry;
        frame();
      }
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
  carried *= k * s.colour * select(vec3f(1.0), spread, hasWandered);
  arrival = COUNTED;
  leave(radius * cos(2.0 * PI * v) * t1 + radius * sin(2.0 * PI * v) * t2 + c * s.n);
  return dot(d, s.g) > 0.0;
}

fn mirrored(tinted: bool) {
  if (tinted) { carried *= select(vec3f(0.0), s.colour, s.outside); }
  arrival = FULL;
  leave(d - 2.0 * dot(d, s.n) * s.n);
}
fn passGlass(u: f32) -> bool {
  let ior = material(5u);
  let thin = material(8u) == 1.0;
  let eta = select(1.0 / ior, ior, s.outside || thin);
  let cosine = -dot(d, s.n);
  let single = fresnel(cosine, eta);
  if (u < select(single, 2.0 * single / (1.0 + single), thin)) {
    mirrored(false);
    return false;
  }
  carried *= s.colour;
  if (thin) {
    leave(d);
    return true;
  }
  let sine2 = (1.0 - cosine * cosine) / (eta * eta);
  leave(d / eta + (cosine / eta - sqrt(max(0.0, 1.0 - sine2))) * s.n);
  return true;
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

fn addGuides(met: bool, isFirst: bool, through: f32) {
  let at = ${GUIDE_STRIDE}u * pixel;
  let plain = met && (s.kind == ${DIFFUSE}u || s.kind == ${COATED}u);
  let albedo = select(vec3f(1.0), s.colour, plain);
  for (var c = 0u; c < 3u; c++) {
    guides[at + c] += albedo[c];
    if (met) {
      guides[at + 3u + c] += s.n[c];
      guides[at + 6u + c] += s.p[c];
      if (isFirst) { guides[at + 9u + c] = s.p[c]; }
    }
  }
  if (met && isFirst) { guides[at + 12u] = through + s.distance; }
  guides[at + 13u] += 1.0;
}

fn tracePath(column: u32, row: u32, index: u32, seed: u32) {
  var lens = vec2f(0.0);
  if (params.lens.x > 0.0) { lens = vec2f(sobolSample(index, 2u, seed), sobolSample(index, 3u, seed)); }
  cameraRay(f32(column) + sobolSample(index, 0u, seed), f32(row) + sobolSample(index, 1u, seed), lens.x, lens.y);
  carried = vec3f(1.0);
  arrival = FULL;
  var camera = true;
  var clear = 0u;
  var ambient = params.ambient != 0u;
  var depth = 0u;
  var isUnder = false;
  var viewZ = 0.0;
  // What is seen through glass guides the filter, not the glass: distance passed, or negative once it is told.
  var through = 0.0;
  loop {
    let met = meet(origin, d, camera);
    if (isUnder) { emerge(met); }
    if (through >= 0.0 && !(met && s.kind == ${GLASS}u)) {
      addGuides(met, index == 0u, through);
      through = -1.0;
    }
    if (!isUnder && ambient && select(depth + clear > 0u, depth > 0u && s.wall, met)) {
      addRest(params.lights, carried);
      ambient = false;
    }
    if (!met && !isUnder) { return; }
    if (s.kind == ${EMITTER}u) {
      meetFront();
      return;
    }
    camera = false;
    if (s.kind == ${GLASS}u || s.kind == ${MIRROR}u) {
      clear++;
      var passed = false;
      if (s.kind == ${MIRROR}u) { mirrored(true); }
      else { passed = passGlass(sobolSample(index, 4u + DIMENSIONS * depth + 7u, hashPair(seed, clear))); }
      if (through >= 0.0) {
        if (passed && clear <= MOST_CLEAR) { through += s.distance; }
        else {
          addGuides(met, index == 0u, through);
          through = -1.0;
        }
      }
      if (clear > MOST_CLEAR) { return; }
      continue;
    }
    let base = 4u + DIMENSIONS * depth;
    if (depth > params.bounces) { return; }
    let isHair = s.kind == ${HAIR}u;
    // The strands' frame: x along them, z as near the normal as it may be.
    var x = vec3f(0.0);
    var y = vec3f(0.0);
    if (isHair) {
      x = strandAxis();
      let across = cross(s.n, x);
      y = across / max(1e-6, length(across));
    }
    let z = cross(x, y);
    // Skin at first sight: its coat here, then what lies under it where the light went in.
    let wanders = depth == 0u && clear == 0u && s.kind == ${COATED}u && material(9u) > 0.0;
    if (!isUnder) { viewZ = -dot(d, s.n); }
    gather(index, base, seed, depth == 0u && clear == 0u, viewZ, select(BOTH, select(COAT, BASE, isUnder), wanders), x, y, z);
    if (wanders && !isUnder) {
      isUnder = true;
      wander(index, base, seed);
      continue;
    }
    if (isHair) {
      if (!bounceHair(index, base, seed, depth == 0u && clear == 0u, x, y, z)) { return; }
    } else {
      if (depth == params.bounces && s.kind == ${DIFFUSE}u) { return; }
      if (!bounceCoated(index, base, seed, viewZ, isUnder)) { return; }
    }
    isUnder = false;
    depth++;
    let keep = min(0.95, max(carried.x, max(carried.y, carried.z)));
    if (!(sobolSample(index, base + 7u, seed) < keep)) { return; }
    carried /= keep;
  }
}

@compute @workgroup_size(8, 8)
fn trace(@builtin(workgroup_id) group: vec3u, @builtin(local_invocation_id) local: vec3u) {
  let place = group.y * ${TILE_ROW}u + group.x;
  if (place >= tiles[3]) { return; }
  let across = (params.width + 7u) / 8u;
  let tile = vec2u(tiles[4u + place] % across, tiles[4u + place] / across);
  let id = 8u * tile + local.xy;
  if (id.x >= params.width || id.y >= params.rows) { return; }
  pixel = id.y * params.width + id.x;
  let y = id.y + params.originRow;
  let seed = hashPair(hashPair(params.seed, y * params.width + id.x), 1u);
  // Each pixel goes on from its own count: some have had more passes than others.
  let first = u32(guides[${GUIDE_STRIDE}u * pixel + 13u]);
  for (var i = first; i < first + params.samples; i++) {
    isOdd = (i & 1u) == 1u;
    tracePath(id.x, y, i, seed);
  }
}
`;

/** The whole module; entry point `trace`, 8 × 8 pixels a workgroup. */
export const traceWgsl: string = [
  head,
  randomWgsl,
  coatWgsl,
  traversalWgsl,
  surfaceWgsl,
  emitterWgsl,
  fibreWgsl,
  path,
].join("");
