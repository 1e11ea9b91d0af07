/** The Book's side column: words, lights, here and now, roles, ratio, tags. */

import { type ReactNode, useId } from "react";
import type { Role } from "../../../setup/index.ts";
import type { BookCard } from "../../../store/types.ts";
import { usePhone } from "../../parts/use-size.ts";
import { type BookFilter, noFilter } from "./filter-logic.ts";

interface Props {
  readonly filter: BookFilter;
  readonly change: (filter: BookFilter) => void;
  readonly cards: readonly BookCard[];
}

const ROLES: readonly Role[] = ["main", "fill", "edge", "hair", "background", "card"];

export function Filters({ filter, change, cards }: Props): ReactNode {
  const tags = [...new Set([...cards.flatMap((c) => c.tags), ...(filter.tag === null ? [] : [filter.tag])])].sort();
  const tick = (label: string, on: boolean, set: (on: boolean) => BookFilter): ReactNode => (
    <label className="tick">
      <input type="checkbox" checked={on} onChange={(event) => change(set(event.target.checked))} /> {label}
    </label>
  );
  const phone = usePhone();
  return (
    <aside className="filters" aria-label="Find in the Book">
      <label className="entry">
        <span className="unseen">Search the Book</span>
        <input
          type="search"
          placeholder="Search the Book"
          value={filter.text}
          onChange={(event) => change({ ...filter, text: event.target.value })}
        />
      </label>
      <details open={!phone || undefined} className="filter-more">
        <summary>{phone ? "Filter the Book" : "Filters"}</summary>
        <Part name="Lights">
          <div className="number-keys">
            {[1, 2, 3, 4, 5].map((n) => (
              <button
                key={n}
                type="button"
                aria-pressed={filter.lights === n}
                onClick={() => change({ ...filter, lights: filter.lights === n ? null : n })}
              >
                {n}
              </button>
            ))}
          </div>
        </Part>
        <Part name="Here and now">
          {tick("Kit here can build it", filter.kitHere, (kitHere) => ({ ...filter, kitHere }))}
          {tick("Fits this room", filter.fitsHere, (fitsHere) => ({ ...filter, fitsHere }))}
          {tick("Met last time", filter.met, (met) => ({ ...filter, met }))}
        </Part>
        <Part name="Roles">
          {ROLES.map((role) => (
            <div key={role}>
              {tick(role, filter.roles.includes(role), (on) => ({
                ...filter,
                roles: on ? [...filter.roles, role] : filter.roles.filter((r) => r !== role),
              }))}
            </div>
          ))}
        </Part>
        <Part name="Main to fill, stops, light to light">
          <div className="number-keys">
            {[1, 2, 3, 4].map((n) => (
              <button
                key={n}
                type="button"
                aria-pressed={filter.mainToFill === n}
                onClick={() => change({ ...filter, mainToFill: filter.mainToFill === n ? null : n })}
              >
                {n}
              </button>
            ))}
          </div>
        </Part>
        {tags.length > 0 && (
          <Part name="Tags">
            <div className="tag-words">
              {tags.map((tag) => (
                <button
                  key={tag}
                  type="button"
                  aria-pressed={filter.tag === tag}
                  onClick={() => change({ ...filter, tag: filter.tag === tag ? null : tag })}
                >
                  {tag}
                </button>
              ))}
            </div>
          </Part>
        )}
        <button type="button" className="button" onClick={() => change(noFilter)}>
          Show all
        </button>
      </details>
    </aside>
  );
}

/** A group under its name. Not a fieldset: WebKit counts the height of its legend twice when it is laid out again. */
function Part({ name, children }: { readonly name: string; readonly children: ReactNode }): ReactNode {
  const id = useId();
  return (
    <div role="group" aria-labelledby={id}>
      <p id={id} className="filter-name">
        {name}
      </p>
      {children}
    </div>
  );
}
