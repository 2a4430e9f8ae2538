import { nodeDisk, type Disk } from '../../src/store/disk.ts';

export interface FailingDisk {
  readonly disk: Disk;
  /** What was asked of it, in order, e.g. `write /…/case.json`. */
  readonly steps: readonly string[];
}

/** The real disk but that it does not wait for the platter, on which the `at`-th step that changes something fails: once, or from then on (`stays`). A failing write leaves half of its bytes. */
export function failingDisk(code: string, at: number, stays: boolean): FailingDisk {
  const steps: string[] = [];
  const fails = (step: string): boolean => {
    steps.push(step);
    return stays ? steps.length >= at : steps.length === at;
  };
  const failure = (): Error => Object.assign(new Error(`${code}: made to fail`), { code });
  const step = async (what: string, work: () => Promise<void>): Promise<void> => {
    if (fails(what)) throw failure();
    await work();
  };
  return {
    steps,
    disk: {
      ...nodeDisk,
      makeFolder: (place) => step(`makeFolder ${place}`, () => nodeDisk.makeFolder(place)),
      create: async (place) => {
        if (fails(`create ${place}`)) throw failure();
        const file = await nodeDisk.create(place);
        return {
          write: async (bytes) => {
            const isFailing = fails(`write ${place}`);
            await file.write(isFailing ? bytes.subarray(0, bytes.length >> 1) : bytes);
            if (isFailing) throw failure();
          },
          sync: () => step(`sync ${place}`, async () => undefined),
          close: file.close,
        };
      },
      rename: (from, to) => step(`rename ${from} ${to}`, () => nodeDisk.rename(from, to)),
      syncFolder: (folder) => step(`syncFolder ${folder}`, async () => undefined),
    },
  };
}
