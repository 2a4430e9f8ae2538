/**
 * What is done with each message of one identifier: the one at `times[i]`, whose data begin at `data[at]` and are readable for
 * 8 bytes also when `length` is less. The time is handed over in its array, because a number of its own would be allocated per frame.
 */
export interface MessageHandler {
  (times: Float64Array, i: number, data: Uint8Array, at: number, length: number): void;
  readonly makesChannels?: boolean;
}

export const making = (handler: MessageHandler): MessageHandler => Object.assign<MessageHandler, { makesChannels: boolean }>(handler, { makesChannels: true });

export function both(first: MessageHandler | undefined, second: MessageHandler | undefined): MessageHandler | undefined {
  if (first === undefined) return second;
  if (second === undefined) return first;
  const handler: MessageHandler = (times, i, data, at, length) => {
    first(times, i, data, at, length);
    second(times, i, data, at, length);
  };
  return Object.assign(handler, { makesChannels: first.makesChannels === true || second.makesChannels === true });
}
