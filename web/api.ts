import { decodeBlocks, type Blocks, type DayListing, type DayRequest, type DayState, type DayView, type ErrorReply, type Samples, type SetupReply, type UploadReply } from '../shared/api.ts';
import type { Evidence } from '../shared/evidence.ts';

/** An answer that was no success, in the server's words. */
export class ServerError extends Error {
  readonly reply: ErrorReply;

  constructor(reply: ErrorReply) {
    super(reply.message);
    this.reply = reply;
  }
}

/** Sent with everything that changes something. */
export const OWN = { 'x-sowtrace': '1' };

/** The server's answer; rejects with ServerError when it is no success or there is none. */
export async function answer(path: string, init?: RequestInit): Promise<Response> {
  let response: Response;
  try {
    response = await fetch(path, init);
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error;
    throw new ServerError({ kind: 'unreachable', message: 'Sowtrace does not answer.', whatToDo: 'Is it still running? Start it again with sowtrace view.' });
  }
  if (response.ok) return response;
  const reply = (await response.json().catch(() => undefined)) as ErrorReply | undefined;
  throw new ServerError(reply ?? { kind: 'internal', message: `The server answered ${response.status}.`, whatToDo: 'Reload the page.' });
}

export const json = async <T>(path: string, init?: RequestInit): Promise<T> => (await (await answer(path, init)).json()) as T;
export const post = (body: unknown): RequestInit => ({ method: 'POST', headers: { ...OWN, 'content-type': 'application/json' }, body: JSON.stringify(body) });

/** The server's routes, typed. All reject with ServerError. */
export const api = {
  days: (): Promise<readonly DayListing[]> => json('/api/days'),
  upload: (file: File, signal?: AbortSignal): Promise<UploadReply> =>
    json('/api/uploads', { method: 'POST', headers: { ...OWN, 'content-type': 'application/octet-stream', 'x-file-name': encodeURIComponent(file.name) }, body: file, ...(signal === undefined ? {} : { signal }) }),
  open: (request: DayRequest): Promise<{ readonly id: string }> => json('/api/days', post(request)),
  openSample: (): Promise<{ readonly id: string }> => json('/api/sample', post({})),
  state: (day: string): Promise<DayState> => json(`/api/days/${encodeURIComponent(day)}`),
  close: async (day: string): Promise<void> => void (await answer(`/api/days/${encodeURIComponent(day)}`, { method: 'DELETE', headers: OWN })),
  evidence: (day: string, finding: string): Promise<readonly Evidence[]> => json(`/api/days/${encodeURIComponent(day)}/evidence/${encodeURIComponent(finding)}`),
  blocks: async (day: string, channel: number, from: number, to: number, columns: number, signal?: AbortSignal): Promise<Blocks | Samples> => {
    const query = new URLSearchParams({ from: String(from), to: String(to), columns: String(Math.round(columns)) });
    const response = await answer(`/api/days/${encodeURIComponent(day)}/channels/${channel}?${query}`, signal === undefined ? undefined : { signal });
    return decodeBlocks(await response.arrayBuffer());
  },
  judge: (day: string, setup: string): Promise<DayView> => json(`/api/days/${encodeURIComponent(day)}/setup`, post({ setup })),
  setupProblems: (setup: unknown): Promise<SetupReply> => json('/api/setup/problems', post(setup)),
};
