/**
 * The lines on which lights are named by temperature. Planck: M ∝ λ⁻⁵/(exp(c₂/λT) − 1), c₂ = 1.4388·10⁻² m·K,
 * weighted by the CIE 1931 2° functions. Daylight: CIE 15, valid 4000 to 25 000 K. A cubic fit to Planck
 * without tables: Kang et al. 2002, valid 1667 to 25 000 K, up to 0.0006 off in x near 2700 K.
 */

import { failure, fault, type Kelvin, type Result, success } from "../units/index.ts";
import { type Uv, uvOfXy, type Xy, xyOfUv, xyOfXyz } from "./chromaticity.ts";
import { cmf, cmfFromNm, cmfStepNm } from "./cie-1931-table.ts";

/** Second radiation constant as the CIE tables use it, m·K. */
const c2 = 1.4388e-2;

/** Chromaticity of a Planckian radiator; accurate to 5·10⁻⁶. Temperature above 0 (else RangeError). */
export function planckianXy(temperature: Kelvin): Xy {
  if (!(temperature > 0)) throw new RangeError(`a radiator needs a temperature above 0 K, got ${temperature}`);
  let [X, Y, Z] = [0, 0, 0];
  for (let i = 0; 3 * i < cmf.length; i += 1) {
    const metres = (cmfFromNm + i * cmfStepNm) * 1e-9;
    const power = relativePower(metres, temperature);
    X += power * (cmf[3 * i] as number);
    Y += power * (cmf[3 * i + 1] as number);
    Z += power * (cmf[3 * i + 2] as number);
  }
  return xyOfXyz({ X, Y, Z });
}

/** CIE 1960 (u, v) of a Planckian radiator. */
export const planckianUv = (temperature: Kelvin): Uv => uvOfXy(planckianXy(temperature));

/**
 * The chromaticity that lies `duv` off the Planckian locus at a colour temperature: the inverse of
 * `nearestPlanckian` for |duv| < 0.05.
 */
export function xyOfWhite(temperature: Kelvin, duv: number): Xy {
  const { u, v } = planckianUv(temperature);
  const normal = greenNormal(temperature);
  return xyOfUv({ u: u + duv * normal.u, v: v + duv * normal.v });
}

/** Unit vector across the locus in (u, v), toward green. */
export function greenNormal(temperature: Kelvin): Uv {
  const reciprocal = 1e6 / temperature;
  const warmer = planckianUv((1e6 / (reciprocal + 0.01)) as Kelvin);
  const cooler = planckianUv((1e6 / (reciprocal - 0.01)) as Kelvin);
  const [du, dv] = [warmer.u - cooler.u, warmer.v - cooler.v];
  const length = Math.hypot(du, dv);
  return { u: -dv / length, v: du / length };
}

/** The cubic fit of Kang et al. 2002 to the Planckian locus. */
export function planckianFitXy(temperature: Kelvin, where = "colour temperature"): Result<Xy> {
  if (!(temperature >= 1667 && temperature <= 25000)) return outside(temperature, 1667, 25000, where);
  const t = 1e3 / temperature;
  const x =
    temperature <= 4000
      ? -0.2661239 * t ** 3 - 0.2343589 * t ** 2 + 0.8776956 * t + 0.17991
      : -3.0258469 * t ** 3 + 2.1070379 * t ** 2 + 0.2226347 * t + 0.24039;
  const [a, b, c, d] =
    temperature <= 2222
      ? [-1.1063814, -1.3481102, 2.18555832, -0.20219683]
      : temperature <= 4000
        ? [-0.9549476, -1.37418593, 2.09137015, -0.16748867]
        : [3.081758, -5.8733867, 3.75112997, -0.37001483];
  return success({ x, y: ((a * x + b) * x + c) * x + d });
}

/** The CIE daylight locus. */
export function daylightXy(temperature: Kelvin, where = "colour temperature"): Result<Xy> {
  if (!(temperature >= 4000 && temperature <= 25000)) return outside(temperature, 4000, 25000, where);
  const t = 1e3 / temperature;
  const x =
    temperature <= 7000
      ? -4.607 * t ** 3 + 2.9678 * t ** 2 + 0.09911 * t + 0.244063
      : -2.0064 * t ** 3 + 1.9018 * t ** 2 + 0.24748 * t + 0.23704;
  return success({ x, y: -3 * x * x + 2.87 * x - 0.275 });
}

/** Planck's law without its constants; scaled so that hot radiators do not overflow. */
function relativePower(metres: number, temperature: number): number {
  return (metres * 1e9) ** -5 / Math.expm1(c2 / (metres * temperature));
}

function outside(temperature: number, low: number, high: number, where: string): Result<never> {
  return failure(
    fault(
      "colour-out-of-range",
      `${temperature} K lies outside ${low} to ${high} K`,
      where,
      `Give ${low} to ${high} K.`,
    ),
  );
}
