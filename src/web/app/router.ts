/** The page's addresses: `/`, `/new`, `/kit`, `/devices`, `/setup/ID/plan|meter|frames|sheet`, with `?why=` for an open ledger. */

import { useSyncExternalStore } from "react";

export type SetupScreen = "plan" | "meter" | "frames" | "sheet";

export type Route =
  | { readonly screen: "book" }
  | { readonly screen: "new" }
  | { readonly screen: "kit" }
  | { readonly screen: "devices" }
  | { readonly screen: SetupScreen; readonly setupId: string }
  | { readonly screen: "nowhere"; readonly path: string };

export function parseRoute(path: string): Route {
  if (path === "/" || path === "/index.html") return { screen: "book" };
  if (path === "/new") return { screen: "new" };
  if (path === "/kit") return { screen: "kit" };
  if (path === "/devices") return { screen: "devices" };
  const match = /^\/setup\/([^/]+)\/(plan|meter|frames|sheet)$/.exec(path);
  if (match?.[1] !== undefined) return { screen: match[2] as SetupScreen, setupId: decodeURIComponent(match[1]) };
  return { screen: "nowhere", path };
}

export const setupPath = (id: string, screen: SetupScreen): string => `/setup/${encodeURIComponent(id)}/${screen}`;

/** Goes to an address of this page. `replace` leaves no step in the browser's history. */
export function go(path: string, replace = false): void {
  if (replace) history.replaceState(null, "", path);
  else history.pushState(null, "", path);
  dispatchEvent(new Event("stopwise:go"));
}

export function useRoute(): Route {
  const address = useAddress();
  return parseRoute(address.split("?")[0] ?? "/");
}

/** One value of the query, and a setter that replaces it in the address. */
export function useQuery(name: string): [string | null, (value: string | null) => void] {
  const address = useAddress();
  const query = new URLSearchParams(address.split("?")[1] ?? "");
  return [
    query.get(name),
    (value) => {
      if (value === null) query.delete(name);
      else query.set(name, value);
      const text = query.toString();
      go(location.pathname + (text === "" ? "" : `?${text}`), value === null);
    },
  ];
}

const useAddress = (): string => useSyncExternalStore(watchAddress, () => location.pathname + location.search);

function watchAddress(listener: () => void): () => void {
  addEventListener("popstate", listener);
  addEventListener("stopwise:go", listener);
  return () => {
    removeEventListener("popstate", listener);
    removeEventListener("stopwise:go", listener);
  };
}
