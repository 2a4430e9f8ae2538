import { formatNumber } from '../../../shared/text.ts';
import type { Tank } from '../../../shared/setup.ts';

/** 0.0153 → `1.5 %`. */
export const percent = (ratio: number, decimals = 1): string => `${formatNumber(100 * ratio, decimals)} %`;

/** `tank 3 (rear)`. */
export const tankName = ({ id, name }: Tank): string => (name === undefined ? `tank ${id}` : `tank ${id} (${name})`);
