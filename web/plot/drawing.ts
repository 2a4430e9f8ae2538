import { effect, signal } from '@preact/signals';
import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { themeTurns } from './palette.ts';

/**
 * Paints a canvas as wide as its place and `height` CSS pixels high: again whenever a signal read by `draw`, the size,
 * the theme or one of `inputs` changes.
 */
export function useDrawing(height: number, draw: (pen: CanvasRenderingContext2D, width: number, height: number) => void, inputs: readonly unknown[]): RefObject<HTMLCanvasElement | null> {
  const canvas = useRef<HTMLCanvasElement>(null);
  const latest = useRef(draw);
  latest.current = draw;
  useEffect(() => {
    const element = canvas.current;
    const pen = element?.getContext('2d');
    if (element === null || pen === null || pen === undefined) return undefined;
    const width = signal(element.clientWidth);
    const watcher = new ResizeObserver(() => { width.value = element.clientWidth; });
    watcher.observe(element);
    element.style.height = `${height}px`;
    const stop = effect(() => {
      void themeTurns.value;
      if (width.value === 0) return;
      const ratio = devicePixelRatio;
      const [w, h] = [Math.round(width.value * ratio), Math.round(height * ratio)];
      if (element.width !== w || element.height !== h) [element.width, element.height] = [w, h];
      pen.setTransform(ratio, 0, 0, ratio, 0, 0);
      pen.clearRect(0, 0, width.value, height);
      latest.current(pen, width.value, height);
    });
    return () => {
      stop();
      watcher.disconnect();
    };
  }, [height, ...inputs]);
  return canvas;
}
