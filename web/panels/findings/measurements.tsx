import type { Measurement } from '../../../shared/finding.ts';
import { reading } from '../../state.ts';
import { intervalWords, measurementWords, subjectWords } from '../../../shared/measure-words.ts';

/** What the day allows to be measured, finding or not, each with the interval that holds it. */
export function Measurements({ measurements }: { readonly measurements: readonly Measurement[] }) {
  if (measurements.length === 0) return null;
  return (
    <section class="measurements" aria-labelledby="measurements">
      <h3 id="measurements">What could be measured</h3>
      <div class="scroll" tabIndex={0} role="group" aria-labelledby="measurements">
        <table>
          <thead><tr><th scope="col">Measured</th><th scope="col">of</th><th scope="col" class="number">value</th><th scope="col" class="number">95 % sure from, to</th><th scope="col" class="number">count</th></tr></thead>
          <tbody>
            {measurements.map((one) => {
              const { value, between } = intervalWords(one, reading.value.units);
              return (
                <tr key={`${one.name} ${one.subject}`}>
                  <th scope="row">{measurementWords(one.name)}</th><td>{subjectWords(one.subject)}</td>
                  <td class="number">{value}</td><td class="number">{between ?? '–'}</td><td class="number">{one.n}</td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
      <p class="quiet">The count is that of the passes, fills, switchings or stretches behind a figure that do not depend on each other.</p>
    </section>
  );
}
