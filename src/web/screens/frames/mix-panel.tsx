/**
 * The mixer: the ladder whose jaws are dragged, a row per light with its switch and colour, the ratios as shot and
 * mixed, and what the mix asks of the heads, written to the setup as targets on request.
 */

import { type ReactNode, useMemo, useState } from "react";
import type { MixSetting } from "../../../frames/index.ts";
import { applyEdits, type Edit, type Light, type Setup } from "../../../setup/index.ts";
import type { SetupReport } from "../../../solve/index.ts";
import { printTurn, stops as toStops } from "../../../units/index.ts";
import type { SetupSession } from "../../data/setup-session.ts";
import { FaultBox } from "../../parts/fault-box.tsx";
import { Reading } from "../../parts/reading.tsx";
import { Tag } from "../../parts/tag.tsx";
import { MixLadder, type MixRail } from "./mix-ladder.tsx";

interface Props {
  readonly session: SetupSession;
  readonly setup: Setup;
  readonly report: SetupReport;
  /** Lights that have a frame of their own, and "ambient" where there is a frame of none. */
  readonly settings: readonly MixSetting[];
  readonly change: (settings: readonly MixSetting[]) => void;
  /** Stops between patches 1 and 2, as shot and mixed; null without two patches. */
  readonly patchSteps: { readonly words: string; readonly shot: number; readonly mixed: number } | null;
  readonly children?: ReactNode;
}

export function MixPanel({ session, setup, report, settings, change, patchSteps, children }: Props): ReactNode {
  const rails = settings.flatMap((setting) => railOf(setup, report, setting));
  const set = (lightId: string, part: Partial<MixSetting>): void =>
    change(settings.map((one) => (one.lightId === lightId ? { ...one, ...part } : one)));
  const isAsShot = settings.every(({ on, stops, miredShift }) => on && stops === 0 && miredShift === 0);
  const asShot = (): void => change(settings.map((one) => ({ ...one, on: true, stops: 0, miredShift: 0 })));
  return (
    <section className="pane frames-right" aria-label="Mixer">
      <div className="pane-head">
        <h2>Ladder</h2>
        <span className="quiet">drag a light's jaws to mix</span>
        <div className="spring" />
        <button type="button" className="button" disabled={isAsShot} onClick={asShot}>
          As shot
        </button>
      </div>
      <div className="frames-right-scroll">
        {rails.length > 0 && (
          <MixLadder
            apertureAv={setup.exposure.apertureAv}
            rails={rails}
            move={(lightId, stops) => set(lightId, { stops })}
          />
        )}
        <table className="mix-rows">
          <thead>
            <tr>
              <th scope="col">light</th>
              <th scope="col">in the mix</th>
              <th scope="col">cooler to warmer</th>
              <th scope="col">reads</th>
            </tr>
          </thead>
          <tbody>
            {settings.map((setting) => (
              <MixRow key={setting.lightId} setup={setup} report={report} setting={setting} set={set} />
            ))}
          </tbody>
        </table>
        <Ratios setup={setup} report={report} settings={settings} patchSteps={patchSteps} />
        {children}
      </div>
      <Apply session={session} setup={setup} settings={settings} />
    </section>
  );
}

interface RowProps {
  readonly setup: Setup;
  readonly report: SetupReport;
  readonly setting: MixSetting;
  readonly set: (lightId: string, part: Partial<MixSetting>) => void;
}

function MixRow({ setup, report, setting, set }: RowProps): ReactNode {
  const { lightId, on, stops, miredShift } = setting;
  const light = setup.lights.find(({ id }) => id === lightId);
  const name = light === undefined ? "room" : `${light.tag} ${light.role}`;
  const shot = shotAv(report, lightId);
  return (
    <tr>
      <td>
        <Tag tag={light?.tag ?? "R"} hue={light?.hue ?? 0} solid={on} />
      </td>
      <td>
        <div className="choice">
          <button type="button" aria-pressed={on} aria-label={`on, ${name}`} onClick={() => set(lightId, { on: !on })}>
            {on ? "on" : "off"}
          </button>
        </div>
      </td>
      <td>
        <input
          type="range"
          min="-150"
          max="150"
          step="5"
          value={miredShift}
          aria-label={`Colour of ${name}, mired; positive is warmer`}
          onChange={(event) => set(lightId, { miredShift: Number(event.target.value) })}
        />
        <small className="quiet">
          {miredShift === 0 ? "as shot" : `${miredShift > 0 ? "+" : "−"}${Math.abs(miredShift)} mired`}
        </small>
      </td>
      <td>{shot === null || !on ? <small>–</small> : <Reading av={shot + stops} />}</td>
    </tr>
  );
}

/** What the light read as its frame was shot: metered, else predicted. */
function shotAv(report: SetupReport, lightId: string): number | null {
  if (lightId === "ambient") return report.room.reading?.av ?? null;
  const told = report.lights.find((one) => one.lightId === lightId);
  return told?.readingAv ?? told?.predicted.av ?? null;
}

function railOf(setup: Setup, report: SetupReport, { lightId, stops, on }: MixSetting): readonly MixRail[] {
  const light = setup.lights.find(({ id }) => id === lightId);
  const told = report.lights.find((one) => one.lightId === lightId);
  if (light === undefined || told === undefined) return [];
  const { tag, hue, role } = light;
  return [{ lightId, tag, hue, role, shotAv: shotAv(report, lightId), isMetered: told.readingAv !== null, stops, on }];
}

function Ratios({
  setup,
  report,
  settings,
  patchSteps,
}: Pick<Props, "setup" | "report" | "settings" | "patchSteps">): ReactNode {
  const find = (role: Light["role"]): { readonly av: number; readonly stops: number } | null => {
    const light = setup.lights.find((one) => one.role === role);
    const setting = settings.find((one) => one.lightId === light?.id);
    const av = light === undefined ? null : shotAv(report, light.id);
    return setting === undefined || av === null || !setting.on ? null : { av, stops: setting.stops };
  };
  const [main, fill] = [find("main"), find("fill")];
  if ((main === null || fill === null) && patchSteps === null) return null;
  return (
    <table className="mix-rows mix-ratios">
      <thead>
        <tr>
          <td />
          <th scope="col">as shot</th>
          <th scope="col">mixed</th>
        </tr>
      </thead>
      <tbody>
        {main !== null && fill !== null && (
          <tr>
            <th scope="row">main to fill, light to light</th>
            <td>{ratioWords(main.av - fill.av)}</td>
            <td>{ratioWords(main.av + main.stops - fill.av - fill.stops)}</td>
          </tr>
        )}
        {patchSteps !== null && (
          <tr>
            <th scope="row">{patchSteps.words}</th>
            <td>{ratioWords(patchSteps.shot)}</td>
            <td>{ratioWords(patchSteps.mixed)}</td>
          </tr>
        )}
      </tbody>
    </table>
  );
}

function ratioWords(stops: number): ReactNode {
  const size = Math.abs(stops);
  const ratio = 2 ** size;
  const words = ratio < 10 ? ratio.toFixed(1).replace(/\.0$/, "") : `about ${Math.round(ratio)}`;
  return (
    <>
      {size.toFixed(1)} stops <b>{stops >= 0 ? `${words}:1` : `1:${words}`}</b>
    </>
  );
}

/** The mix as targets of the setup. Meter then says the turns. */
function Apply({ session, setup, settings }: Pick<Props, "session" | "setup" | "settings">): ReactNode {
  const [done, setDone] = useState<string | null>(null);
  const edits = useMemo(() => mixEdits(setup, session.view()?.report ?? null, settings), [setup, session, settings]);
  const words = editWords(setup, settings);
  const edited = useMemo(() => applyEdits(setup, edits), [setup, edits]);
  const after = useMemo(
    () => (edited.ok && edits.length > 0 ? session.solver().report(edited.value) : null),
    [session, edited, edits],
  );
  const coloured = settings.filter(({ miredShift, lightId }) => miredShift !== 0 && lightId !== "ambient");
  const apply = (): void => {
    const result = session.change("the mix as targets", edits);
    setDone(result.ok ? words : null);
  };
  return (
    <div className="mix-apply">
      {after !== null && (
        <ul>
          {after.lights.flatMap((told) => {
            const setting = settings.find(({ lightId }) => lightId === told.lightId);
            if (setting === undefined || !setting.on || setting.stops === 0) return [];
            const turn = told.turn ?? told.plan;
            return [
              <li key={told.lightId}>
                <b>{told.tag}</b> {turn.words}
                {turn.dialTo !== turn.dialFrom && `, dial ${turn.dialFrom} to ${turn.dialTo}`}
              </li>,
            ];
          })}
        </ul>
      )}
      {coloured.length > 0 && (
        <p className="quiet">
          Colours stay in the mix: hang the gel on the head, then its shift belongs in Plan, under the light's gels.
        </p>
      )}
      {!edited.ok && <FaultBox faults={edited.faults} />}
      {done !== null && edits.length === 0 && (
        <p role="status">In the setup: {done}. Meter says the turns that are left.</p>
      )}
      <button type="button" className="button strong" disabled={edits.length === 0 || !edited.ok} onClick={apply}>
        {edits.length === 0 ? "Apply to setup" : `Apply to setup: ${words}`}
      </button>
    </div>
  );
}

/** "F up 0.4, H down 0.7, E off" */
function editWords(setup: Setup, settings: readonly MixSetting[]): string {
  return settings
    .flatMap(({ lightId, on, stops }) => {
      const tag = setup.lights.find(({ id }) => id === lightId)?.tag;
      if (tag === undefined || (on && stops === 0)) return [];
      return [on ? `${tag} ${printTurn(toStops(stops))}` : `${tag} off`];
    })
    .join(", ");
}

/** Each turned light's target, so many stops from what it reads now; lights that are off in the mix go off. */
export function mixEdits(setup: Setup, report: SetupReport | null, settings: readonly MixSetting[]): readonly Edit[] {
  return settings.flatMap(({ lightId, on, stops }): readonly Edit[] => {
    const light = setup.lights.find(({ id }) => id === lightId);
    if (light === undefined || report === null) return [];
    if (!on) return light.on ? [{ kind: "light", id: light.id, set: { on: false } }] : [];
    const shot = shotAv(report, lightId);
    if (stops === 0 || shot === null) return [];
    // Hundredths: what was read need not stand on a tenth, and the turn is to be the one that was mixed.
    const under = Math.round((setup.exposure.apertureAv - shot - stops) * 100) / 100 || 0;
    const target = { kind: "under", stops: under } as const;
    const same = light.target.kind === "under" && light.target.stops === under;
    return same ? [] : [{ kind: "light", id: light.id, set: { target } }];
  });
}
