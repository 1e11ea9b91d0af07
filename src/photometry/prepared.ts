/**
 * A front made ready for the inner loops: its frame as plain numbers, its outline in its own plane, its
 * gains. Kept beside the front it was made from (fronts are immutable), so callers never see it.
 * Own coordinates: x along up × normal, y along up, z along the normal, origin at the centre, metres.
 */

import { dot, length, subtract } from "../units/index.ts";
import { rightOf } from "./front.ts";
import { signedArea } from "./planar.ts";
import type { Front, IntensityField } from "./types.ts";

export interface Prepared {
  readonly cx: number;
  readonly cy: number;
  readonly cz: number;
  readonly rx: number;
  readonly ry: number;
  readonly rz: number;
  readonly ux: number;
  readonly uy: number;
  readonly uz: number;
  readonly nx: number;
  readonly ny: number;
  readonly nz: number;
  /** Outline as x, y pairs; empty for a point. */
  readonly xy: Float64Array;
  readonly corners: number;
  readonly areaM2: number;
  /** Of the circle about the centre that holds the outline. */
  readonly radiusM: number;
  readonly bare: boolean;
  /** Depth over cell of the grid; 0 without one. */
  readonly gridRatio: number;
  readonly gridOpen: number;
  /** n of the cosⁿ intensity lobe; 1 is Lambertian. */
  readonly lobe: number;
  readonly hot: number;
  readonly lipM: number;
  readonly web: IntensityField | null;
  /** The rim of the lip, x, y, z; empty without one. */
  readonly rim: Float64Array;
}

const kept = new WeakMap<Front, Prepared>();

/** The prepared form of a front; the same object every time. Throws RangeError for an outline that is no outline. */
export function prepare(front: Front): Prepared {
  const known = kept.get(front);
  if (known) return known;
  const made = build(front);
  kept.set(front, made);
  return made;
}

function build(front: Front): Prepared {
  const right = rightOf(front);
  const corners = front.outline.length;
  if (corners > 64) throw new RangeError("a front has at most 64 corners");
  const xy = new Float64Array(2 * corners);
  let radiusM = 0;
  front.outline.forEach((corner, i) => {
    const offset = subtract(corner, front.centre);
    xy[2 * i] = dot(offset, right);
    xy[2 * i + 1] = dot(offset, front.up);
    radiusM = Math.max(radiusM, length(offset));
  });
  const areaM2 = signedArea(xy, corners);
  if (corners > 0 && !(areaM2 > 0)) throw new RangeError("a front's outline runs counter-clockwise seen from in front");
  const lipM = front.lipM ?? 0;
  return {
    ...{ cx: front.centre[0], cy: front.centre[1], cz: front.centre[2] },
    ...{ rx: right[0], ry: right[1], rz: right[2] },
    ...{ ux: front.up[0], uy: front.up[1], uz: front.up[2] },
    ...{ nx: front.normal[0], ny: front.normal[1], nz: front.normal[2] },
    ...{ xy, corners, areaM2, radiusM, lipM },
    bare: front.shape === "bare",
    gridRatio: front.grid ? front.grid.depthM / front.grid.cellM : 0,
    gridOpen: front.grid?.openFraction ?? 1,
    lobe: front.lobeExponent ?? 1,
    hot: front.hotCentre ?? 0,
    web: front.web ?? null,
    rim: lipM > 0 ? lifted(xy, corners, lipM) : new Float64Array(0),
  };
}

function lifted(xy: Float64Array, corners: number, z: number): Float64Array {
  const rim = new Float64Array(3 * corners);
  for (let i = 0; i < corners; i++) {
    rim[3 * i] = xy[2 * i] as number;
    rim[3 * i + 1] = xy[2 * i + 1] as number;
    rim[3 * i + 2] = z;
  }
  return rim;
}

/** Intensity on the axis per unit of flux, 1/sr, far away, without grid or lip. */
export function axialIntensity(p: Prepared): number {
  if (p.web) return p.web.intensity(0, 0) / p.web.fluxLm;
  if (p.bare) return 1 / (4 * Math.PI);
  return (p.lobe + 1) / (2 * Math.PI);
}
