import type { ComparedRow, SentInterval } from '../../../shared/comparison-view.ts';
import { changeWords, intervalWords, numberWords } from '../../../shared/measure-words.ts';
import type { Interval } from '../../../shared/span.ts';
import type { UnitSystem } from '../../../shared/text.ts';
import { address } from '../../state.ts';
import { visible } from '../frame/names.ts';

const VERDICTS: Readonly<Record<NonNullable<ComparedRow['verdict']>, string>> = { 'changed': 'changed', 'not-shown': 'not shown to have changed', 'cannot-tell': 'cannot tell' };

/** Measurements before and after, the difference with its interval, and what is to be said of it. */
export function ComparedTable({ caption, rows, say }: { readonly caption: string; readonly rows: readonly ComparedRow[]; readonly say: (text: string) => string }) {
  const { units } = address.value;
  return (
    <table class="compared blocks">
      <caption>{caption} <span class="quiet">(in brackets: 95 % interval)</span></caption>
      <thead><tr><th scope="col">measurement</th><th scope="col" class="number">before</th><th scope="col" class="number">after</th><th scope="col" class="number">difference</th><th scope="col">verdict</th></tr></thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.title} class={row.verdict}>
            <th scope="row">{visible(row.title)}</th>
            <td class="number" data-column="before"><Level interval={row.before} unit={row.unit} /></td>
            <td class="number" data-column="after"><Level interval={row.after} unit={row.unit} /></td>
            <td class="number" data-column="difference"><Twofold text={changeWords(received(row.difference), row.unit, units)} /></td>
            <td>{row.verdict === undefined ? 'not judged' : VERDICTS[row.verdict]}<span class="quiet blind">{visible(say(reasonOf(row, units)))}</span></td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** What has no bound reads as –. */
const received = ({ value, low, high }: SentInterval): Interval => ({ value: value ?? Number.NaN, low: low ?? Number.NaN, high: high ?? Number.NaN });

function Level({ interval, unit }: { readonly interval: SentInterval; readonly unit: string }) {
  const { value, between } = intervalWords({ ...received(interval), unit }, address.value.units);
  return <>{withUnit(value)}{between !== undefined && <>{' '}<span class="quiet blind">({withUnit(between)})</span></>}</>;
}

/** `+1.02 % (+0.87 to +1.17 %)`, what is in brackets below. */
function Twofold({ text }: { readonly text: string }) {
  const bracket = text.indexOf('(');
  return <>{text.slice(0, bracket)}<span class="quiet blind">{withUnit(text.slice(bracket))}</span></>;
}

/** The unit stays beside its number at the end of a line. */
const withUnit = (text: string): string => text.replace(/ (?=\S+$)/, '\u00a0');

function reasonOf({ verdict, matters, difference, unlike, unit }: ComparedRow, units: UnitSystem): string {
  if (verdict === undefined) return 'it tells of the work, not of the machine';
  if (unlike !== undefined) return `measured with ${unlike[0] === '' ? 'nothing named' : unlike[0]} before, with ${unlike[1] === '' ? 'nothing named' : unlike[1]} after`;
  if (matters === undefined) return '';
  const size = numberWords(matters, unit, units, matters);
  if (verdict === 'not-shown') return `by less than ${size} if at all`;
  if (verdict === 'cannot-tell') return difference.low !== null && difference.high !== null ? `whether it changed by ${size} or more` : '';
  return Math.abs(received(difference).value) < matters ? `less than ${size}, so nothing to act on` : '';
}
