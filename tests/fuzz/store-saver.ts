import { openStore } from '../../src/index.ts';
import { smallDay } from '../store/small-day.ts';

/*
 * Keeps days in the store named on the command line until it is killed: one that is replaced over and over, and in between new ones.
 * Says on stdout what was kept, `LOG TURN`, only after the store said so.
 */
const [, , root = '', first = '1'] = process.argv;
const store = openStore(root);
process.stdout.write('ready\n');
for (let turn = Number(first); ; turn += 1) {
  const content = turn % 5 === 0 ? `new-${turn}` : 'same';
  await store.save({ analysis: smallDay(content, turn), zone: 'UTC' });
  process.stdout.write(`${content}.log ${turn}\n`);
}
