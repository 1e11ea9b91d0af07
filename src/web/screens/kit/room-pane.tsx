/** The room one is in: its plan, three measurements, the tone of its walls, and its circuits. */

import type { ReactNode } from "react";
import type { Furniture, Room } from "../../../setup/index.ts";
import { newId } from "../../data/new-id.ts";
import { useLength } from "../../data/use-length.ts";
import { LengthField, NumberField, PercentField, TextField } from "../../parts/fields/fields.tsx";
import type { TableProps } from "./kit-table.tsx";

const SIDES = ["ceiling", "floor", "left", "right", "back", "front"] as const;

export function RoomPane({ kit, change }: TableProps): ReactNode {
  const room = kit.rooms.find((r) => r.id === kit.roomHereId) ?? kit.rooms[0];
  if (room === undefined) return null;
  const set = (part: Partial<Room>): undefined => {
    change((k) => ({ ...k, rooms: k.rooms.map((r) => (r.id === room.id ? { ...r, ...part } : r)) }));
  };
  const add = (): void =>
    change((k) => {
      const fresh: Room = { ...room, id: newId(), name: "New room", openings: [], furniture: [], detectors: [] };
      return { ...k, rooms: [...k.rooms, fresh], roomHereId: fresh.id };
    });
  return (
    <section className="pane room-pane" aria-labelledby="kit-room">
      <div className="pane-head">
        <h2 id="kit-room">Room here</h2>
        <div className="spring" />
        <button type="button" className="button" onClick={add}>
          Add a room
        </button>
      </div>
      <div className="room-fields">
        <label className="entry">
          which
          <select value={room.id} onChange={(event) => change((k) => ({ ...k, roomHereId: event.target.value }))}>
            {kit.rooms.map((r) => (
              <option key={r.id} value={r.id}>
                {r.name}
              </option>
            ))}
          </select>
        </label>
        <RoomDrawing room={room} />
        <Row name="name">
          <TextField inTable needed label="room’s name" value={room.name} most={120} commit={(name) => set({ name })} />
        </Row>
        <Row name="width">
          <LengthField
            inTable
            label="width"
            value={room.widthM}
            commit={(widthM) => set({ widthM, crossFromLeftM: Math.min(room.crossFromLeftM, widthM - 0.3) })}
          />
        </Row>
        <Row name="depth">
          <LengthField
            inTable
            label="depth"
            value={room.depthM}
            commit={(depthM) => set({ depthM, crossFromBackM: Math.min(room.crossFromBackM, depthM - 0.3) })}
          />
        </Row>
        <Row name="ceiling">
          <LengthField inTable label="ceiling" value={room.heightM} commit={(heightM) => set({ heightM })} />
        </Row>
        <Row name="cross from the left wall">
          <LengthField
            inTable
            label="cross from the left wall"
            value={room.crossFromLeftM}
            commit={(crossFromLeftM) => set({ crossFromLeftM })}
          />
        </Row>
        <Row name="cross from the back wall">
          <LengthField
            inTable
            label="cross from the back wall"
            value={room.crossFromBackM}
            commit={(crossFromBackM) => set({ crossFromBackM })}
          />
        </Row>
        <h3>What its surfaces return</h3>
        {SIDES.map((side) => (
          <Row key={side} name={side === "ceiling" || side === "floor" ? side : `${side} wall`}>
            <PercentField
              inTable
              label={`${side} returns`}
              value={room.reflectance[side]}
              commit={(share) => set({ reflectance: { ...room.reflectance, [side]: share } })}
            />
          </Row>
        ))}
        <h3>Circuits</h3>
        {room.circuits.map((circuit) => (
          <Row key={circuit.id} name={circuit.name}>
            <NumberField
              inTable
              label={`${circuit.name}, amperes`}
              value={circuit.amps}
              unit="A"
              least={1}
              most={125}
              commit={(amps) => set({ circuits: room.circuits.map((c) => (c.id === circuit.id ? { ...c, amps } : c)) })}
            />
          </Row>
        ))}
        <button
          type="button"
          className="button"
          onClick={() =>
            set({
              circuits: [
                ...room.circuits,
                { id: newId(), name: `circuit ${room.circuits.length + 1}`, volts: 230, amps: 16 },
              ],
            })
          }
        >
          Add a circuit
        </button>
      </div>
    </section>
  );
}

function Row({ name, children }: { name: string; children: ReactNode }): ReactNode {
  return (
    <div className="room-row">
      <span>{name}</span>
      {children}
    </div>
  );
}

function RoomDrawing({ room }: { room: Room }): ReactNode {
  const length = useLength();
  const k = 300 / Math.max(room.widthM, room.depthM);
  const w = room.widthM * k;
  const d = room.depthM * k;
  const along = (wall: string, from: number, width: number): string => {
    if (wall === "back") return `M${from * k},0h${width * k}`;
    if (wall === "front") return `M${from * k},${d}h${width * k}`;
    return `M${wall === "left" ? 0 : w},${from * k}v${width * k}`;
  };
  return (
    <svg
      viewBox={`-14 -14 ${w + 28} ${d + 34}`}
      className="room-drawing"
      role="img"
      aria-label={`${room.name} from above, to scale`}
    >
      <rect width={w} height={d} fill="var(--floor)" stroke="var(--wall)" strokeWidth="6" />
      {room.openings.map((o) => (
        <path
          key={o.id}
          d={along(o.wall, o.fromM, o.widthM)}
          stroke={o.kind === "door" ? "var(--floor)" : "var(--ink2)"}
          strokeWidth={o.kind === "door" ? 7 : 2.5}
        />
      ))}
      {room.furniture.map((f) => (
        <g key={f.id}>
          <rect
            x={f.fromLeftM * k}
            y={f.fromBackM * k}
            width={f.widthM * k}
            height={f.depthM * k}
            fill="var(--well)"
            stroke="var(--edge)"
          />
          <text
            x={(f.fromLeftM + f.widthM / 2) * k}
            y={(f.fromBackM + f.depthM / 2) * k + 3}
            fontSize="10"
            textAnchor="middle"
            fill="var(--ink2)"
            {...(f.widthM < f.depthM && { transform: upright(f, k) })}
          >
            {f.name}
          </text>
        </g>
      ))}
      <path
        d={`M${room.crossFromLeftM * k - 6},${room.crossFromBackM * k}h12m-6,-6v12`}
        stroke="var(--ink)"
        strokeWidth="1.6"
      />
      <text x={w / 2} y={d + 17} fontSize="12" textAnchor="middle" fill="var(--ink)">
        {length(room.widthM)} wide, {length(room.depthM)} deep
      </text>
    </svg>
  );
}

/** Turns the name of a deep, narrow thing so that it stays inside it. */
const upright = (f: Furniture, k: number): string =>
  `rotate(-90 ${(f.fromLeftM + f.widthM / 2) * k} ${(f.fromBackM + f.depthM / 2) * k})`;
