/** Stands, booms, cards and flags. */

import type { ReactNode } from "react";
import type { KitPanel, Support } from "../../../setup/index.ts";
import { LengthCell, NameCell, PlainNumber, type TableProps } from "./item-cells.tsx";

export function SupportTable({ kit, change }: TableProps): ReactNode {
  const set = (id: string, part: Partial<Support>): void =>
    change((k) => ({ ...k, supports: k.supports.map((s) => (s.id === id ? { ...s, ...part } : s)) }));
  return (
    <section aria-labelledby="kit-supports">
      <div className="pane-head">
        <h2 id="kit-supports">Stands and booms</h2>
        <span className="quiet">what the tipping and balance checks count with</span>
      </div>
      <div className="kit-scroll">
        <table className="kit-table">
          <thead>
            <tr>
              <th scope="col">stand</th>
              <th scope="col">how many</th>
              <th scope="col">mass</th>
              <th scope="col">legs</th>
              <th scope="col">foot radius</th>
              <th scope="col">highest</th>
              <th scope="col">boom reach</th>
            </tr>
          </thead>
          <tbody>
            {kit.supports.map((s) => (
              <tr key={s.id}>
                <th scope="row">
                  <NameCell label="stand’s name" value={s.name} commit={(name) => set(s.id, { name })} />
                </th>
                <td>
                  <PlainNumber
                    label={`${s.name}, how many`}
                    value={s.count}
                    unit=""
                    least={0}
                    most={99}
                    commit={(count) => set(s.id, { count: Math.round(count) })}
                  />
                </td>
                <td>
                  <PlainNumber
                    label={`${s.name}, mass`}
                    value={s.massKg}
                    unit="kg"
                    least={0.2}
                    most={80}
                    commit={(massKg) => set(s.id, { massKg })}
                  />
                </td>
                <td>
                  <PlainNumber
                    label={`${s.name}, legs`}
                    value={s.legs}
                    unit=""
                    least={3}
                    most={6}
                    commit={(legs) => set(s.id, { legs: Math.round(legs) })}
                  />
                </td>
                <td>
                  <LengthCell
                    label={`${s.name}, foot radius`}
                    value={s.footRadiusM}
                    commit={(footRadiusM) => set(s.id, { footRadiusM })}
                  />
                </td>
                <td>
                  <LengthCell
                    label={`${s.name}, highest`}
                    value={s.maxHeightM}
                    commit={(maxHeightM) => set(s.id, { maxHeightM })}
                  />
                </td>
                <td>
                  {s.kind === "boom" ? (
                    <LengthCell
                      label={`${s.name}, boom reach`}
                      value={s.boomReachM}
                      commit={(boomReachM) => set(s.id, { boomReachM })}
                    />
                  ) : (
                    <span className="quiet">no boom</span>
                  )}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

export function PanelTable({ kit, change }: TableProps): ReactNode {
  const set = (id: string, part: Partial<KitPanel>): void =>
    change((k) => ({ ...k, panels: k.panels.map((p) => (p.id === id ? { ...p, ...part } : p)) }));
  return (
    <section aria-labelledby="kit-panels">
      <div className="pane-head">
        <h2 id="kit-panels">Cards and flags</h2>
      </div>
      <div className="kit-scroll">
        <table className="kit-table">
          <thead>
            <tr>
              <th scope="col">panel</th>
              <th scope="col">how many</th>
              <th scope="col">width</th>
              <th scope="col">height</th>
              <th scope="col">returns</th>
            </tr>
          </thead>
          <tbody>
            {kit.panels.map((p) => (
              <tr key={p.id}>
                <th scope="row">
                  <NameCell label="panel’s name" value={p.name} commit={(name) => set(p.id, { name })} />
                </th>
                <td>
                  <PlainNumber
                    label={`${p.name}, how many`}
                    value={p.count}
                    unit=""
                    least={0}
                    most={99}
                    commit={(count) => set(p.id, { count: Math.round(count) })}
                  />
                </td>
                <td>
                  <LengthCell label={`${p.name}, width`} value={p.widthM} commit={(widthM) => set(p.id, { widthM })} />
                </td>
                <td>
                  <LengthCell
                    label={`${p.name}, height`}
                    value={p.heightM}
                    commit={(heightM) => set(p.id, { heightM })}
                  />
                </td>
                <td>
                  <PlainNumber
                    label={`${p.name}, returns`}
                    value={Math.round(p.reflectance * 100)}
                    unit="%"
                    least={0}
                    most={98}
                    commit={(percent) => set(p.id, { reflectance: percent / 100 })}
                  />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}
