/** How often a random test repeats: a few times in `npm test`, the full count in `npm run test:long`. */

/** True in `npm run test:long`. */
export const long: boolean = process.env.STOPWISE_TEST_COUNTS === "long";

/** The count for this run. */
export function counts(short: number, full: number): number {
  return long ? full : short;
}
