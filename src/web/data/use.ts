/** React's way into the sessions: one hook each, re-rendering only when the value changed. */

import { useSyncExternalStore } from "react";
import type { Kit } from "../../setup/index.ts";
import type { DocumentLink, Keep, Present } from "./document-link.ts";
import type { KitSession } from "./kit-session.ts";
import { type Preferences, preferences, watchPreferences } from "./preferences.ts";
import type { SetupSession, SetupView } from "./setup-session.ts";

export const useSetupView = (session: SetupSession): SetupView | null =>
  useSyncExternalStore(session.watch, session.view);

export const useKeep = (link: { watch: SetupSession["link"]["watch"]; keep: () => Keep }): Keep =>
  useSyncExternalStore(link.watch, link.keep);

export const usePresence = (link: DocumentLink): readonly Present[] => useSyncExternalStore(link.watch, link.presence);

export const useKit = (session: KitSession): Kit | null => useSyncExternalStore(session.watch, session.kit);

export const usePreferences = (): Preferences => useSyncExternalStore(watchPreferences, preferences);
