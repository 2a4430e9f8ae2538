import type { ErrorReply } from '../../../shared/api.ts';

export function Trouble({ reply }: { readonly reply: ErrorReply }) {
  return (
    <div class="trouble" role="alert">
      <strong>{reply.message}</strong> {reply.whatToDo}
    </div>
  );
}
