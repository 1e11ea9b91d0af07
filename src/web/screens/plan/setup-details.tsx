/** The details beside the plan: the chosen light or panel in full, what the light does, and the rest of the setup. */

import type { ReactNode } from "react";
import type { Kit, Setup } from "../../../setup/index.ts";
import type { SetupReport } from "../../../solve/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { FaceGroup } from "./details/face-group.tsx";
import { LightGroup } from "./details/light-group.tsx";
import { PanelGroup, PanelsGroup } from "./details/panel-group.tsx";
import { BackdropGroup, CameraGroup, RoomGroup, SetupGroup } from "./details/place-groups.tsx";
import { SitterGroup, SittersGroup } from "./details/sitter-groups.tsx";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly selected: string | null;
  readonly select: (id: string) => void;
  readonly kit: Kit | null;
}

export function SetupDetails({ session, setup, report, selected, select, kit }: Props): ReactNode {
  const light = setup.lights.find((l) => l.id === selected);
  const panel = setup.panels.find((p) => p.id === selected);
  const both = { session, setup };
  return (
    <section className="pane details-pane" aria-label="Details">
      {light !== undefined && <LightGroup key={light.id} {...both} light={light} kit={kit} />}
      {panel !== undefined && <PanelGroup key={panel.id} {...both} panel={panel} />}
      <FaceGroup setup={setup} report={report} light={light ?? null} />
      <SitterGroup {...both} />
      <SittersGroup {...both} />
      <PanelsGroup {...both} kit={kit} select={select} />
      <CameraGroup {...both} />
      <BackdropGroup {...both} />
      <RoomGroup {...both} />
      <SetupGroup {...both} />
    </section>
  );
}
