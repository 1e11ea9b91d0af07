/**
 * Light that wanders under skin: normalized diffusion of Christensen & Burley 2015 ("Approximate Reflectance Profiles for
 * Efficient Subsurface Scattering"; from memory). Light that enters at one point leaves at distance r with density
 * R(r) = (e^(−r/d) + e^(−r/3d))/(8π·d·r), which integrates to 1 over the plane; d = ℓ/s, ℓ the diffuse mean free path
 * of the channel and s = 3.5 + 100·(A − 0.33)⁴ its fit to Monte Carlo for albedo A. Metres.
 *
 * Distances are drawn for the three channels by their share of the luminance, so that whatever is drawn carries
 * luminance 1 and noise is left in colour alone (balance heuristic, Veach & Guibas 1995).
 */

/** Skin is looked for so far over the tangent plane beyond the drawn distance, m. */
export const SKIN_LIFT = 0.001;
/** Open light where the path went in counts at most so many times that where it came out. */
export const MOST_UNLIKE = 4;

/** d of one channel, m. */
export const diffusionLength = (meanFreePathM: number, albedo: number): number =>
  meanFreePathM / (3.5 + 100 * (albedo - 0.33) ** 4);

/** Density of the distance r from where light went in, 1/m: 2πr·R(r). */
export const radiusDensity = (d: number, r: number): number => (Math.exp(-r / d) + Math.exp(-r / (3 * d))) / (4 * d);

/** Part of the light that leaves within r. */
export const radiusPart = (d: number, r: number): number => 1 - 0.25 * Math.exp(-r / d) - 0.75 * Math.exp(-r / (3 * d));

/** A distance from u in [0, 1): with chance ¼ the near exponential, with ¾ the far one. */
export function drawRadius(d: number, u: number): number {
  return u < 0.25 ? -d * Math.log(1 - 4 * u) : -3 * d * Math.log(1 - (4 * u - 1) / 3);
}
