/** Characters that are not seen but change how the text around them reads: controls, and marks that turn its direction. */
const UNSEEN = /[\p{Cc}\p{Cf}]/gu;
const LONGEST = 120;

/** Text out of a file, safe to read: what cannot be seen is shown as �. */
export function visible(text: string): string {
  return text.replaceAll(UNSEEN, '\ufffd');
}

/** A name out of a file, safe to read; a very long one is cut in its middle. */
export function shownName(name: string): string {
  const plain = visible(name);
  return plain.length <= LONGEST ? plain : `${plain.slice(0, LONGEST * 0.7)}…${plain.slice(-LONGEST * 0.25)}`;
}

/** `1.2 MB`; bytes in the size people compare. */
export function shownSize(bytes: number): string {
  if (bytes < 1000) return `${bytes} bytes`;
  if (bytes < 1e6) return `${(bytes / 1e3).toFixed(0)} kB`;
  return bytes < 1e9 ? `${(bytes / 1e6).toFixed(1)} MB` : `${(bytes / 1e9).toFixed(2)} GB`;
}

/** 1 → `1st`, 22 → `22nd`, 113 → `113th`. */
export function ordinal(n: number): string {
  const tens = n % 100;
  const ending = tens >= 11 && tens <= 13 ? 'th' : (['th', 'st', 'nd', 'rd'][n % 10] ?? 'th');
  return `${n}${ending}`;
}

/** `8 May 2031` in the zone of the day. The frame writes it at every zoom, and a format takes longer to make than to use. */
export function shownDate(start: number, zone: string): string {
  const format = dateFormats.get(zone) ?? new Intl.DateTimeFormat('en-GB', { timeZone: zone, day: 'numeric', month: 'long', year: 'numeric' });
  dateFormats.set(zone, format);
  return format.format(start * 1000);
}

const dateFormats = new Map<string, Intl.DateTimeFormat>();
