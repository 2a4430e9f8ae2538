import type { Standing } from '../../../shared/rate-routes.ts';

export const STANDING_WORDS: Readonly<Record<Standing, string>> = {
  'within': 'within 5 % of target', 'under': 'more than 5 % under target', 'over': 'more than 5 % over target', 'cannot tell': 'cannot tell whether within 5 % of target',
};
