/** The page starts here: theme, service worker, shell. */

import { createRoot } from "react-dom/client";
import { Shell } from "./app/shell.tsx";
import { setPreferences } from "./data/preferences.ts";
import "./styles/tokens.css";
import "./styles/base.css";

setPreferences({});

const root = document.getElementById("root");
if (root !== null) createRoot(root).render(<Shell />);

if ("serviceWorker" in navigator && import.meta.env.PROD) {
  // Offline is a courtesy of secure origins; the page works without it and says where edits are kept.
  addEventListener("load", () => void navigator.serviceWorker.register("/sw.js").catch(() => undefined));
}
