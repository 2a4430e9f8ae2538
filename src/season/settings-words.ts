import type { SettingChange } from './settings.ts';

/** `wheel constant: 18.80 pulses/m → 20.00 pulses/m`. */
export const changeLine = ({ name, before, after }: SettingChange): string => `${name}: ${before ?? 'not entered'} → ${after ?? 'not entered'}`;
