import type { FormatSample } from '../contract.ts';
import { utf8 } from '../recording-sink.ts';

/** Seconds since 1980-01-01 of 2026-05-06T12:00:00, the terminal's clock. */
const START = Date.UTC(2026, 4, 6, 12) / 1000 - 315_532_800;

export interface SampleRecord {
  readonly second: number;
  readonly values: readonly (readonly [index: number, value: number])[];
}

/** A binary time log with position (A, B), height, status, PDOP, HDOP, satellites and GPS time, as its header below asks. */
export function timeLog(records: readonly SampleRecord[]): Uint8Array {
  return new Uint8Array(Buffer.concat(records.map(({ second, values }) => {
    const time = START + second;
    const bytes = Buffer.alloc(6 + 12 + 1 + 2 + 2 + 1 + 4 + 2 + 1 + values.length * 5);
    let at = bytes.writeUInt32LE((time % 86_400) * 1000, 0);
    at = bytes.writeUInt16LE(Math.floor(time / 86_400), at);
    at = bytes.writeInt32LE(503_000_000 + second * 100, at);
    at = bytes.writeInt32LE(-1_046_000_000, at);
    at = bytes.writeInt32LE(577_000, at);
    at = bytes.writeUInt8(4, at);
    at = bytes.writeUInt16LE(15, at);
    at = bytes.writeUInt16LE(9, at);
    at = bytes.writeUInt8(17, at);
    at = bytes.writeUInt32LE(((time + 2) % 86_400) * 1000, at);
    at = bytes.writeUInt16LE(Math.floor(time / 86_400), at);
    at = bytes.writeUInt8(values.length, at);
    for (const [index, value] of values) {
      at = bytes.writeUInt8(index, at);
      at = bytes.writeInt32LE(value, at);
    }
    return bytes;
  })));
}

export const LOG_HEADER = utf8(`<?xml version="1.0" encoding="UTF-8"?>
<TIM A="" D="4">
  <PTN A="" B="" C="" D="" E="" F="" G="" H="" I=""/>
  <DLV A="DFFE" B="" C="DET-2" D="65096" E="0" F="15"/>
  <DLV A="DFFE" B="" C="DET-2" D="129026" E="16" F="31"/>
  <DLV A="DFFE" B="" C="DET-2" D="129026" E="32" F="47"/>
  <DLV A="0007" B="" C="DET-3"/>
  <DLV A="004B" B="" C="DET-3"/>
  <DLV A="00A1" B="" C="DET-1"/>
  <DLV A="0122" B="" C="DET-1"/>
  <DLV A="0043" B="" C="DET-1"/>
</TIM>
`);

/** An air cart with one tank and a tractor that sends its speeds. */
export const TASK_FILE = utf8(`<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="2" DataTransferOrigin="2">
  <!-- made for a test -->
  <DVC A="DVC-1" B="Cart &amp; drill" C="1.0" D="A00880000AE00002" E="1" F="00000000000001" G="FF000000006E65">
    <DET A="DET-1" B="1" C="1" D="Cart" E="0" F="0"><DOR A="10"/><DOR A="11"/><DOR A="12"/></DET>
    <DET A="DET-3" B="3" C="3" D="Front tank" E="7" F="1"><DOR A="13"/><DOR A="14"/></DET>
    <DPD A="10" B="00A1" C="1" D="9" E="Sections"/>
    <DPD A="11" B="0122" C="3" D="9" E="Sections wanted"/>
    <DPD A="12" B="0043" C="0" D="9" E="Width"/>
    <DPD A="13" B="0007" C="1" D="9" E="Rate"/>
    <DPD A="14" B="004B" C="1" D="9" E="Content"/>
  </DVC>
  <DVC A="DVC-2" B="Tractor" C="1.0" D="A00088000AE00003" E="1" F="00000000000001" G="FF000000006E65">
    <DET A="DET-2" B="1" C="7" D="Navigation" E="0" F="0"/>
  </DVC>
  <TSK A="TSK-1" G="4"><TIM A="2026-05-06T12:00:00-06:00" B="2026-05-06T12:00:08-06:00" D="4"/><TLG A="TLG00001" C="1"/></TSK>
  <TSK A="TSK-2" G="4"><TIM A="2026-05-06T12:10:00-06:00" D="4"/><TLG A="TLG00002" C="1"/></TSK>
</ISO11783_TaskData>
`);

export const FIRST_LOG = timeLog([
  { second: 0, values: [[0, 2500], [1, 15_708], [2, 250], [3, 11_200], [4, 2_400_000], [5, -4096], [6, -4096], [7, 12_000]] },
  { second: 1, values: [[6, -2731]] },
  { second: 2, values: [[0, 2600], [4, 2_399_000]] },
  { second: 3, values: [] },
  { second: 7, values: [[5, -2731]] },
]);
const SECOND_LOG = timeLog([{ second: 600, values: [[0, 3000]] }, { second: 601, values: [[3, 11_300]] }]);

export const taskSample: FormatSample = {
  name: 'task data',
  records: 7,
  bytes: TASK_FILE,
  fileName: 'TASKDATA.XML',
  beside: { 'TLG00001.XML': LOG_HEADER, 'TLG00001.BIN': FIRST_LOG, 'TLG00002.XML': LOG_HEADER, 'TLG00002.BIN': SECOND_LOG },
};

/** A time log without its task file. */
export const lonelySample: FormatSample = { name: 'one time log', records: 5, bytes: LOG_HEADER, fileName: 'TLG00001.XML', beside: { 'TLG00001.BIN': FIRST_LOG } };
