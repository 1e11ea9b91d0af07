/** Where every foot stands, measured from the cross under the nose: what a tape needs. */

import type { ReactNode } from "react";
import { lightBody, positionOf, type Setup } from "../../../setup/index.ts";
import { useLength } from "../../data/use-length.ts";
import { Tag } from "../../parts/tag.tsx";

export function CrossTable({ setup, selected }: { setup: Setup; selected: string | null }): ReactNode {
  const length = useLength();
  const across = (x: number): string =>
    Math.abs(x) < 0.005 ? "0" : `${length(Math.abs(x))} ${x < 0 ? "left" : "right"}`;
  const along = (z: number): string =>
    Math.abs(z) < 0.005 ? "0" : `${length(Math.abs(z))} ${z > 0 ? "in front" : "behind"}`;
  return (
    <table className="cross-table">
      <thead>
        <tr>
          <th scope="col">from the cross</th>
          <th scope="col">camera</th>
          <th scope="col">front or behind</th>
        </tr>
      </thead>
      <tbody>
        {setup.lights.map((light) => {
          const foot = lightBody(setup, light).stand?.foot ?? positionOf(light.place, setup);
          return (
            <tr key={light.id} data-selected={light.id === selected}>
              <th scope="row">
                <Tag tag={light.tag} hue={light.hue} /> {light.support.kind === "boom" && <small>boom stand</small>}
              </th>
              <td>{across(foot[0])}</td>
              <td>{along(foot[2])}</td>
            </tr>
          );
        })}
        {setup.panels.map((panel) => {
          const at = positionOf(panel.place, setup);
          return (
            <tr key={panel.id} data-selected={panel.id === selected}>
              <th scope="row">{panel.name}</th>
              <td>{across(at[0])}</td>
              <td>{along(at[2])}</td>
            </tr>
          );
        })}
        <tr>
          <th scope="row">lens</th>
          <td>{across(setup.camera.position.xM)}</td>
          <td>{along(setup.camera.position.zM)}</td>
        </tr>
      </tbody>
    </table>
  );
}
