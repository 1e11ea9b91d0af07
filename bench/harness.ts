/**
 * What every bench shares: contenders are warmed, then take turns round by round (A, B, A, B …), so that a
 * machine that slows down slows all of them; every result goes into a sink, so that nothing computed may be
 * left out; the row says the minimum, the median and the 95th percentile. Times in milliseconds.
 */

import { cpus, loadavg, release } from "node:os";

export interface Contender {
  readonly name: string;
  /** Done before each round and not timed: what the round needs fresh. */
  readonly prepare?: (round: number) => void;
  /** One round; a number that depends on everything it computed. */
  readonly run: (round: number) => number;
}

export interface Timing {
  readonly name: string;
  readonly minMs: number;
  readonly medianMs: number;
  readonly p95Ms: number;
}

export interface Turns {
  readonly rounds: number;
  /** Rounds before the clock counts; half of `rounds`, at least 3, when absent. */
  readonly warm?: number;
}

let sink = 0;

/** Lets the contenders take turns and prints a row for each. */
export function race(contenders: readonly Contender[], { rounds, warm = Math.max(3, rounds >> 1) }: Turns): Timing[] {
  const times = contenders.map(() => [] as number[]);
  for (let round = -warm; round < rounds; round++) {
    contenders.forEach((contender, i) => {
      contender.prepare?.(round);
      const start = performance.now();
      const result = contender.run(round);
      const took = performance.now() - start;
      consume(result);
      if (round >= 0) times[i]?.push(took);
    });
  }
  const timings = contenders.map(({ name }, i) => timingOf(name, times[i] ?? []));
  for (const timing of timings) printTiming(timing, rounds);
  return timings;
}

/** Takes a result in, so that computing it cannot be skipped. NaN is a mistake of the bench. */
export function consume(result: number): void {
  if (Number.isNaN(result)) throw new RangeError("a bench computed NaN");
  sink += result;
}

/** Prints how many times faster or slower one contender was, by minima and by medians. */
export function printRatio(slow: Timing | undefined, fast: Timing | undefined): void {
  if (!slow || !fast) throw new RangeError("a ratio needs two timings");
  const of = (a: number, b: number): string => (a / b).toPrecision(3);
  const [minima, medians] = [of(slow.minMs, fast.minMs), of(slow.medianMs, fast.medianMs)];
  console.log(`   ${slow.name} / ${fast.name}: ${minima} times by minima, ${medians} by medians`);
}

/** Says whether a target was met, by the median: one lucky round is no answer. */
export function printTarget(timing: Timing | undefined, targetMs: number): void {
  if (!timing) throw new RangeError("a target needs a timing");
  const verdict = timing.medianMs < targetMs ? "met" : "MISSED";
  console.log(`   target ${targetMs} ms, ${timing.name}: ${verdict} (median ${milliseconds(timing.medianMs)} ms)`);
}

/** The machine in words, once a bench; and its load, which spoils timings. */
export function printMachine(): void {
  const [first] = cpus();
  const load = loadavg().map((value) => value.toFixed(2));
  console.log(
    `   ${cpus().length} × ${first?.model ?? "?"}, ${process.platform} ${release()}, Node ${process.version}`,
  );
  console.log(`   load ${load.join(" ")} (1, 5, 15 minutes)`);
}

/** Last line of a bench: the sink, so that it is used. */
export function printSink(): void {
  console.log(`   load ${loadavg()[0]?.toFixed(2)} at the end; sink ${sink.toPrecision(6)}`);
}

function timingOf(name: string, times: readonly number[]): Timing {
  const sorted = [...times].sort((a, b) => a - b);
  const at = (share: number): number => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0;
  return { name, minMs: at(0), medianMs: at(0.5), p95Ms: at(0.95) };
}

function printTiming({ name, minMs, medianMs, p95Ms }: Timing, rounds: number): void {
  const cells = [minMs, medianMs, p95Ms].map((ms) => milliseconds(ms).padStart(9));
  console.log(`   ${name.padEnd(58)} min ${cells[0]}  p50 ${cells[1]}  p95 ${cells[2]} ms  (${rounds} rounds)`);
}

const milliseconds = (ms: number): string => (ms < 10 ? ms.toFixed(3) : ms.toFixed(1));
