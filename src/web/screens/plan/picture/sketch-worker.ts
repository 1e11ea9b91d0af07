/** The sketch worker: keeps what the camera sees and answers a moved light at once, without shadows. */

import { frontOf } from "../../../../setup/index.ts";
import { sketchLayer } from "../../../../work/index.ts";
import type { FromSketch, GuidesMessage, ToSketch } from "./messages.ts";

const scope = self as unknown as {
  postMessage(message: FromSketch, transfer?: Transferable[]): void;
  onmessage: ((event: MessageEvent<ToSketch>) => void) | null;
};

let seen: GuidesMessage | null = null;

scope.onmessage = ({ data }) => {
  if (data.kind === "port") {
    data.port.onmessage = (event: MessageEvent<GuidesMessage>) => {
      seen = event.data;
    };
    return;
  }
  const { job, setup, lightIds, view } = data;
  if (seen?.view !== view) {
    scope.postMessage({ job, layers: null });
    return;
  }
  const lights = setup.lights.filter(({ id }) => lightIds.includes(id));
  const { guides, hair } = seen;
  const layers = lights.map((light) => sketchLayer(light.id, frontOf(setup, light), guides, hair));
  const transfer = layers.flatMap((layer) => [layer.rgb.buffer, layer.sigma.buffer]);
  scope.postMessage({ job, layers }, transfer as ArrayBuffer[]);
};
