/**
 * What a device on the network must know on every screen: that its line is not encrypted, that it may only look,
 * that it was put out. Nothing at the computer itself, and nothing where all is as it should be.
 */

import type { ReactNode } from "react";
import { type Session, useSession } from "../data/network.ts";

export function SessionLine(): ReactNode {
  const session = useSession();
  const words = session === null ? [] : wordsOf(session);
  if (words.length === 0) return null;
  return (
    <p className="session-line" role="status">
      {words.join(" ")} {session?.kind === "stranger" && <a href="/pair">Ask to be let in</a>}
    </p>
  );
}

function wordsOf(session: Session): readonly string[] {
  const plain = session.plain ? ["Not encrypted: others on this network can read along. No page without network."] : [];
  switch (session.kind) {
    case "here":
      return [];
    case "stranger":
      return ["This device is not let in, or was put out. What you change now stays in this browser.", ...plain];
    case "device":
      return session.device.permission === "look"
        ? ["This device may look; what it changes is not kept.", ...plain]
        : plain;
  }
}
