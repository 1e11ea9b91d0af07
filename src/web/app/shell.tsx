/** The frame of every screen: the top bar, the screen itself loaded when first needed, and faults in words. */

import { Component, lazy, type ReactNode, Suspense, useEffect, useState } from "react";
import { type Fault, fault } from "../../units/index.ts";
import type { KitSession } from "../data/kit-session.ts";
import { openKit, openSetup } from "../data/library.ts";
import type { SetupSession } from "../data/setup-session.ts";
import { FaultBox } from "../parts/fault-box.tsx";
import { Bar } from "./bar.tsx";
import { Link } from "./link.tsx";
import { type SetupScreen, useRoute } from "./router.ts";
import { SessionLine } from "./session-line.tsx";

const BookScreen = lazy(() => import("../screens/book/book-screen.tsx"));
const NewScreen = lazy(() => import("../screens/new/new-screen.tsx"));
const KitScreen = lazy(() => import("../screens/kit/kit-screen.tsx"));
const DevicesScreen = lazy(() => import("../screens/devices/devices-screen.tsx"));
const PlanScreen = lazy(() => import("../screens/plan/plan-screen.tsx"));
const MeterScreen = lazy(() => import("../screens/meter/meter-screen.tsx"));
const FramesScreen = lazy(() => import("../screens/frames/frames-screen.tsx"));
const SheetScreen = lazy(() => import("../screens/sheet/sheet-screen.tsx"));

export function Shell(): ReactNode {
  const route = useRoute();
  return (
    <Catch key={"setupId" in route ? route.setupId : route.screen}>
      <SessionLine />
      <Suspense fallback={<Waiting />}>
        {route.screen === "book" && <BookScreen />}
        {route.screen === "new" && <WithKit>{(kit) => <NewScreen kit={kit} />}</WithKit>}
        {route.screen === "kit" && <WithKit>{(kit) => <KitScreen kit={kit} />}</WithKit>}
        {route.screen === "devices" && <DevicesScreen />}
        {"setupId" in route && <SetupFrame key={route.setupId} id={route.setupId} screen={route.screen} />}
        {route.screen === "nowhere" && <Nowhere path={route.path} />}
      </Suspense>
    </Catch>
  );
}

function SetupFrame({ id, screen }: { id: string; screen: SetupScreen }): ReactNode {
  const [session, faults] = useOpened<SetupSession>(() => openSetup(id), id);
  if (faults !== null) return <Failed faults={faults} />;
  if (session === null) return <Waiting />;
  switch (screen) {
    case "plan":
      return <WithKit>{(kit) => <PlanScreen session={session} kit={kit} />}</WithKit>;
    case "meter":
      return <MeterScreen session={session} />;
    case "frames":
      return <FramesScreen session={session} />;
    case "sheet":
      return <WithKit>{(kit) => <SheetScreen session={session} kit={kit} />}</WithKit>;
  }
}

function WithKit({ children }: { children: (kit: KitSession) => ReactNode }): ReactNode {
  const [kit, faults] = useOpened<KitSession>(openKit, "kit");
  if (faults !== null) return <Failed faults={faults} />;
  return kit === null ? <Waiting /> : children(kit);
}

/** Opens something once per key: the value, or why it did not open. */
function useOpened<T>(
  open: () => Promise<{ ok: true; value: T } | { ok: false; faults: readonly Fault[] }>,
  key: string,
): [T | null, readonly Fault[] | null] {
  const [state, setState] = useState<[T | null, readonly Fault[] | null]>([null, null]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: opened anew only when the key changes
  useEffect(() => {
    let wanted = true;
    void open().then((result) => {
      if (wanted) setState(result.ok ? [result.value, null] : [null, result.faults]);
    });
    return () => {
      wanted = false;
    };
  }, [key]);
  return state;
}

function Waiting(): ReactNode {
  return (
    <main className="waiting" aria-busy="true">
      <p className="quiet">Opening</p>
    </main>
  );
}

function Failed({ faults }: { faults: readonly Fault[] }): ReactNode {
  return (
    <>
      <Bar at="book" />
      <main className="failed">
        <FaultBox faults={faults} />
        <button type="button" className="button" onClick={() => location.reload()}>
          Try again
        </button>
      </main>
    </>
  );
}

function Nowhere({ path }: { path: string }): ReactNode {
  return (
    <>
      <Bar at="book" />
      <main className="failed">
        <h1>Nothing is at {path}</h1>
        <Link to="/" className="button">
          Go to the Book
        </Link>
      </main>
    </>
  );
}

/** A mistake of ours in one screen must not take the others down, nor lose an edit. */
class Catch extends Component<{ children: ReactNode }, { broken: string | null }> {
  override state: { broken: string | null } = { broken: null };

  static getDerivedStateFromError(error: unknown): { broken: string } {
    return { broken: error instanceof Error ? error.message : String(error) };
  }

  override render(): ReactNode {
    if (this.state.broken === null) return this.props.children;
    return (
      <Failed
        faults={[
          fault(
            "page-broken",
            "This screen stopped with a mistake of ours",
            this.state.broken,
            "Your edits are kept. Load the page again; if it stops again, export the setup and report it.",
          ),
        ]}
      />
    );
  }
}
