/** Prints lengths as this device prefers them: metres, or feet to the quarter inch. */

import { metres, printLength } from "../../units/index.ts";
import { usePreferences } from "./use.ts";

export function useLength(): (lengthM: number) => string {
  const { lengths } = usePreferences();
  return (lengthM) => printLength(metres(lengthM), { units: lengths === "feet" ? "feet" : "m" });
}
