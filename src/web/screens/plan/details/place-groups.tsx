/** The camera, the backdrop and this setup's own copy of the room: "what if the hall is 0.6 m narrower?" */

import type { ReactNode } from "react";
import { srgbDecode } from "../../../../colour/index.ts";
import type { Backdrop, Camera, Room, Setup } from "../../../../setup/index.ts";
import { meterToCamera } from "../../../../solve/index.ts";
import type { Result } from "../../../../units/index.ts";
import { LengthField, NumberField, PercentField, parseNumber, TickField } from "../../../parts/fields/fields.tsx";
import { NumberEntry } from "../../../parts/number-entry.tsx";
import { Group, type GroupProps } from "./group.tsx";

export function CameraGroup({ session, setup }: GroupProps): ReactNode {
  const { camera } = setup;
  const set = (what: string, change: Partial<Camera>): Result<Setup> =>
    session.change(`camera ${what}`, [{ kind: "camera", set: change }]);
  return (
    <Group name="Camera">
      <LengthField
        label="lens in front of the cross"
        value={camera.position.zM}
        commit={(zM) => set("distance", { position: { ...camera.position, zM } })}
      />
      <LengthField
        label="lens height"
        value={camera.position.yM}
        commit={(yM) => set("height", { position: { ...camera.position, yM } })}
      />
      <LengthField
        label="aimed at a height of"
        value={camera.aim.yM}
        commit={(yM) => set("aim", { aim: { ...camera.aim, yM } })}
      />
      <NumberField
        label="focal length"
        value={camera.focalLengthMm}
        unit="mm"
        least={8}
        most={1200}
        commit={(focalLengthMm) => set("focal length", { focalLengthMm })}
      />
      <NumberField
        label="needs more than the meter says"
        value={camera.meterOffsetStops ?? 0}
        unit="stop"
        least={-3}
        most={3}
        step={0.1}
        commit={(meterOffsetStops) => set("meter offset", { meterOffsetStops })}
      />
      <GreyCard learn={(meterOffsetStops) => set("meter offset", { meterOffsetStops })} />
      <TickField label="turned upright" value={camera.upright} commit={(upright) => set("turn", { upright })} />
    </Group>
  );
}

/** A card of 18 %, metered at the working aperture and photographed: its code in the frame tells the offset. */
function GreyCard({ learn }: { learn: (offsetStops: number) => Result<unknown> }): ReactNode {
  return (
    <NumberEntry
      label="an 18 % card came out at code (0 to 255, sRGB)"
      value=""
      parse={(text) => parseNumber(text, "", "card", 0, 255)}
      commit={(code) => {
        const offset = meterToCamera(0.18, srgbDecode(code / 255));
        return offset.ok ? learn(Math.round(offset.value * 100) / 100) : offset;
      }}
    />
  );
}

export function BackdropGroup({ session, setup }: GroupProps): ReactNode {
  const { backdrop } = setup;
  const set = (what: string, change: Partial<Backdrop>): Result<Setup> =>
    session.change(`backdrop ${what}`, [{ kind: "backdrop", set: change }]);
  if (backdrop === null) return null;
  return (
    <Group name={`Backdrop: ${backdrop.name}`}>
      <LengthField label="behind the nose" value={-backdrop.zM} commit={(behind) => set("distance", { zM: -behind })} />
      <LengthField label="width" value={backdrop.widthM} commit={(widthM) => set("width", { widthM })} />
      <PercentField
        label="returns"
        value={backdrop.reflectance}
        least={0.2}
        commit={(reflectance) => set("tone", { reflectance })}
      />
      <PercentField
        label="should look like (18 % is mid grey, 100 % clips)"
        value={backdrop.targetTone ?? 0.18}
        most={200}
        commit={(targetTone) => set("wanted tone", { targetTone })}
      />
    </Group>
  );
}

const SIDES = ["ceiling", "floor", "left", "right", "back", "front"] as const;

export function RoomGroup({ session, setup }: GroupProps): ReactNode {
  const { room } = setup;
  const set = (what: string, change: Partial<Room>): Result<Setup> =>
    session.change(`room ${what}`, [{ kind: "room", set: change }]);
  return (
    <Group name={`Room: ${room.name}`}>
      <LengthField label="width" value={room.widthM} commit={(widthM) => set("width", { widthM })} />
      <LengthField label="depth" value={room.depthM} commit={(depthM) => set("depth", { depthM })} />
      <LengthField label="ceiling" value={room.heightM} commit={(heightM) => set("ceiling", { heightM })} />
      <LengthField
        label="cross from the left wall"
        value={room.crossFromLeftM}
        commit={(crossFromLeftM) => set("cross", { crossFromLeftM })}
      />
      <LengthField
        label="cross from the back wall"
        value={room.crossFromBackM}
        commit={(crossFromBackM) => set("cross", { crossFromBackM })}
      />
      {SIDES.map((side) => (
        <PercentField
          key={side}
          label={`${side}${side === "ceiling" || side === "floor" ? "" : " wall"} returns`}
          value={room.reflectance[side]}
          commit={(share) => set(`${side} tone`, { reflectance: { ...room.reflectance, [side]: share } })}
        />
      ))}
      <NumberField
        label="ambient at the nose"
        value={room.ambientLx ?? 0}
        unit="lx"
        least={0}
        most={200000}
        commit={(ambientLx) => set("ambient", { ambientLx })}
      />
    </Group>
  );
}

export function SetupGroup({ session, setup }: GroupProps): ReactNode {
  const set = (what: string, change: Partial<Pick<Setup, "title" | "notes" | "tags">>): Result<Setup> =>
    session.change(what, [{ kind: "setup", set: change }]);
  return (
    <Group name="Name and notes">
      <label className="entry">
        title
        <input
          key={setup.title}
          defaultValue={setup.title}
          maxLength={200}
          onBlur={(e) =>
            e.target.value.trim() !== "" &&
            e.target.value !== setup.title &&
            set("title", { title: e.target.value.trim() })
          }
        />
      </label>
      <a className="button" href={`/api/setups/${encodeURIComponent(setup.id)}`} download={`${setup.title}.json`}>
        Save this setup as a file
      </a>
      <label className="entry">
        notes
        <textarea
          key={setup.notes}
          defaultValue={setup.notes}
          rows={4}
          maxLength={4000}
          onBlur={(e) => e.target.value !== setup.notes && set("notes", { notes: e.target.value })}
        />
      </label>
      <label className="entry">
        tags, with commas between
        <input
          key={setup.tags.join()}
          defaultValue={setup.tags.join(", ")}
          maxLength={400}
          onBlur={(e) => {
            const tags = [
              ...new Set(
                e.target.value
                  .split(",")
                  .map((t) => t.trim())
                  .filter((t) => t !== ""),
              ),
            ];
            if (tags.join() !== setup.tags.join()) set("tags", { tags });
          }}
        />
      </label>
    </Group>
  );
}
