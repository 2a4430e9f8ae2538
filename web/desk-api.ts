import type { ColumnsReply, LogGlance } from '../shared/glance.ts';
import type { Mark, MarkRequest, Pulse } from '../shared/marks.ts';
import type { ErrorReply, UploadReply } from '../shared/api.ts';
import { OWN, ServerError, answer, json, post } from './api.ts';

const of = (day: string): string => `/api/days/${encodeURIComponent(day)}`;
const markOf = (day: string, finding: string): string => `${of(day)}/marks/${encodeURIComponent(finding)}`;

/** Files handed over, headings, marks and the pulse of a day. All reject with ServerError. */
export const desk = {
  room: async (): Promise<number> => (await json<{ readonly room: number }>('/api/uploads')).room,
  glance: (upload: string): Promise<LogGlance> => json(`/api/uploads/${encodeURIComponent(upload)}/glance`),
  putAway: async (upload: string): Promise<void> => void (await answer(`/api/uploads/${encodeURIComponent(upload)}`, { method: 'DELETE', headers: OWN })),
  columns: (day: string): Promise<ColumnsReply> => json(`${of(day)}/columns`),
  readWithColumns: (day: string, columns: string): Promise<{ readonly id: string }> => json(`${of(day)}/columns`, post({ columns })),
  readWithFiles: (day: string, uploads: readonly string[]): Promise<{ readonly id: string }> => json(`${of(day)}/files`, post({ uploads })),
  pulse: (day: string): Promise<Pulse> => json(`${of(day)}/pulse`),
  marks: (day: string): Promise<readonly Mark[]> => json(`${of(day)}/marks`),
  mark: (day: string, finding: string, request: MarkRequest): Promise<Mark> => json(markOf(day, finding), { ...post(request), method: 'PUT' }),
  unmark: async (day: string, finding: string): Promise<void> => void (await answer(markOf(day, finding), { method: 'DELETE', headers: OWN })),
};

/** Hands a file over; `onSent` is told the bytes sent. XMLHttpRequest, because fetch does not say how far it is. */
export function handOver(name: string, body: Blob, onSent: (bytes: number) => void, stop: AbortSignal): Promise<UploadReply> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    const fail = (reply: ErrorReply): void => reject(new ServerError(reply));
    request.open('POST', '/api/uploads');
    request.setRequestHeader('content-type', 'application/octet-stream');
    request.setRequestHeader('x-file-name', encodeURIComponent(name.replaceAll(/\p{Surrogate}/gu, '\ufffd')));
    for (const [header, value] of Object.entries(OWN)) request.setRequestHeader(header, value);
    request.responseType = 'json';
    request.upload.addEventListener('progress', (event) => onSent(event.loaded));
    request.addEventListener('load', () => {
      const reply: unknown = request.response;
      if (request.status === 201 && reply !== null) resolve(reply as UploadReply);
      else fail((reply as ErrorReply | null) ?? { kind: 'internal', message: `The server answered ${request.status}.`, whatToDo: 'Try again.' });
    });
    request.addEventListener('error', () => fail({ kind: 'unreachable', message: `${name} could not be handed over: Sowtrace stopped listening.`, whatToDo: 'Is it still running, and the file still where it was? Then try again.' }));
    request.addEventListener('abort', () => reject(new DOMException('cancelled', 'AbortError')));
    stop.addEventListener('abort', () => request.abort());
    request.send(body);
  });
}
