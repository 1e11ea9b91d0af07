/** What this device prefers: theme, lengths, tenths or thirds, its own name. Kept in the browser only. */

export interface Preferences {
  readonly theme: "dark" | "light";
  readonly lengths: "metric" | "feet";
  readonly step: "tenth" | "third";
  readonly device: string;
  readonly speak: boolean;
}

const KEY = "stopwise.preferences";
const listeners = new Set<() => void>();
let current: Preferences = read();

export const preferences = (): Preferences => current;

export function setPreferences(change: Partial<Preferences>): void {
  current = { ...current, ...change };
  document.documentElement.dataset.theme = current.theme;
  try {
    localStorage.setItem(KEY, JSON.stringify(current));
  } catch {
    // A private window may refuse: the preference then lasts as long as the page.
  }
  for (const listener of listeners) listener();
}

export function watchPreferences(listener: () => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

function read(): Preferences {
  const preferred = matchMedia("(prefers-color-scheme: light)").matches ? "light" : "dark";
  const defaults: Preferences = {
    theme: preferred,
    lengths: "metric",
    step: "tenth",
    device: defaultDevice(),
    speak: false,
  };
  try {
    const kept = localStorage.getItem(KEY);
    return kept === null ? defaults : { ...defaults, ...(JSON.parse(kept) as Partial<Preferences>) };
  } catch {
    return defaults;
  }
}

function defaultDevice(): string {
  return matchMedia("(pointer: coarse) and (max-width: 600px)").matches ? "phone" : "desk";
}
