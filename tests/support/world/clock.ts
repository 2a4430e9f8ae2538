/** `08:30` or `08:30:15` → seconds since midnight. */
export function secondsOfDay(clock: string): number {
  const [hours = 0, minutes = 0, seconds = 0] = clock.split(':').map(Number);
  return hours * 3600 + minutes * 60 + seconds;
}

/** Seconds since 1970 UTC of a day's clock time, UTC. */
export function epoch(date: string, clock: string): number {
  return Date.parse(`${date}T00:00:00Z`) / 1000 + secondsOfDay(clock);
}
