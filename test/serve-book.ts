/** A server in a process of its own, for tests that kill it: `serve-book.ts DIR PORT`; says its address when ready. */

import { randomUUID } from "node:crypto";
import { closeOnSignals, startServer } from "../src/server/index.ts";
import { formatFault } from "../src/units/index.ts";

const [dataDir = "", port = "0"] = process.argv.slice(2);
const started = await startServer({
  dataDir,
  port: Number(port),
  webDir: "nowhere",
  seedDemo: true,
  now: () => new Date(),
  newId: () => randomUUID(),
});
if (started.ok) {
  closeOnSignals(started.value, () => process.exit(0));
  console.log(
    JSON.stringify({
      pid: process.pid,
      address: started.value.address,
      port: started.value.port,
      ...started.value.store.identity,
    }),
  );
} else {
  console.error(started.faults.map(formatFault).join("\n"));
  process.exit(1);
}
