/** The size of an element as it is laid out, and whether the window is a phone's. */

import { type RefObject, useLayoutEffect, useRef, useState, useSyncExternalStore } from "react";

export interface Size {
  readonly width: number;
  readonly height: number;
}

export function useSize<E extends HTMLElement>(): [RefObject<E | null>, Size | null] {
  const element = useRef<E>(null);
  const [size, setSize] = useState<Size | null>(null);
  useLayoutEffect(() => {
    const node = element.current;
    if (node === null) return;
    const read = (): void => setSize({ width: node.clientWidth, height: node.clientHeight });
    read();
    const observer = new ResizeObserver(read);
    observer.observe(node);
    return () => observer.disconnect();
  }, []);
  return [element, size];
}

const phone = matchMedia("(max-width: 760px)");

export const usePhone = (): boolean =>
  useSyncExternalStore(
    (listener) => {
      phone.addEventListener("change", listener);
      return () => phone.removeEventListener("change", listener);
    },
    () => phone.matches,
  );
