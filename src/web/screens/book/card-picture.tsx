/**
 * The predicted picture on a card, where this browser keeps one. A setup may have changed since: its look is then asked
 * for once, and a picture of an earlier state says so.
 */

import { type ReactNode, useEffect, useState } from "react";
import { parseSetup } from "../../../setup/index.ts";
import type { BookCard } from "../../../store/types.ts";
import { ask } from "../../data/book.ts";
import { type KeptCardPicture, keepCardPicture, keptCardPicture, watchPictures } from "../../data/kept-pictures.ts";

type Age = "asking" | "present" | "earlier";

export function CardPicture({ card }: { card: BookCard }): ReactNode {
  const { id, changedAt } = card;
  const [kept, setKept] = useState<KeptCardPicture | null>(null);
  const [age, setAge] = useState<Age>("asking");
  useEffect(() => {
    let current = true;
    const look = async (): Promise<void> => {
      const found = await keptCardPicture(id);
      if (!current || found === null) return;
      setKept(found);
      const known = found.sameFor === changedAt ? "present" : await ageOf(id, found, changedAt);
      if (current) setAge(known);
    };
    void look();
    const unwatch = watchPictures((changed) => changed === id && void look());
    return () => {
      current = false;
      unwatch();
    };
  }, [id, changedAt]);
  if (kept === null) return null;
  const { source, width, height } = kept.picture;
  return (
    <figure className="card-picture" data-age={age}>
      <img src={source} width={width} height={height} alt={`${card.title}, all lights together, as predicted`} />
      {age !== "present" && (
        <figcaption>{age === "earlier" ? "of an earlier state" : "may be of an earlier state"}</figcaption>
      )}
    </figure>
  );
}

/** Holds the kept look against the setup on the server. */
async function ageOf(id: string, kept: KeptCardPicture, changedAt: string): Promise<Age> {
  const answer = await ask<unknown>("GET", `/api/setups/${encodeURIComponent(id)}`);
  const setup = answer.ok ? parseSetup(answer.value) : null;
  if (setup === null || !setup.ok) return "asking";
  const { lookOf, sameLook } = await import("../../../work/index.ts");
  if (!sameLook(lookOf(setup.value), kept.look)) return "earlier";
  await keepCardPicture(id, { ...kept, sameFor: changedAt });
  return "present";
}
