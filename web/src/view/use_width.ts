import type { RefObject } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';

// The width a drawing has on the screen, so that its letters and marks keep their size whatever the scale.
export function useWidth(first: number): [RefObject<HTMLElement | null>, number] {
  const place = useRef<HTMLElement>(null);
  const [width, setWidth] = useState(first);
  useLayoutEffect(() => {
    const element = place.current;
    if (!element) return undefined;
    const measure = (): void => setWidth(Math.max(240, element.clientWidth));
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [place, width];
}
