import { renderText } from '../../../shared/text.ts';
import { reading } from '../../state.ts';
import { withUnits } from './with-units.ts';

/** What a finding says, in the reader's units and zone. */
export const say = (text: string): string => withUnits(renderText(text, reading.value));
