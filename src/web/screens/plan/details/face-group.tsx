/** What the light does: pattern, catchlights, depth of field, softness, how far one may lean, spill. */

import type { ReactNode } from "react";
import { type Light, pointOf, type Setup } from "../../../../setup/index.ts";
import type { SetupReport } from "../../../../solve/index.ts";
import { printStops, stops } from "../../../../units/index.ts";
import { useLength } from "../../../data/use-length.ts";
import { Group } from "./group.tsx";

export function FaceGroup({
  setup,
  report,
  light,
}: {
  setup: Setup;
  report: SetupReport;
  light: Light | null;
}): ReactNode {
  const print = useLength();
  const length = (m: number | null): string => (m === null ? "beyond measure" : print(m));
  const facts = [
    ...faceFacts(setup, report),
    ...cameraFacts(report, length),
    ...lightFacts(setup, report, light, length),
  ];
  return (
    <Group name="What it does" open>
      <dl>
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </Group>
  );
}

type Fact = readonly [name: string, value: string];

function faceFacts(setup: Setup, report: SetupReport): Fact[] {
  if (setup.subject.kind !== "person") return [];
  const tagOf = (id: string): string => setup.lights.find((l) => l.id === id)?.tag ?? "";
  const { pattern } = report;
  return [
    ["pattern, best match", [pattern.name, ...pattern.neighbours.map((n) => `near ${n}`)].join(", ")],
    ["eye sockets", pattern.eyeSockets],
    ...report.catchlights.map(
      (c): Fact => [
        `catchlight ${tagOf(c.lightId)}`,
        c.insideIris ? `${c.words}, ${c.widthMm.toFixed(1)} × ${c.heightMm.toFixed(1)} mm` : "outside the iris",
      ],
    ),
    ...report.evenness.map(
      (e): Fact => [
        e.name,
        `${e.spreadStops === null ? "part of it is dark" : `${e.spreadStops.toFixed(1)} stops`}, limit ${e.limitStops.toFixed(1)}`,
      ],
    ),
    ...report.drift.map((d): Fact => [`drift of ${tagOf(d.lightId)}`, d.words]),
  ];
}

function cameraFacts(report: SetupReport, length: (m: number | null) => string): Fact[] {
  const { camera } = report;
  return [
    ["depth of field", `${length(camera.nearM)} to ${length(camera.farM)}`],
    ["frame at the nose", `${length(camera.fieldWidthM)} × ${length(camera.fieldHeightM)}`],
  ];
}

function lightFacts(
  setup: Setup,
  report: SetupReport,
  light: Light | null,
  length: (m: number | null) => string,
): Fact[] {
  const one = report.lights.find((l) => l.lightId === light?.id);
  if (one === undefined) return [];
  const spill = report.spill.filter((s) => s.lightId === one.lightId && s.underWorkingStops !== null);
  return [
    [`${one.tag} softness`, `${one.solidAngleSr.toFixed(2)} sr, ${one.solidAnglePercent.toFixed(1)} % of the sphere`],
    [
      `a tenth of ${one.tag} by leaning`,
      `${length(one.lean.tenthTowardM)} toward, ${length(one.lean.tenthAwayM)} away`,
    ],
    [
      `a third of ${one.tag} by leaning`,
      `${length(one.lean.thirdTowardM)} toward, ${length(one.lean.thirdAwayM)} away`,
    ],
    ...spill.map(
      (s): Fact => [
        `${one.tag} on ${pointOf(setup, s.point).words}`,
        `${printStops(stops(-(s.underWorkingStops ?? 0)))} from working`,
      ],
    ),
  ];
}
