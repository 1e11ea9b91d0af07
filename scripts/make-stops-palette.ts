/**
 * Makes src/picture/stops-palette.ts: one colour per stop from −6 to +2, even steps to the eye. A path through OKLab
 * (Ottosson 2020): lightness rises steadily from 0.24 to 0.95, hue turns from blue through green to yellow, chroma as
 * high as nine tenths of what sRGB holds but no more than 0.15; then points at equal distances from each other along that path.
 * Run: node scripts/make-stops-palette.ts > src/picture/stops-palette.ts
 */

const FIRST = -6;
const LAST = 2;
const FINE = 4000;

const srgb = (l: number): number => (l <= 0.0031308 ? 12.92 * l : 1.055 * l ** (1 / 2.4) - 0.055);

function linearOfOklab(L: number, a: number, b: number): [number, number, number] {
  const l = (L + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (L - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (L - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
    -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
    -0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s,
  ];
}

const fits = (rgb: readonly number[]): boolean => rgb.every((c) => c >= -1e-6 && c <= 1 + 1e-6);

/** Highest chroma that sRGB holds at this lightness and hue, by halving. */
function mostChroma(L: number, hue: number): number {
  let [low, high] = [0, 0.4];
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (fits(linearOfOklab(L, middle * Math.cos(hue), middle * Math.sin(hue)))) low = middle;
    else high = middle;
  }
  return low;
}

function pathPoint(t: number): [number, number, number] {
  const L = 0.24 + 0.71 * t;
  const hue = ((280 - 180 * t) * Math.PI) / 180;
  const chroma = Math.min(0.15, 0.9 * mostChroma(L, hue));
  return [L, chroma * Math.cos(hue), chroma * Math.sin(hue)];
}

const path = Array.from({ length: FINE + 1 }, (_, i) => pathPoint(i / FINE));
const count = LAST - FIRST + 1;

/** Places on the path, each `step` from the one before as the crow flies; fewer when the path ends early. */
function walk(step: number): number[] {
  const places = [0];
  for (let i = 1; i <= FINE; i++) {
    const [p, q] = [path[places.at(-1)!]!, path[i]!];
    if (Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]) >= step) places.push(i);
  }
  return places;
}

// The longest step that still fits all colours on the path.
let [short, long] = [0, 1];
for (let i = 0; i < 50; i++) {
  const middle = (short + long) / 2;
  if (walk(middle).length >= count) short = middle;
  else long = middle;
}
const colours = walk(short)
  .slice(0, count)
  .map((i) => linearOfOklab(...path[i]!).map((l) => Math.round(255 * srgb(Math.min(1, Math.max(0, l))))));

process.stdout.write(`/** Colours of the stops, 8-bit sRGB, dark to bright, made by scripts/make-stops-palette.ts. Do not edit. */

/** Stops from the 18 % card that the first colour stands for. */
export const FIRST_STOP: number = ${FIRST};

export const stopColours: readonly (readonly [number, number, number])[] = [
${colours.map((c) => `  [${c.join(", ")}],`).join("\n")}
];
`);
