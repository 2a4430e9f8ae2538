import { describe, expect, test } from 'vitest';
import { InputError } from '../../../src/core/errors.ts';
import { readLogHeader } from '../../../src/formats/taskdata/log-header.ts';
import { readRecords } from '../../../src/formats/taskdata/log-records.ts';
import { taskdata } from '../../../src/formats/taskdata/taskdata.ts';
import { readXml } from '../../../src/formats/taskdata/xml-elements.ts';
import { createRandom, damaged } from '../damage.ts';
import { testFormatContract } from '../contract.ts';
import { inPieces, record, utf8, type Recording } from '../recording-sink.ts';
import { neighboursOf, samples } from '../samples.ts';
import { FIRST_LOG, LOG_HEADER, TASK_FILE, lonelySample, taskSample, timeLog } from './task-sample.ts';

testFormatContract(taskdata, [samples.taskdata, lonelySample], neighboursOf('taskdata'));

const read = (bytes: Uint8Array, beside: Readonly<Record<string, Uint8Array>>, zone?: string): Promise<Recording> => record(taskdata, bytes, {
  context: {
    ...(zone === undefined ? {} : { zone }),
    beside: async (name) => {
      const found = beside[name];
      return found === undefined ? undefined : inPieces(found, 1000);
    },
  },
});

describe('task data: ISO 11783-10 annex D', () => {
  const start = Date.UTC(2026, 4, 6, 18) / 1000;

  test('times are the terminal’s clock put to UTC by the zone of the task; without one, by the zone asked for', async () => {
    const { columns, notes } = await read(TASK_FILE, taskSample.beside ?? {});
    expect(columns[0]?.samples.map(([time]) => time - start)).toEqual([0, 1, 2, 3, 7, 600, 601]);
    expect(notes).toEqual([]);
    const without = utf8(new TextDecoder().decode(TASK_FILE).replaceAll(/-06:00/g, ''));
    const regina = await read(without, taskSample.beside ?? {}, 'America/Regina');
    expect(regina.columns[0]?.samples[0]?.[0]).toBe(start);
    expect(regina.notes).toEqual(['The time logs name no zone: read as America/Regina.']);
  });

  test('positions, fix, HDOP, satellites and the receiver’s own time', async () => {
    const { columns } = await read(TASK_FILE, taskSample.beside ?? {});
    const first = Object.fromEntries(columns.map(({ heading, samples: [sample] }) => [heading, sample?.[1]]));
    expect(first).toEqual({ 'gnss.lat': 50.3, 'gnss.lon': -104.6, 'gnss.fix': 4, 'gnss.hdop': 0.9, 'gnss.sats': 17, 'clock.offset [s]': expect.closeTo(2 - 6 * 3600, 6) });
  });

  test('values by device and element number, as logged', async () => {
    const { process } = await read(TASK_FILE, taskSample.beside ?? {});
    expect(Object.fromEntries(Object.entries(process).map(([key, samples]) => [key, samples.map(([time, value]) => [time - start, value])]))).toEqual({
      '0/7/7': [[0, 11_200], [601, 11_300]], '0/7/75': [[0, 2_400_000], [2, 2_399_000]], '0/0/161': [[0, -4096], [7, -2731]], '0/0/290': [[0, -4096], [1, -2731]], '0/0/67': [[0, 12_000]],
    });
  });

  test('slices of messages are messages again at each record, held between changes, the other bits not available', async () => {
    const { messages } = await read(TASK_FILE, taskSample.beside ?? {});
    expect(messages.slice(0, 6).map(({ time, pgn, data }) => [time - start, pgn, data])).toEqual([
      [0, 65096, 'C409FFFFFFFFFFFF'], [0, 129026, 'FFFF5C3DFA00FFFF'], [1, 65096, 'C409FFFFFFFFFFFF'], [1, 129026, 'FFFF5C3DFA00FFFF'], [2, 65096, '280AFFFFFFFFFFFF'], [2, 129026, 'FFFF5C3DFA00FFFF'],
    ]);
    /* The second log begins anew: nothing is carried from one log to another. */
    expect(messages.slice(-2).map(({ time, pgn, data }) => [time - start, pgn, data])).toEqual([[600, 65096, 'B80BFFFFFFFFFFFF'], [601, 65096, 'B80BFFFFFFFFFFFF']]);
  });

  test('tasks that were logged side by side are handed on in the order of time', async () => {
    const { columns, messages } = await read(TASK_FILE, { ...taskSample.beside, 'TLG00002.BIN': timeLog([{ second: 2, values: [[3, 1]] }, { second: 5, values: [[0, 1]] }]) });
    expect(columns[0]?.samples.map(([time]) => time - start)).toEqual([0, 1, 2, 2, 3, 5, 7]);
    expect(messages.every(({ time }, i) => i === 0 || time >= (messages[i - 1]?.time ?? 0))).toBe(true);
  });

  test('without its logs the task file is refused in one sentence; with one of two it is read and the other named', async () => {
    await expect(read(TASK_FILE, {})).rejects.toThrow(InputError);
    await expect(read(TASK_FILE, {})).rejects.toThrow(/TLG00001, TLG00002 not found beside it/);
    const { records, notes } = await read(TASK_FILE, { 'TLG00001.XML': LOG_HEADER, 'TLG00001.BIN': FIRST_LOG });
    expect(records).toBe(5);
    expect(notes).toEqual(['Time logs that are missing or have no header: TLG00002.']);
  });

  test('devices in a file of their own', async () => {
    const text = new TextDecoder().decode(TASK_FILE);
    const devices = text.slice(text.indexOf('<DVC'), text.lastIndexOf('</DVC>') + 6);
    const { process } = await read(utf8(text.replace(devices, '<XFR A="DVC00001" B="1"/>')), { ...taskSample.beside, 'DVC00001.XML': utf8(`<XFC>${devices}</XFC>`) });
    expect(process['0/7/75']).toHaveLength(2);
  });

  test('entities are not expanded and nothing outside is fetched', async () => {
    const hostile = utf8('<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]><ISO11783_TaskData A="&b;"></ISO11783_TaskData>');
    const { root, problem } = await readXml(inPieces(hostile, 7));
    expect(root?.attributes['A'] ?? '').not.toContain('aaaa');
    expect(problem).toContain('undefined entity');
  });
});

describe('task data: damaged binary logs', () => {
  const header = async (): Promise<NonNullable<ReturnType<typeof readLogHeader>>> => {
    const { root } = await readXml(inPieces(LOG_HEADER, 100));
    const found = root === undefined ? undefined : readLogHeader(root);
    if (found === undefined) throw new Error('no header');
    return found;
  };

  test('a record that makes no sense costs itself; the next one is found', async () => {
    const known = await header();
    const bytes = FIRST_LOG.slice();
    bytes[71 + 4] = 0xff;
    bytes[71 + 5] = 0xff;
    const times: number[] = [];
    const bad: number[][] = [];
    for (const { wall } of readRecords(bytes, known, (offset, size) => bad.push([offset, size]))) times.push(wall % 60);
    expect(times).toEqual([0, 2, 3, 7]);
    expect(bad).toEqual([[71, 36]]);
  });

  test('damaged 2,000 ways: every byte is either in a record or told as bad', async () => {
    const known = await header();
    const random = createRandom(11);
    for (let round = 0; round < 2000; round += 1) {
      const bytes = damaged(FIRST_LOG, random);
      let sum = 0;
      for (const { size } of readRecords(bytes, known, (_, size) => { sum += size; })) sum += size;
      expect(sum).toBe(bytes.length);
    }
  });
});
