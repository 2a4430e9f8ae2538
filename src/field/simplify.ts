export type Point = readonly [east: number, north: number];

/** A line with fewer points, nowhere further from the given one than `tolerance` m (Ramer 1972, Douglas and Peucker 1973). */
export function simplified(points: readonly Point[], tolerance: number): readonly Point[] {
  if (points.length < 3) return points;
  const keep = new Uint8Array(points.length);
  keep[0] = 1;
  keep[points.length - 1] = 1;
  const open: [number, number][] = [[0, points.length - 1]];
  for (let range = open.pop(); range !== undefined; range = open.pop()) {
    const [first, last] = range;
    let furthest = -1;
    let worst = tolerance;
    for (let i = first + 1; i < last; i++) {
      const away = distance(points[i] as Point, points[first] as Point, points[last] as Point);
      if (away <= worst) continue;
      worst = away;
      furthest = i;
    }
    if (furthest < 0) continue;
    keep[furthest] = 1;
    open.push([first, furthest], [furthest, last]);
  }
  return points.filter((_, i) => keep[i] === 1);
}

/** m from a point to a stretch of straight line. */
function distance([x, y]: Point, [ax, ay]: Point, [bx, by]: Point): number {
  const [dx, dy] = [bx - ax, by - ay];
  const square = dx * dx + dy * dy;
  const share = square === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / square));
  return Math.hypot(x - ax - share * dx, y - ay - share * dy);
}
