/** The filters of `GET /api/cards`, from its query string. */

import type { Role } from "../setup/index.ts";
import type { CardFilter } from "../store/index.ts";
import { type Fault, failure, fault, type Result, success } from "../units/index.ts";

const roles: readonly Role[] = ["main", "fill", "edge", "hair", "background", "card"];
const longestText = 200;

type Reader = (value: string) => Partial<CardFilter> | null;

const readers: Readonly<Record<string, Reader>> = {
  text: (value) => (value.length <= longestText ? { text: value } : null),
  lights: (value) => whole(value, 64, (lights) => ({ lights })),
  mainToFill: (value) => (/^-?\d{1,2}(\.\d{1,4})?$/.test(value) ? { mainToFill: Number(value) } : null),
  tag: (value) => (value.length <= longestText ? { tag: value } : null),
  medium: (value) => (value === "flash" || value === "continuous" ? { medium: value } : null),
  met: (value) => yesNo(value, (met) => ({ met })),
  kitHere: (value) => yesNo(value, (kitHere) => ({ kitHere })),
  fitsHere: (value) => yesNo(value, (fitsHere) => ({ fitsHere })),
  offset: (value) => whole(value, 1e9, (offset) => ({ offset })),
  limit: (value) => whole(value, 200, (limit) => ({ limit })),
};

/** Every fault of the query, or the filter. `role` may stand several times; of the others, the last counts. */
export function readCardQuery(query: URLSearchParams): Result<CardFilter> {
  const faults: Fault[] = [];
  let filter: CardFilter = {};
  const bad = (name: string, mend: string): void =>
    void faults.push(fault("bad-query", `"${name}" cannot be searched for like this`, name.slice(0, 60), mend));
  const wanted: Role[] = [];
  for (const [name, value] of query) {
    if (name === "role") {
      const role = roles.find((known) => known === value);
      if (role === undefined) bad(name, `Use one of ${roles.join(", ")}.`);
      else wanted.push(role);
      continue;
    }
    const read = Object.hasOwn(readers, name) ? readers[name]?.(value) : undefined;
    if (read === undefined) bad(name.slice(0, 60), `Use ${Object.keys(readers).join(", ")} or role.`);
    else if (read === null) bad(name, "See docs/internals.md for what this filter takes.");
    else filter = { ...filter, ...read };
  }
  if (faults.length > 0) return failure(...faults.slice(0, 20));
  return success(wanted.length > 0 ? { ...filter, roles: wanted } : filter);
}

const whole = (value: string, most: number, shape: (n: number) => Partial<CardFilter>): Partial<CardFilter> | null =>
  /^\d{1,10}$/.test(value) && Number(value) <= most ? shape(Number(value)) : null;

const yesNo = (value: string, shape: (yes: boolean) => Partial<CardFilter>): Partial<CardFilter> | null =>
  value === "1" || value === "0" ? shape(value === "1") : null;
