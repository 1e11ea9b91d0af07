/** Working aperture, ISO and shutter, in the head of the ladder. */

import type { ReactNode } from "react";
import type { Setup } from "../../../setup/index.ts";
import {
  ev,
  iso,
  parseIso,
  parseReading,
  parseShutter,
  printIso,
  printReading,
  success,
} from "../../../units/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { NumberEntry } from "../../parts/number-entry.tsx";

export function ExposureEntry({ session, setup }: { session: SetupSession; setup: Setup }): ReactNode {
  const { exposure } = setup;
  return (
    <div className="exposure-entry">
      <NumberEntry
        label="aperture"
        value={`f/${printReading(ev(exposure.apertureAv), { step: "tenth", zero: false })}`}
        parse={(text) => {
          const parsed = parseReading(text, { where: "working aperture" });
          return parsed.ok ? success(parsed.value.av) : parsed;
        }}
        commit={(apertureAv) => session.change("working aperture", [{ kind: "exposure", set: { apertureAv } }])}
        step={{ current: exposure.apertureAv, by: 1 / 3 }}
      />
      <NumberEntry
        label="ISO"
        value={printIso(iso(exposure.iso))}
        parse={(text) => {
          const parsed = parseIso(text, "ISO");
          return parsed.ok ? success(parsed.value.iso) : parsed;
        }}
        commit={(value) => session.change("ISO", [{ kind: "exposure", set: { iso: value } }])}
      />
      <ShutterEntry session={session} setup={setup} />
    </div>
  );
}

function ShutterEntry({ session, setup }: { session: SetupSession; setup: Setup }): ReactNode {
  let mark = setup.exposure.shutterMark;
  return (
    <NumberEntry
      label="shutter"
      value={`${setup.exposure.shutterMark} s`}
      parse={(text) => {
        const bare = text.replace(/\s*s$/, "");
        const parsed = parseShutter(bare, { where: "shutter" });
        if (parsed.ok) mark = bare;
        return parsed.ok ? success(parsed.value.seconds) : parsed;
      }}
      commit={(shutterS) => session.change("shutter", [{ kind: "exposure", set: { shutterS, shutterMark: mark } }])}
    />
  );
}
