/** Link type of captured SocketCAN packets (tcpdump.org LINKTYPE_CAN_SOCKETCAN). */
export const SOCKETCAN = 227;

/** What a captured packet is: a classic data frame, something to leave out by rule, or damage. */
export type CanPacket =
  | { readonly kind: 'frame'; readonly id: number; readonly isExtended: boolean; readonly length: number }
  | { readonly kind: 'ignored'; readonly rule: string }
  | { readonly kind: 'rejected'; readonly reason: string };

/** Bytes before the data: identifier with flags (big-endian whatever the file's byte order is), length, FD flags, two reserved. */
export const CAN_HEADER = 8;
/** Size of a captured classic frame, data padded. */
const CLASSIC_PACKET = 16;
/** Size of a captured CAN FD frame where its writer set no flag. */
const FD_PACKET = 72;
const REMOTE_FLAG = 0x40000000;
const ERROR_FLAG = 0x20000000;
const FD_FLAG = 4;
const XL_FLAG = 0x80;

const ignored = (rule: string): CanPacket => ({ kind: 'ignored', rule });
const rejected = (reason: string): CanPacket => ({ kind: 'rejected', reason });

export function readCanPacket(view: DataView, at: number, size: number): CanPacket {
  if (size < CAN_HEADER) return rejected(`packet of ${size} bytes, a CAN frame has at least ${CAN_HEADER}`);
  const flagged = view.getUint32(at);
  const length = view.getUint8(at + 4);
  const flags = view.getUint8(at + 5);
  if ((length & XL_FLAG) !== 0) return ignored('CAN XL frame');
  /* In classic packets the flags are whatever the writer's memory held: only a longer one can be CAN FD. */
  if (size > CLASSIC_PACKET && ((flags & FD_FLAG) !== 0 || (size === FD_PACKET && length > 8))) return ignored('CAN FD frame');
  if ((flagged & ERROR_FLAG) !== 0) return ignored('error frame');
  if ((flagged & REMOTE_FLAG) !== 0) return ignored('remote frame');
  if (length > 8) return rejected(`frame length ${length}, at most 8 fit`);
  if (CAN_HEADER + length > size) return rejected(`frame of ${length} bytes in a packet of ${size}`);
  if (size > CLASSIC_PACKET) return rejected(`packet of ${size} bytes for a classic frame, longest is ${CLASSIC_PACKET}`);
  const isExtended = flagged >>> 31 === 1;
  const id = flagged & 0x1fffffff;
  if (!isExtended && id > 0x7ff) return rejected('identifier of more than 11 bits without the mark of a 29-bit one');
  return { kind: 'frame', id, isExtended, length };
}
