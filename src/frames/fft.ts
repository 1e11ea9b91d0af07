/**
 * The discrete Fourier transform of squares whose side is a power of two (Cooley and Tukey 1965), in place, over two
 * arrays for the real and the imaginary part. Sixty lines serve registration; a library would be longer to explain.
 */

/** Cosines and sines of one side, made once. */
export interface Fft {
  readonly side: number;
  /** Forward transform of side × side values, rows then columns; no scale. */
  forward(re: Float64Array, im: Float64Array): void;
  /** Backward, divided by side²: forward and back is the same. */
  backward(re: Float64Array, im: Float64Array): void;
}

/** RangeError unless the side is a power of two. */
export function createFft(side: number): Fft {
  if (side < 1 || (side & (side - 1)) !== 0) throw new RangeError(`the side ${side} is no power of two`);
  const cosines = Float64Array.from({ length: side / 2 }, (_, i) => Math.cos((2 * Math.PI * i) / side));
  const sines = Float64Array.from({ length: side / 2 }, (_, i) => Math.sin((2 * Math.PI * i) / side));
  const lineRe = new Float64Array(side);
  const lineIm = new Float64Array(side);

  /** One line, decimation in time; `sign` −1 forward. */
  const transform = (re: Float64Array, im: Float64Array, sign: number): void => {
    reverseBits(re, im, side);
    for (let size = 2; size <= side; size *= 2) {
      const [half, stride] = [size / 2, side / size];
      for (let start = 0; start < side; start += size) {
        for (let k = 0; k < half; k++) {
          const [c, s] = [cosines[k * stride] as number, sign * (sines[k * stride] as number)];
          const [i, j] = [start + k, start + k + half];
          const tr = c * (re[j] as number) - s * (im[j] as number);
          const ti = c * (im[j] as number) + s * (re[j] as number);
          re[j] = (re[i] as number) - tr;
          im[j] = (im[i] as number) - ti;
          re[i] = (re[i] as number) + tr;
          im[i] = (im[i] as number) + ti;
        }
      }
    }
  };

  const both = (re: Float64Array, im: Float64Array, sign: number): void => {
    for (let y = 0; y < side; y++)
      transform(re.subarray(y * side, (y + 1) * side), im.subarray(y * side, (y + 1) * side), sign);
    for (let x = 0; x < side; x++) {
      for (let y = 0; y < side; y++) {
        lineRe[y] = re[y * side + x] as number;
        lineIm[y] = im[y * side + x] as number;
      }
      transform(lineRe, lineIm, sign);
      for (let y = 0; y < side; y++) {
        re[y * side + x] = lineRe[y] as number;
        im[y * side + x] = lineIm[y] as number;
      }
    }
  };

  return {
    side,
    forward: (re, im) => both(re, im, -1),
    backward: (re, im) => {
      both(re, im, 1);
      const scale = 1 / (side * side);
      for (let i = 0; i < re.length; i++) {
        re[i] = scale * (re[i] as number);
        im[i] = scale * (im[i] as number);
      }
    },
  };
}

function reverseBits(re: Float64Array, im: Float64Array, side: number): void {
  for (let i = 1, j = 0; i < side; i++) {
    let bit = side >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i >= j) continue;
    [re[i], re[j]] = [re[j] as number, re[i] as number];
    [im[i], im[j]] = [im[j] as number, im[i] as number];
  }
}
