/**
 * Least squares in a handful of lights over any number of pixels: the normal equations are gathered row by row
 * (G = Σ w·a·aᵀ, h = Σ w·a·b), then solved with every x between bounds. Non-negative least squares is Lawson and
 * Hanson's problem (1974); here it is solved on G by going through the lights one at a time (projected Gauss and
 * Seidel), then exactly on the lights that stand at no bound.
 */

/** Normal equations of n unknowns. */
export interface Gram {
  readonly n: number;
  /** n × n, symmetric. */
  readonly g: Float64Array;
  readonly h: Float64Array;
  /** Σ w·b². */
  bb: number;
  /** Rows that went in. */
  rows: number;
}

export const newGram = (n: number): Gram => ({ n, g: new Float64Array(n * n), h: new Float64Array(n), bb: 0, rows: 0 });

/** Adds one row: a·x ≈ b with weight w (1/σ²). */
export function addRow(gram: Gram, a: ArrayLike<number>, b: number, w = 1): void {
  const { n, g, h } = gram;
  for (let i = 0; i < n; i++) {
    const wi = w * (a[i] as number);
    h[i] = (h[i] as number) + wi * b;
    for (let j = 0; j < n; j++) g[i * n + j] = (g[i * n + j] as number) + wi * (a[j] as number);
  }
  gram.bb += w * b * b;
  gram.rows++;
}

const MOST_SWEEPS = 20_000;

/** x that minimises Σ w·(a·x − b)² with low ≤ x ≤ high (0 and ∞ unless given). A light without any signal stays at its lower bound. */
export function solveBounded(gram: Gram, low?: ArrayLike<number>, high?: ArrayLike<number>): Float64Array {
  const { n, g } = gram;
  const least = (i: number): number => low?.[i] ?? 0;
  const most = (i: number): number => high?.[i] ?? Number.POSITIVE_INFINITY;
  const x = Float64Array.from({ length: n }, (_, i) => least(i));
  for (let sweep = 0; sweep < MOST_SWEEPS; sweep++) {
    let moved = 0;
    for (let i = 0; i < n; i++) {
      const own = g[i * n + i] as number;
      if (!(own > 0)) continue;
      const next = Math.min(most(i), Math.max(least(i), (x[i] as number) + slopeAt(gram, x, i) / own));
      moved = Math.max(moved, Math.abs(next - (x[i] as number)) / (1 + Math.abs(next)));
      x[i] = next;
    }
    if (moved < 1e-9) break;
  }
  const free = [...x.keys()].filter((i) => (x[i] as number) > least(i) && (x[i] as number) < most(i));
  const exact = exactOn(gram, x, free);
  return free.every((i) => (exact[i] as number) >= least(i) && (exact[i] as number) <= most(i)) ? exact : x;
}

/** The same with the free unknowns solved exactly, the others held; unchanged where they are not told apart. */
function exactOn(gram: Gram, x: Float64Array, free: readonly number[]): Float64Array {
  const { n, g, h } = gram;
  const inverse = inverseOf(gram, free);
  if (inverse === null) return x;
  const right = free.map((i) => {
    let rest = h[i] as number;
    for (let j = 0; j < n; j++) if (!free.includes(j)) rest -= (g[i * n + j] as number) * (x[j] as number);
    return rest;
  });
  const exact = Float64Array.from(x);
  free.forEach((i, p) => {
    exact[i] = right.reduce((sum, value, q) => sum + (inverse[p * free.length + q] as number) * value, 0);
  });
  return exact;
}

/** Σ w·(a·x − b)². */
export function squaresOf(gram: Gram, x: ArrayLike<number>): number {
  const { n, g, h } = gram;
  let sum = gram.bb;
  for (let i = 0; i < n; i++) {
    sum -= 2 * (h[i] as number) * (x[i] as number);
    for (let j = 0; j < n; j++) sum += (x[i] as number) * (g[i * n + j] as number) * (x[j] as number);
  }
  return Math.max(0, sum);
}

/** Standard deviations of x when the weights are 1/σ²: roots of the diagonal of G⁻¹; infinite where nothing tells. */
export function sigmasOf(gram: Gram): Float64Array {
  const known = [...gram.h.keys()].filter((i) => (gram.g[i * gram.n + i] as number) > 0);
  const inverse = inverseOf(gram, known);
  const out = new Float64Array(gram.n).fill(Number.POSITIVE_INFINITY);
  if (inverse === null) return out;
  known.forEach((i, p) => {
    out[i] = Math.sqrt(Math.max(0, inverse[p * known.length + p] as number));
  });
  return out;
}

/** Minus half the gradient along i. */
function slopeAt({ n, g, h }: Gram, x: Float64Array, i: number): number {
  let slope = h[i] as number;
  for (let j = 0; j < n; j++) slope -= (g[i * n + j] as number) * (x[j] as number);
  return slope;
}

/** Inverse of the chosen rows and columns (Gauss and Jordan, pivoted, columns scaled to 1); null when singular. */
function inverseOf({ n, g }: Gram, chosen: readonly number[]): Float64Array | null {
  const m = chosen.length;
  const scale = chosen.map((i) => 1 / Math.sqrt(g[i * n + i] as number));
  const rows: Float64Array[] = chosen.map((i, p) => {
    const left = chosen.map((j, q) => (g[i * n + j] as number) * (scale[p] as number) * (scale[q] as number));
    return Float64Array.from([...left, ...chosen.map((_, q) => (p === q ? 1 : 0))]);
  });
  for (let p = 0; p < m; p++) {
    let pivot = p;
    for (let r = p + 1; r < m; r++)
      if (Math.abs(rows[r]?.[p] as number) > Math.abs(rows[pivot]?.[p] as number)) pivot = r;
    [rows[p], rows[pivot]] = [rows[pivot] as Float64Array, rows[p] as Float64Array];
    const row = rows[p] as Float64Array;
    const head = row[p] as number;
    if (!(Math.abs(head) > 1e-12)) return null;
    for (let c = 0; c < 2 * m; c++) row[c] = (row[c] as number) / head;
    rows.forEach((other, r) => {
      const factor = other[p] as number;
      if (r === p || factor === 0) return;
      for (let c = 0; c < 2 * m; c++) other[c] = (other[c] as number) - factor * (row[c] as number);
    });
  }
  return Float64Array.from({ length: m * m }, (_, k) => {
    const [p, q] = [Math.floor(k / m), k % m];
    return (rows[p]?.[m + q] as number) * (scale[p] as number) * (scale[q] as number);
  });
}
