import type { Signal } from '@preact/signals';
import { moved, toPlane, zoomed, type Sight } from './map-sight.ts';

const STILL = 4;

/** Drag moves the map, Ctrl and wheel or two fingers zoom, a click says where. A plain wheel scrolls the page. */
export function followMapPointers(element: HTMLElement, sight: Signal<Sight | undefined>, onClick: (x: number, y: number) => void): () => void {
  const hands = new Map<number, { x: number; y: number }>();
  let way = 0;
  const placeOf = (event: MouseEvent): { x: number; y: number } => {
    const box = element.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  const down = (event: PointerEvent): void => {
    if (event.button !== 0 && event.button !== 1) return;
    element.setPointerCapture(event.pointerId);
    hands.set(event.pointerId, placeOf(event));
    way = hands.size === 1 ? 0 : Infinity;
  };
  const move = (event: PointerEvent): void => {
    const before = hands.get(event.pointerId);
    const now = sight.peek();
    if (before === undefined || now === undefined) return;
    const hand = placeOf(event);
    const other = [...hands].find(([id]) => id !== event.pointerId)?.[1];
    hands.set(event.pointerId, hand);
    way += Math.abs(hand.x - before.x) + Math.abs(hand.y - before.y);
    if (other === undefined) {
      if (way > STILL) sight.value = moved(now, hand.x - before.x, hand.y - before.y);
      return;
    }
    const [wide, was] = [Math.hypot(hand.x - other.x, hand.y - other.y), Math.hypot(before.x - other.x, before.y - other.y)];
    if (was < 8) return;
    const [east, north] = toPlane(now, (before.x + other.x) / 2, (before.y + other.y) / 2);
    const next = zoomed(now, wide / was);
    const [x, y] = [(hand.x + other.x) / 2, (hand.y + other.y) / 2];
    sight.value = { ...next, east: east - (x - next.width / 2) / next.scale, north: north + (y - next.height / 2) / next.scale };
  };
  const up = (event: PointerEvent): void => {
    if (!hands.delete(event.pointerId) || event.type !== 'pointerup') return;
    const { x, y } = placeOf(event);
    if (way <= STILL) onClick(x, y);
  };
  const wheel = (event: WheelEvent): void => {
    const now = sight.peek();
    if (!event.ctrlKey || now === undefined) return;
    event.preventDefault();
    const { x, y } = placeOf(event);
    sight.value = zoomed(now, Math.exp(-Math.max(-60, Math.min(60, event.deltaY)) * 0.008), x, y);
  };
  element.addEventListener('pointerdown', down);
  element.addEventListener('pointermove', move);
  element.addEventListener('pointerup', up);
  element.addEventListener('pointercancel', up);
  element.addEventListener('wheel', wheel, { passive: false });
  return () => {
    element.removeEventListener('pointerdown', down);
    element.removeEventListener('pointermove', move);
    element.removeEventListener('pointerup', up);
    element.removeEventListener('pointercancel', up);
    element.removeEventListener('wheel', wheel);
  };
}
