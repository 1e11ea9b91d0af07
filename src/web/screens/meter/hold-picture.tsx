/** How to hold the meter, from above: the head, the receptor at its point, the light it points at. */

import type { ReactNode } from "react";
import { type Light, pointOf, polarOf, positionOf, type Setup } from "../../../setup/index.ts";

export function HoldPicture({ setup, light }: { setup: Setup; light: Light }): ReactNode {
  const { azimuthDeg } = polarOf(positionOf(light.place, setup), setup);
  const point = pointOf(setup, light.meterAt.point);
  const aimDeg = light.meterAt.aim === "camera" ? 0 : azimuthDeg;
  // Screen: the camera is down, picture-right is right; 1 px is 9 mm around the head.
  const at = (deg: number, r: number): [number, number] => {
    const a = (deg * Math.PI) / 180;
    return [Math.sin(a) * r, Math.cos(a) * r];
  };
  const [px, py] = [(point.position[0] / 0.009) * 1.15, (point.position[2] / 0.009) * 1.15];
  const [lx, ly] = at(azimuthDeg, 40);
  const scale = light.meterAt.point.startsWith("backdrop") ? 0 : 1;
  return (
    <svg width="96" height="96" viewBox="-54 -56 108 108" className="hold" aria-hidden="true">
      <ellipse cx="0" cy="-12" rx="9.5" ry="11.5" fill="var(--well)" stroke="var(--ink2)" strokeWidth="1.4" />
      <path d="M-2.6 -.4L0 4L2.6 -.4Z" fill="var(--ink)" />
      <g transform={`translate(${(px * scale).toFixed(1)},${(py * scale).toFixed(1)}) rotate(${90 - aimDeg})`}>
        <path d="M4 -7.5a7.5 7.5 0 0 1 0 15Z" fill="var(--panel)" stroke="var(--ink)" strokeWidth="2.2" />
        <path d="M14.5 0H21M18 -3.6L21.6 0L18 3.6" fill="none" stroke="var(--ink)" strokeWidth="1.8" />
      </g>
      <path
        d={`M${lx - 11},${ly}l5,-5h12l5,5l-5,5h-12Z`}
        fill={`var(--l${light.hue})`}
        stroke="var(--key)"
        strokeWidth="var(--keyw)"
      />
      <text x={lx} y={ly + 3.4} textAnchor="middle" fontSize="9" fontWeight="700" fill={`var(--on${light.hue})`}>
        {light.tag}
      </text>
    </svg>
  );
}
