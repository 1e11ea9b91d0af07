/**
 * Proxies at rest: 16-bit floats (IEEE 754 binary16), a half of the room, 11 bits of precision, 6e-8 to 65 504.
 * Rounded to nearest, ties to even.
 */

const float = new Float32Array(1);
const word = new Uint32Array(float.buffer);

/** Half-float bits of each value; beyond the range is held at ±65 504. */
export function packHalf(values: Float32Array): Uint16Array {
  return Uint16Array.from(values, halfOf);
}

/** The values again. */
export function unpackHalf(bits: Uint16Array): Float32Array {
  const out = new Float32Array(bits.length);
  for (let i = 0; i < bits.length; i++) {
    const h = bits[i] as number;
    const exponent = (h >> 10) & 31;
    const size = exponent === 0 ? (h & 1023) * 2 ** -24 : (1 + (h & 1023) / 1024) * 2 ** (exponent - 15);
    out[i] = h & 0x8000 ? -size : size;
  }
  return out;
}

function halfOf(value: number): number {
  float[0] = value;
  const sign = ((word[0] as number) >>> 16) & 0x8000;
  const size = Math.min(65_504, Math.abs(value));
  if (!(size > 0)) return sign;
  // Below 2^-14 halves are even multiples of 2^-24; above, 1024 steps to an octave.
  const exponent = Math.max(-14, Math.floor(Math.log2(size)));
  const steps = evenRound(size / 2 ** (exponent - 10));
  return sign | (exponent === -14 ? steps : ((exponent + 14) << 10) + steps);
}

function evenRound(x: number): number {
  const down = Math.floor(x);
  const rest = x - down;
  return rest > 0.5 || (rest === 0.5 && down % 2 === 1) ? down + 1 : down;
}
