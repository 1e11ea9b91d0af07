/** The page's half of picture-card.bench.ts. */

import { openDevice } from "../src/gpu/index.ts";
import { measureCard, SMALL } from "./picture-card.ts";

try {
  const opened = await openDevice();
  if (!opened.ok) console.log(`nothing measured: ${opened.why}`);
  else {
    console.log(opened.name);
    await measureCard(opened.device, SMALL, (line) => console.log(line));
  }
} catch (cause) {
  console.log(`nothing measured: ${cause instanceof Error ? cause.message : String(cause)}`);
}
Object.assign(globalThis, { done: true });
