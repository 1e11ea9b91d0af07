/**
 * Gauss–Legendre nodes and weights on [0, 1], found by Newton's method on the Legendre polynomial from the
 * usual cosine guess (Abramowitz & Stegun 25.4.29–30). Exact for polynomials up to degree 2n − 1.
 */

export interface Rule {
  readonly nodes: Float64Array;
  readonly weights: Float64Array;
}

const known = new Map<number, Rule>();

/** The n-point rule on [0, 1], n ≥ 1; the same object every time. */
export function gaussLegendre(n: number): Rule {
  const kept = known.get(n);
  if (kept) return kept;
  if (!Number.isInteger(n) || n < 1) throw new RangeError(`a quadrature rule needs a whole number of points, not ${n}`);
  const nodes = new Float64Array(n);
  const weights = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (n + 0.5));
    let slope = 1;
    for (let step = 0; step < 100; step++) {
      const [value, derivative] = legendre(n, x);
      slope = derivative;
      const change = value / derivative;
      x -= change;
      if (Math.abs(change) < 1e-15) break;
    }
    // From [−1, 1] to [0, 1], ascending.
    nodes[n - 1 - i] = (1 + x) / 2;
    weights[n - 1 - i] = 1 / ((1 - x * x) * slope * slope);
  }
  const rule: Rule = { nodes, weights };
  known.set(n, rule);
  return rule;
}

/** P_n(x) and its derivative by the three-term recurrence. */
function legendre(n: number, x: number): [number, number] {
  let before = 1;
  let now = x;
  for (let k = 2; k <= n; k++) {
    const next = ((2 * k - 1) * x * now - (k - 1) * before) / k;
    before = now;
    now = next;
  }
  if (n === 1) before = 1;
  return [now, (n * (before - x * now)) / (1 - x * x)];
}
