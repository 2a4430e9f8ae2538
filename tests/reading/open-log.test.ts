import { createHash } from 'node:crypto';
import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, readdirSync, readlinkSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { constants, gunzipSync, gzipSync } from 'node:zlib';
import { afterAll, describe, expect, test } from 'vitest';
import { peek } from '../../src/core/byte-stream.ts';
import { InputError } from '../../src/core/errors.ts';
import { openBytes, openLog, type OpenedLog } from '../../src/open-log.ts';
import { createRandom } from '../formats/damage.ts';

const folder = mkdtempSync(path.join(tmpdir(), 'sowtrace-open-'));
afterAll(() => rmSync(folder, { recursive: true }));
const file = (name: string, bytes: Uint8Array): string => {
  const full = path.join(folder, name);
  writeFileSync(full, bytes);
  return full;
};

const random = createRandom(3);
const text = Buffer.from(Array.from({ length: 30_000 }, (_, i) => `(${i}.000000) can0 0CFE4822#${random(1 << 30).toString(16).padStart(16, '0')}\n`).join(''));

const read = async (log: OpenedLog): Promise<Buffer> => {
  const pieces: Buffer[] = [];
  for await (const chunk of log.bytes()) pieces.push(Buffer.from(chunk));
  return Buffer.concat(pieces);
};

describe('open-log: plain and compressed files', () => {
  const gzipped = gzipSync(text);
  const ways: [string, Uint8Array][] = [
    ['plain.log', text],
    ['one.log.gz', gzipped],
    ['named-wrongly.csv', gzipped],
    ['members.gz', Buffer.concat([gzipSync(text.subarray(0, 1000)), gzipSync(text.subarray(1000, 70_001)), gzipSync(text.subarray(70_001))])],
    ['zero-padded.gz', Buffer.concat([gzipped, Buffer.alloc(512)])],
  ];
  test.each(ways)('%s gives the same bytes and the SHA-256 of what it holds', async (name, bytes) => {
    for (const log of [await openLog(file(name, bytes)), openBytes(name, bytes)]) {
      expect(log).toMatchObject({ name, size: bytes.length });
      expect((await read(log)).equals(text)).toBe(true);
      expect(log.outcome()).toEqual({ sha256: createHash('sha256').update(text).digest('hex'), total: text.length });
      expect(log.taken()).toBe(bytes.length);
    }
  });

  test.skipIf(spawnSync('zstd', ['--version']).status !== 0)('zstd as the zstd program writes it, one and several frames', async () => {
    const plain = file('to-pack', text);
    const pack = (name: string, ...options: string[]): string => {
      execFileSync('zstd', ['-q', '-f', ...options, plain, '-o', path.join(folder, name)]);
      return path.join(folder, name);
    };
    const one = pack('one.zst');
    expect((await read(await openLog(one))).equals(text)).toBe(true);
    const packed = readFileSync(one);
    expect((await read(openBytes('two', Buffer.concat([packed, packed])))).equals(Buffer.concat([text, text]))).toBe(true);
    const cut = openBytes('cut', packed.subarray(0, packed.length - 5000));
    const kept = await read(cut);
    expect(kept.length).toBeGreaterThan(text.length / 2);
    expect(text.subarray(0, kept.length).equals(kept)).toBe(true);
    expect(cut.outcome().damage).toEqual({ offset: kept.length, reason: 'compressed data is cut off: the file ends before its end mark' });
  });
});

describe('open-log: damaged compression', () => {
  const gzipped = gzipSync(text);

  test('gzip cut anywhere gives all that a decoder can make of the part before the cut, and says where it ends', async () => {
    for (let percent = 1; percent < 100; percent += 7) {
      const part = gzipped.subarray(0, Math.floor((gzipped.length * percent) / 100));
      const log = openBytes('cut.gz', part);
      const kept = await read(log);
      expect(text.subarray(0, kept.length).equals(kept)).toBe(true);
      /* zlib itself, asked to hand out what it has */
      const reference = gunzipSync(part, { finishFlush: constants.Z_SYNC_FLUSH });
      expect(kept.length).toBe(reference.length);
      expect(log.outcome()).toMatchObject({ total: kept.length, damage: { offset: kept.length } });
    }
  });

  test('a wrong checksum costs no data but is reported', async () => {
    const bad = Buffer.from(gzipped);
    bad[bad.length - 6] = (bad[bad.length - 6] as number) ^ 1;
    const log = openBytes('bad.gz', bad);
    expect((await read(log)).equals(text)).toBe(true);
    expect(log.outcome().damage?.reason).toContain('checksum');
  });

  test('flipped bits never throw and keep the good part before them', async () => {
    for (let round = 0; round < 60; round += 1) {
      const bad = Buffer.from(gzipped);
      const at = 20 + random(bad.length - 20);
      bad[at] = (bad[at] as number) ^ (1 << random(8));
      const log = openBytes('bad.gz', bad);
      const kept = await read(log);
      expect(log.outcome().damage).toBeDefined();
      const least = Math.floor(((at - 20_000) / gzipped.length) * text.length * 0.9);
      expect(kept.length).toBeGreaterThanOrEqual(Math.max(0, least));
    }
  });

  test('junk behind the last member is reported, the log is whole', async () => {
    const log = openBytes('junk.gz', Buffer.concat([gzipped, Buffer.alloc(8192), Buffer.from('junk')]));
    expect((await read(log)).length).toBe(text.length);
  });
});

describe('open-log: refusals say what, where and what to do', () => {
  test('decompression bomb', async () => {
    const bomb = gzipSync(Buffer.alloc(80 * 1024 * 1024));
    await expect(read(openBytes('bomb.gz', bomb))).rejects.toThrow(InputError);
    await expect(read(openBytes('bomb.gz', bomb))).rejects.toThrow(/bomb\.gz: \d+ compressed bytes unpack to more than/);
  });

  test('zstd frame that asks for too much memory', async () => {
    const head = Uint8Array.from([0x28, 0xb5, 0x2f, 0xfd, 0, 0xa8, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    await expect(read(openBytes('big.zst', head))).rejects.toThrow(/asks for 2147 MB/);
  });

  test('no such file, and a folder', async () => {
    await expect(openLog(path.join(folder, 'missing.log'))).rejects.toThrow(/missing\.log cannot be read: there is no such file/);
    await expect(openLog(folder)).rejects.toThrow(/is a folder/);
  });
});

test.skipIf(!existsSync('/proc/self/fd'))('a log opened and then not wanted is closed', async () => {
  const log = await openLog(file('unwanted.log', text));
  const { bytes } = await peek(log.bytes(), 10);
  await bytes[Symbol.asyncIterator]().return?.();
  const open = readdirSync('/proc/self/fd').flatMap((fd) => {
    try {
      return [readlinkSync(`/proc/self/fd/${fd}`)];
    } catch {
      return [];
    }
  });
  expect(open.filter((name) => name.endsWith('unwanted.log'))).toEqual([]);
});
