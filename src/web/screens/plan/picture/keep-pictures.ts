/**
 * Sees to it that small pictures of a setup are kept and are of its present look: from the layers that the pane has,
 * or traced small in a thread of their own when nobody looks at the picture. Never in the way: one thread at most.
 */

import type { Layer } from "../../../../picture/index.ts";
import type { Setup } from "../../../../setup/index.ts";
import type { SetupReport } from "../../../../solve/index.ts";
import { lookOf, sameLook, smallPictures } from "../../../../work/index.ts";
import { type KeptPictures, keepPictures, keptPictures } from "../../../data/kept-pictures.ts";
import { liftsOf } from "./lift.ts";
import { shrunk } from "./shrink.ts";
import type { FromSmall, ToSmall } from "./small-worker.ts";

const WIDTH_PX = 200;

let tracing: Worker | null = null;
let panes = 0;

/** While a pane is open its own layers become the pictures; hands back how to close it. */
export function openPane(): () => void {
  panes++;
  return () => {
    panes--;
  };
}

export const isPaneOpen = (): boolean => panes > 0;

/** From layers that are through. */
export async function keepFromLayers(setup: Setup, report: SetupReport, layers: readonly Layer[]): Promise<void> {
  const look = lookOf(setup);
  const old = await keptPictures(setup.id);
  if (old !== null && sameLook(old.look, look)) return;
  const small = layers.map((layer) => shrunk(layer, WIDTH_PX));
  await keepPictures(setup.id, { look, pictures: await smallPictures(setup, small, liftsOf(report)) });
}

/** The kept pictures if they are of the present look, else new ones; null when a newer call took the thread. */
export async function presentPictures(setup: Setup, report: SetupReport): Promise<KeptPictures | null> {
  const look = lookOf(setup);
  const old = await keptPictures(setup.id);
  if (old !== null && sameLook(old.look, look)) return old;
  if (setup.lights.length === 0 && (setup.room.ambientLx ?? 0) === 0) return null;
  const pictures = await traceSmall({ setup, lifts: liftsOf(report) });
  if (pictures === null) return null;
  const kept = { look, pictures };
  await keepPictures(setup.id, kept);
  return kept;
}

/** Ends what is being traced for nobody. */
export function endTracing(): void {
  tracing?.terminate();
  tracing = null;
}

function traceSmall(message: ToSmall): Promise<FromSmall | null> {
  endTracing();
  const worker = new Worker(new URL("./small-worker.ts", import.meta.url), { type: "module" });
  tracing = worker;
  return new Promise((settle) => {
    const end = (pictures: FromSmall | null): void => {
      if (tracing === worker) endTracing();
      settle(pictures);
    };
    worker.onmessage = (event: MessageEvent<FromSmall>) => end(event.data);
    worker.onerror = () => end(null);
    worker.postMessage(message);
  });
}
