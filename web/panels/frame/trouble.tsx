import type { ComponentChildren } from 'preact';
import type { ErrorReply } from '../../../shared/api.ts';
import { visible } from './names.ts';

/** What went wrong and what to do, with the buttons that do it. */
export function Trouble({ reply, children }: { readonly reply: ErrorReply; readonly children?: ComponentChildren }) {
  return (
    <div class="trouble" role="alert">
      <p><strong>{visible(reply.message)}</strong> {visible(reply.whatToDo)}</p>
      {children !== undefined && <div class="row">{children}</div>}
    </div>
  );
}
