/** The WGSL twin of coat.ts. Part of trace.wgsl.ts. */

import { COAT_STEPS } from "./coat.ts";

export const coatWgsl: string = /* wgsl */ `
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
