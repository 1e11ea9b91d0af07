/** Where the last edit is, in words: on this machine, on its way, in this browser, nowhere. */

import type { ReactNode } from "react";
import type { DocumentLink, Keep } from "../data/document-link.ts";
import { useKeep } from "../data/use.ts";
import { OfflineMark } from "./marks.tsx";

export function KeepLine({ link }: { link: DocumentLink }): ReactNode {
  const keep = useKeep(link);
  const away = keep.place === "browser" || keep.place === "memory" || keep.place === "refused";
  return (
    <span className="state" role="status" data-keep={keep.place}>
      {away && <OfflineMark />}
      {keepWords(keep)}
    </span>
  );
}

export function keepWords(keep: Keep): string {
  const kept = keep.waiting === 1 ? "1 edit" : `${keep.waiting} edits`;
  switch (keep.place) {
    case "opening":
      return "Opening";
    case "machine":
      return `Kept on this machine ${clock(keep.at)}`;
    case "sending":
      return keep.waiting === 0 ? "Asking the machine" : `${kept} on the way to this machine`;
    case "browser":
      return keep.waiting === 0 ? "Offline, all kept here" : `Offline, ${kept} kept in this browser`;
    case "memory":
      return `Not kept: this browser stores nothing, and the server is away (${kept})`;
    case "refused":
      return `Not sent: ${keep.reason}`;
  }
}

function clock(at: Date | null): string {
  if (at === null) return "";
  return at.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });
}
