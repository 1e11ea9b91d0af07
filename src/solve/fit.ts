/**
 * Small least-squares problems: a weighted straight line, and A·x ≈ b with every x between bounds (active
 * set after Lawson & Hanson 1974 and Stark & Parker 1995, from memory). Sizes here are a handful of lights,
 * so normal equations with pivoting serve.
 */

/** A line y = intercept + slope·x. */
export interface Line {
  readonly slope: number;
  readonly intercept: number;
}

/** Weighted least squares; null when all x are one. Shapes: three arrays of one length. */
export function fitLine(x: readonly number[], y: readonly number[], weights: readonly number[]): Line | null {
  let [sw, sx, sy] = [0, 0, 0];
  x.forEach((xi, i) => {
    const w = weights[i] as number;
    sw += w;
    sx += w * xi;
    sy += w * (y[i] as number);
  });
  const [mx, my] = [sx / sw, sy / sw];
  let [sxx, sxy] = [0, 0];
  // About the means: no digits are lost where x hardly varies.
  x.forEach((xi, i) => {
    const w = weights[i] as number;
    sxx += w * (xi - mx) ** 2;
    sxy += w * (xi - mx) * ((y[i] as number) - my);
  });
  if (!(sxx > 0)) return null;
  const slope = sxy / sxx;
  return { slope, intercept: my - slope * mx };
}

/** Rows of a matrix. */
export type Matrix = readonly (readonly number[])[];

/**
 * x minimising ‖A·x − b‖ with low ≤ x ≤ high (−∞, ∞ allowed). A is m × n with n ≤ m columns of rank n;
 * a free set that is singular keeps its current values.
 */
export function boundedLeastSquares(
  a: Matrix,
  b: readonly number[],
  low: readonly number[],
  high: readonly number[],
): number[] {
  const n = low.length;
  const x = low.map((l, i) => (Number.isFinite(l) ? l : Math.min(0, high[i] as number)));
  const free = new Set<number>();
  for (let round = 0; round < 10 * n + 10; round++) {
    const entering = worstBound(a, b, x, low, high, free);
    if (entering === null) break;
    free.add(entering);
    settle(a, b, x, low, high, free);
  }
  return x;
}

/** The bound variable whose release lowers the error fastest; null when none does. */
function worstBound(
  a: Matrix,
  b: readonly number[],
  x: readonly number[],
  low: readonly number[],
  high: readonly number[],
  free: ReadonlySet<number>,
): number | null {
  const residual = a.map((row, i) => (b[i] as number) - row.reduce((sum, aij, j) => sum + aij * (x[j] as number), 0));
  const scale = Math.max(...b.map(Math.abs), 1e-300);
  let [best, bestGain] = [null as number | null, 1e-10];
  for (let j = 0; j < x.length; j++) {
    if (free.has(j)) continue;
    const column = Math.hypot(...a.map((row) => row[j] as number)) || 1;
    const gradient =
      a.reduce((sum, row, i) => sum + (row[j] as number) * (residual[i] as number), 0) / (column * scale);
    const atLow = x[j] === low[j];
    const atHigh = x[j] === high[j];
    const gain = atLow && !atHigh ? gradient : atHigh && !atLow ? -gradient : atLow ? 0 : Math.abs(gradient);
    if (gain > bestGain) [best, bestGain] = [j, gain];
  }
  return best;
}

/** Solves for the free variables, walking to the nearest bound and holding it until all are inside. */
function settle(
  a: Matrix,
  b: readonly number[],
  x: number[],
  low: readonly number[],
  high: readonly number[],
  free: Set<number>,
): void {
  while (free.size > 0) {
    const columns = [...free].sort((i, j) => i - j);
    const wish = leastSquares(a, b, x, columns);
    if (wish === null) return;
    let step = 1;
    let blocking = -1;
    columns.forEach((j, k) => {
      const [from, to] = [x[j] as number, wish[k] as number];
      const wall = to < (low[j] as number) ? (low[j] as number) : to > (high[j] as number) ? (high[j] as number) : null;
      if (wall === null) return;
      const t = to === from ? 0 : (wall - from) / (to - from);
      if (t < step) [step, blocking] = [Math.max(0, t), j];
    });
    columns.forEach((j, k) => {
      x[j] = (x[j] as number) + step * ((wish[k] as number) - (x[j] as number));
    });
    if (blocking < 0) return;
    const wished = wish[columns.indexOf(blocking)] as number;
    x[blocking] = wished < (low[blocking] as number) ? (low[blocking] as number) : (high[blocking] as number);
    free.delete(blocking);
  }
}

/** Free variables that minimise the error while the others stand. */
function leastSquares(
  a: Matrix,
  b: readonly number[],
  x: readonly number[],
  columns: readonly number[],
): number[] | null {
  const held = b.map((bi, i) =>
    (a[i] as readonly number[]).reduce(
      (rest, aij, j) => (columns.includes(j) ? rest : rest - aij * (x[j] as number)),
      bi,
    ),
  );
  const normal = columns.map((p) => [
    ...columns.map((q) => a.reduce((sum, row) => sum + (row[p] as number) * (row[q] as number), 0)),
    a.reduce((sum, row, i) => sum + (row[p] as number) * (held[i] as number), 0),
  ]);
  return solveInPlace(normal);
}

/** Gauss elimination with pivoting of n rows of n + 1; null when singular. */
function solveInPlace(rows: number[][]): number[] | null {
  const n = rows.length;
  const largest = Math.max(...rows.flatMap((row) => row.slice(0, n).map(Math.abs)));
  for (let p = 0; p < n; p++) {
    let pivot = p;
    for (let r = p + 1; r < n; r++) {
      if (Math.abs(rows[r]?.[p] as number) > Math.abs(rows[pivot]?.[p] as number)) pivot = r;
    }
    [rows[p], rows[pivot]] = [rows[pivot] as number[], rows[p] as number[]];
    const row = rows[p] as number[];
    if (!(Math.abs(row[p] as number) > 1e-14 * largest)) return null;
    for (let r = p + 1; r < n; r++) {
      const below = rows[r] as number[];
      const factor = (below[p] as number) / (row[p] as number);
      for (let c = p; c <= n; c++) below[c] = (below[c] as number) - factor * (row[c] as number);
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let p = n - 1; p >= 0; p--) {
    const row = rows[p] as number[];
    let sum = row[n] as number;
    for (let c = p + 1; c < n; c++) sum -= (row[c] as number) * (x[c] as number);
    x[p] = sum / (row[p] as number);
  }
  return x;
}
