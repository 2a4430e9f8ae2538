import { html, type Markup } from '../markup.ts';
import type { Ticks } from './axis.ts';

/** Width of every picture in its own units; it is stretched to the paper's. */
export const WIDTH = 680;

export interface Axis {
  readonly from: number;
  readonly to: number;
  readonly ticks: Ticks;
  /** What it is, with its unit. */
  readonly name: string;
}

/** The plain of a picture with two axes, and how values come to their places on it. */
export interface Frame {
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly height: number;
  readonly axes: Markup;
}

const LEFT = 56;
const RIGHT = 12;
const TOP = 22;
const BOTTOM = 22;

export function frame(height: number, across: Axis, up: Axis): Frame {
  const bottom = height - BOTTOM - (across.name === '' ? 0 : 16);
  const [right, top] = [WIDTH - RIGHT, TOP];
  const x = (value: number): number => LEFT + ((value - across.from) / (across.to - across.from || 1)) * (right - LEFT);
  const y = (value: number): number => bottom - ((value - up.from) / (up.to - up.from || 1)) * (bottom - top);
  const axes = html`${up.ticks.at.map((value) => html`<line x1="${LEFT}" x2="${right}" y1="${tenth(y(value))}" y2="${tenth(y(value))}" stroke="#dcd9d1" stroke-width="1"/><text x="${LEFT - 7}" y="${tenth(y(value) + 4)}" text-anchor="end">${up.ticks.label(value)}</text>`)}
<line x1="${LEFT}" x2="${right}" y1="${bottom}" y2="${bottom}" stroke="#545b68" stroke-width="1"/>
${across.ticks.at.map((value) => html`<line x1="${tenth(x(value))}" x2="${tenth(x(value))}" y1="${bottom}" y2="${bottom + 4}" stroke="#545b68" stroke-width="1"/><text x="${tenth(Math.min(right - 12, Math.max(LEFT, x(value))))}" y="${bottom + 17}" text-anchor="middle">${across.ticks.label(value)}</text>`)}
${across.name !== '' && html`<text x="${(LEFT + right) / 2}" y="${height - 4}" text-anchor="middle">${across.name}</text>`}
<text x="${LEFT - 48}" y="12">${up.name}</text>`;
  return { x, y, left: LEFT, right, top, bottom, height, axes };
}

/** A place to a tenth of a unit: finer is not seen and fills the file. */
export const tenth = (value: number): number => (Number.isFinite(value) ? Math.round(value * 10) / 10 : 0);

/** The picture with its words for those who cannot see it. */
export function picture(height: number, words: string, parts: Markup, width = WIDTH): Markup {
  return html`<div class="picture" tabindex="0"><svg viewBox="0 0 ${width} ${height}" role="img" aria-label="${words}" xmlns="http://www.w3.org/2000/svg">${parts}</svg></div>`;
}
