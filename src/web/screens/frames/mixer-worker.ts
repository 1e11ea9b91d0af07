/** The frames' own thread: keeps their linear pixels, checks the sum, mixes, reads patches, watches, advises. */

import type { FromMixer, ToMixer } from "./messages.ts";
import { Mixer } from "./mixer.ts";

const scope = self as unknown as {
  postMessage(message: FromMixer, transfer?: Transferable[]): void;
  onmessage: ((event: MessageEvent<ToMixer>) => void) | null;
};

const mixer = new Mixer((message, transfer) => scope.postMessage(message, transfer));

scope.onmessage = ({ data }) => {
  try {
    mixer.hear(data);
  } catch (cause) {
    scope.postMessage({ kind: "failed", what: cause instanceof Error ? cause.message : String(cause) });
  }
};
