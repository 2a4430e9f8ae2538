import type { Stroke } from '../../plot/palette.ts';

/** A bit of the line as drawn. */
export function Swatch({ stroke }: { readonly stroke: Stroke }) {
  return (
    <svg class="swatch" width="22" height="8" aria-hidden="true">
      <line x1="0" y1="4" x2="22" y2="4" stroke={stroke.colour} stroke-width="2" stroke-dasharray={stroke.dash.join(' ')} />
    </svg>
  );
}
