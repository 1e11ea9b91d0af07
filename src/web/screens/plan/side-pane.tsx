/** The right of the desk: the picture or the details; both stay a press away. */

import { lazy, type ReactNode, Suspense, useState } from "react";
import { SetupDetails } from "./setup-details.tsx";

const PicturePane = lazy(() => import("./picture/picture-pane.tsx"));

/** On a machine of one or two processors the picture waits until it is asked for: numbers come first. */
const spareProcessors = (): boolean => navigator.hardwareConcurrency > 2;

type Props = Parameters<typeof SetupDetails>[0];

export function SidePane(props: Props): ReactNode {
  const [part, setPart] = useState<"picture" | "details">(spareProcessors() ? "picture" : "details");
  return (
    <div className="pane side-pane">
      <div className="side-tabs">
        <div className="choice" role="group" aria-label="Beside the plan">
          <button type="button" aria-pressed={part === "picture"} onClick={() => setPart("picture")}>
            Picture
          </button>
          <button type="button" aria-pressed={part === "details"} onClick={() => setPart("details")}>
            Details
          </button>
        </div>
      </div>
      {part === "picture" ? (
        <Suspense fallback={<p className="quiet picture-state">The picture is on its way</p>}>
          <PicturePane setup={props.setup} report={props.report} />
        </Suspense>
      ) : (
        <SetupDetails {...props} />
      )}
    </div>
  );
}
