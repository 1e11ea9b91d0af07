/** Rays out of the lens: pinhole, or thin lens focused on a plane. Pixel (0, 0) is the upper left. Metres. */

import type { SceneCamera } from "../scene/index.ts";

/** A ray with unit direction. */
export interface Ray {
  ox: number;
  oy: number;
  oz: number;
  dx: number;
  dy: number;
  dz: number;
}

export const newRay = (): Ray => ({ ox: 0.5, oy: 0.5, oz: 0.5, dx: 0.5, dy: 0.5, dz: 0.5 });

/**
 * The ray through picture point (px, py) in pixels of a width × height picture; (lu, lv) in [0, 1)² choose the
 * place on the lens. A picture of another shape than the frame keeps the frame's height.
 */
export function cameraRay(
  camera: SceneCamera,
  width: number,
  height: number,
  px: number,
  py: number,
  lu: number,
  lv: number,
  ray: Ray,
): void {
  const tangent = Math.tan((camera.fovYDeg * Math.PI) / 360);
  const sx = ((2 * px) / width - 1) * tangent * (width / height);
  const sy = (1 - (2 * py) / height) * tangent;
  const { forward: f, right: r, up: u, position: p } = camera;
  let dx = f[0] + sx * r[0] + sy * u[0];
  let dy = f[1] + sx * r[1] + sy * u[1];
  let dz = f[2] + sx * r[2] + sy * u[2];
  [ray.ox, ray.oy, ray.oz] = p;
  if (camera.lensRadiusM > 0) {
    const radius = camera.lensRadiusM * Math.sqrt(lu);
    const a = radius * Math.cos(2 * Math.PI * lv);
    const b = radius * Math.sin(2 * Math.PI * lv);
    // All rays of a picture point meet on the sharp plane.
    const mx = a * r[0] + b * u[0];
    const my = a * r[1] + b * u[1];
    const mz = a * r[2] + b * u[2];
    ray.ox += mx;
    ray.oy += my;
    ray.oz += mz;
    dx = camera.focusM * dx - mx;
    dy = camera.focusM * dy - my;
    dz = camera.focusM * dz - mz;
  }
  const length = Math.sqrt(dx * dx + dy * dy + dz * dz);
  ray.dx = dx / length;
  ray.dy = dy / length;
  ray.dz = dz / length;
}
