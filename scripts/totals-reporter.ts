/**
 * A reporter for node:test that writes the run's own totals as one line of JSON and nothing else, so that the
 * closing line of `npm test` need not be read off the text meant for people.
 */

import type { TestEvent } from "node:test/reporters";

/** What one run of node's test runner came to; a suite is no test, a cancelled test has failed. */
export interface Totals {
  readonly passed: number;
  readonly failed: number;
  readonly skipped: number;
}

/** Called by the runner with all events of a run; the summary without a file is the whole run's. */
export default async function* totalsReporter(events: AsyncIterable<TestEvent>): AsyncGenerator<string> {
  for await (const event of events) {
    if (event.type !== "test:summary" || event.data.file !== undefined) continue;
    const { tests, passed, skipped, todo } = event.data.counts;
    const totals: Totals = { passed, failed: tests - passed - skipped - todo, skipped: skipped + todo };
    yield `${JSON.stringify(totals)}\n`;
  }
}
