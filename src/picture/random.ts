/**
 * Integer-only random numbers that a CPU and a GPU compute alike: the PCG output hash (Jarzynski & Olano 2020,
 * "Hash Functions for GPU Rendering", from memory) and Sobol points in four dimensions, Owen-scrambled and
 * shuffled by hashing (Burley 2020, "Practical Hash-based Owen Scrambling", from memory). A sample is named by
 * pixel, index and dimension; nothing is remembered between calls, so any tile or worker draws the same numbers.
 */

/** One word in, one well-mixed word out (uint32). */
export const pcgHash = (word: number): number => mixWord(word) >>> 0;

/** Two words into one (uint32). */
export const hashPair = (a: number, b: number): number => pairWord(a, b) >>> 0;

// Within this file words are signed: those are small integers to the engine, numbers over 2³¹ are boxed.
function mixWord(word: number): number {
  const state = (Math.imul(word, 747796405) + 2891336453) | 0;
  const mixed = Math.imul((state >>> ((state >>> 28) + 4)) ^ state, 277803737);
  return (mixed >>> 22) ^ mixed;
}

const pairWord = (a: number, b: number): number => mixWord(a ^ mixWord(b));

/** A word as a number in [0, 1), 24 bits so that float32 holds it exactly. */
export const unitOf = (word: number): number => (word >>> 8) / 16777216;

/** Dimensions that are well distributed together; sets beyond the first are shuffled copies of it. */
export const SOBOL_DIMENSIONS = 4;

/** Direction numbers of dimensions 1…3 (Joe & Kuo 2008, from memory), made by their recurrences; dimension 0 is bit reversal. */
export const sobolDirections: Uint32Array = makeDirections();

/** XOR of the direction numbers of every byte at every place: per axis 1…3, 4 × 256 words. */
export const sobolBytes: Int32Array = makeBytes();

/**
 * Coordinate `dimension` of sample `index` in [0, 1). `seed` names the pixel. Every four dimensions form one
 * Owen-scrambled Sobol set; the order of its points is shuffled per set, which keeps sets independent.
 */
export function sobolSample(index: number, dimension: number, seed: number): number {
  const axis = dimension & 3;
  const setSeed = pairWord(seed, dimension >>> 2);
  const shuffled = scrambleWord(index, setSeed);
  return unitOf(scrambleWord(pointWord(shuffled, axis), pairWord(setSeed, axis + 1)));
}

/** Sobol point as a word: the XOR of direction numbers at the index's set bits, looked up eight bits at a time. */
export function sobolWord(index: number, axis: number): number {
  return axis === 0 ? reverseBits(index) : pointWord(index, axis) >>> 0;
}

function pointWord(index: number, axis: number): number {
  if (axis === 0) return turnedWord(index);
  const row = 1024 * (axis - 1);
  return (
    (sobolBytes[row + (index & 255)] as number) ^
    (sobolBytes[row + 256 + ((index >>> 8) & 255)] as number) ^
    (sobolBytes[row + 512 + ((index >>> 16) & 255)] as number) ^
    (sobolBytes[row + 768 + (index >>> 24)] as number)
  );
}

/** Nested uniform scrambling: each bit is flipped by a hash of the bits above it (Laine & Karras 2011). */
function scrambleWord(word: number, seed: number): number {
  let x = (turnedWord(word) + seed) | 0;
  x ^= Math.imul(x, 0x6c50b47c);
  x ^= Math.imul(x, 0xb82f1e52);
  x ^= Math.imul(x, 0xc7afe638);
  x ^= Math.imul(x, 0x8d22f6e6);
  return turnedWord(x);
}

export const reverseBits = (word: number): number => turnedWord(word) >>> 0;

function turnedWord(word: number): number {
  let x = word | 0;
  x = ((x >>> 1) & 0x55555555) | ((x & 0x55555555) << 1);
  x = ((x >>> 2) & 0x33333333) | ((x & 0x33333333) << 2);
  x = ((x >>> 4) & 0x0f0f0f0f) | ((x & 0x0f0f0f0f) << 4);
  x = ((x >>> 8) & 0x00ff00ff) | ((x & 0x00ff00ff) << 8);
  return (x >>> 16) | (x << 16);
}

/** Primitive polynomials (degree, inner coefficients, first odd numbers) x+1, x²+x+1, x³+x+1. */
function makeDirections(): Uint32Array {
  const table = new Uint32Array(96);
  const polynomials: readonly (readonly [number, number, readonly number[]])[] = [
    [1, 0, [1]],
    [2, 1, [1, 3]],
    [3, 1, [1, 3, 1]],
  ];
  polynomials.forEach(([degree, inner, first], p) => {
    const v = table.subarray(32 * p, 32 * p + 32);
    for (let i = 0; i < 32; i++) {
      if (i < degree) {
        v[i] = (first[i] as number) << (31 - i);
        continue;
      }
      let word = (v[i - degree] as number) ^ ((v[i - degree] as number) >>> degree);
      for (let k = 1; k < degree; k++) if ((inner >>> (degree - 1 - k)) & 1) word ^= v[i - k] as number;
      v[i] = word;
    }
  });
  return table;
}

function makeBytes(): Int32Array {
  const table = new Int32Array(3 * 1024);
  for (let i = 0; i < table.length; i++) {
    const first = 32 * (i >>> 10) + 8 * ((i >>> 8) & 3);
    let word = 0;
    for (let bit = 0; bit < 8; bit++) if ((i >>> bit) & 1) word ^= sobolDirections[first + bit] as number;
    table[i] = word;
  }
  return table;
}
