/** Fetches each frame's linear proxy once and hands it to the mixing worker. */

import { useEffect, useRef, useState } from "react";
import { unpackHalf } from "../../../frames/index.ts";
import type { FrameCard } from "../../../store/types.ts";
import { fault } from "../../../units/index.ts";
import type { FrameSession } from "./frame-session.ts";
import type { MixJob } from "./mix-job.ts";

/** Ids of the frames that the worker has. */
export function useProxies(cards: readonly FrameCard[], job: MixJob, session: FrameSession): ReadonlySet<string> {
  const [given, setGiven] = useState<ReadonlySet<string>>(new Set());
  const asked = useRef(new Set<string>());
  useEffect(() => {
    for (const card of cards) {
      if (asked.current.has(card.id)) continue;
      asked.current.add(card.id);
      void fetchProxy(card, job, session).then((ok) => {
        if (ok) setGiven((before) => new Set([...before, card.id]));
        else asked.current.delete(card.id);
      });
    }
    const ids = new Set(cards.map(({ id }) => id));
    const gone = [...asked.current].filter((id) => !ids.has(id));
    for (const id of gone) {
      asked.current.delete(id);
      job.drop(id);
    }
    if (gone.length > 0) setGiven((before) => new Set([...before].filter((id) => ids.has(id))));
  }, [cards, job, session]);
  return given;
}

async function fetchProxy(card: FrameCard, job: MixJob, session: FrameSession): Promise<boolean> {
  const { id, name, proxy, basis, exposure } = card;
  const pixels = proxy.width * proxy.height;
  const response = await fetch(`/api/frames/${encodeURIComponent(id)}/proxy`).catch(() => null);
  const bytes = response?.ok ? await response.arrayBuffer() : null;
  if (bytes === null || bytes.byteLength !== 7 * pixels) {
    session.tell([
      fault("no-proxy", `The pixels of ${name} did not come`, name, "Load the page again, or add the file once more."),
    ]);
    return false;
  }
  const rgb = unpackHalf(new Uint16Array(bytes, 0, 3 * pixels));
  const clipped = new Uint8Array(bytes.slice(6 * pixels));
  const { width, height, reduction, noise, balance, toSrgb } = proxy;
  job.give({ id, name, width, height, rgb, clipped, basis, noise, reduction, exposure, balance, toSrgb });
  return true;
}
