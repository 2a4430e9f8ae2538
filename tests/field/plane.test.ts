import geographiclib from 'geographiclib-geodesic';
import { describe, expect, test } from 'vitest';
import { localPlane, planeAround } from '../../src/field/plane.ts';

const wgs84 = geographiclib.Geodesic.WGS84;

describe('local plane against geographiclib-geodesic', () => {
  /* checks.md G-05 lists these latitudes. */
  const latitudes = [-38, 0, 30, 45, 50, 52, 55, 60];

  test.each(latitudes)('lengths within 1 mm/km up to 5 km around latitude %d', (latitude) => {
    const plane = localPlane(latitude, -106);
    for (let i = 0; i < 60; i++) {
      /* Points spread over the disc of 5 km, each with a second one about 1 km away. */
      const a = wgs84.Direct(latitude, -106, i * 37, 5000 * Math.sqrt((i + 1) / 60));
      const b = wgs84.Direct(a.lat2 ?? NaN, a.lon2 ?? NaN, i * 71, 1000);
      const [ea, na] = plane.toPlane(a.lat2 ?? NaN, a.lon2 ?? NaN);
      const [eb, nb] = plane.toPlane(b.lat2 ?? NaN, b.lon2 ?? NaN);
      expect(Math.abs(Math.hypot(eb - ea, nb - na) - 1000)).toBeLessThan(0.001);
    }
  });

  test.each(latitudes)('directions from the origin within 0.1 mrad up to 5 km, latitude %d', (latitude) => {
    const plane = localPlane(latitude, 20);
    for (let azimuth = 0; azimuth < 360; azimuth += 15) {
      const end = wgs84.Direct(latitude, 20, azimuth, 5000);
      const [east, north] = plane.toPlane(end.lat2 ?? NaN, end.lon2 ?? NaN);
      expect(Math.abs(Math.sin(Math.atan2(east, north) - (azimuth * Math.PI) / 180))).toBeLessThan(1e-4);
    }
  });

  test('there and back within 0.01 mm', () => {
    const plane = localPlane(52, -106);
    for (const [east, north] of [[0, 0], [5000, 0], [-3000, 4000], [20_000, -20_000]] as const) {
      const [longitude, latitude] = plane.fromPlane(east, north);
      const [e, n] = plane.toPlane(latitude, longitude);
      expect(Math.hypot(e - east, n - north)).toBeLessThan(1e-5);
    }
  });

  test('across longitude 180°', () => {
    const plane = localPlane(52, 180);
    expect(plane.toPlane(52, 179.99)[0]).toBeCloseTo(-plane.toPlane(52, -179.99)[0], 6);
    expect(plane.fromPlane(-100, 0)[0]).toBeGreaterThan(179);
    expect(plane.fromPlane(100, 0)[0]).toBeLessThan(-179);
  });
});

describe('published figures (checks.md section 5)', () => {
  test('G-01, G-02: the reference library itself answers as printed', () => {
    expect(wgs84.Inverse(35.60777, -139.44815, -11.17491, -69.95921).s12).toBeCloseTo(8935244.56048183, 6);
    expect(wgs84.Inverse(40.6, -73.8, 49.01666667, 2.55).s12).toBeCloseTo(5853226, -1);
  });

  test('G-03: edges east, north, west of 1000 m from (0, 0) close to 100 ha', () => {
    const corners = squareFrom(0, 0, 1000);
    expect(planeArea(0, 0.005, corners)).toBeCloseTo(1_000_000, -1);
    expect(Math.abs(planeArea(0, 0.005, corners) - 1_000_000)).toBeLessThan(0.1);
  });

  test('G-04: half-mile square at (52, −106) is 64.74448 ha, not the plane’s 64.7497', () => {
    expect(planeArea(52, -106, squareFrom(52, -106, 804.672)) / 1e4).toBeCloseTo(64.74448, 4);
  });

  test('G-05: 0.01° cell at (52, −106) is 764,077.62 m²', () => {
    const cell = [[52, -106], [52, -105.99], [52.01, -105.99], [52.01, -106]] as const;
    /* The cell's upper and lower sides are geodesics here, parallels on a map: equal to 1e-6. */
    expect(planeArea(52, -106, cell) / 764_077.62).toBeCloseTo(1, 5);
  });

  /* The catalogue's figures are geodesics of a whole degree; the plane is asked for a hundredth of one. */
  test.each([[45, 111131.778, 78846.335], [50, 111229.059, 71695.220], [52, 111267.347, 68677.475]])(
    'G-05: metres per degree at latitude %d', (latitude, alongMeridian, acrossMeridian) => {
      expect(wgs84.Inverse(latitude - 0.5, 0, latitude + 0.5, 0).s12).toBeCloseTo(alongMeridian, 2);
      expect(wgs84.Inverse(latitude, -0.5, latitude, 0.5).s12).toBeCloseTo(acrossMeridian, 2);
      const plane = localPlane(latitude, 0);
      const along = wgs84.Inverse(latitude - 0.005, 0, latitude + 0.005, 0).s12 ?? NaN;
      const across = wgs84.Inverse(latitude, -0.005, latitude, 0.005).s12 ?? NaN;
      expect(plane.toPlane(latitude + 0.005, 0)[1] - plane.toPlane(latitude - 0.005, 0)[1]).toBeCloseTo(along, 5);
      expect(plane.toPlane(latitude, 0.005)[0] - plane.toPlane(latitude, -0.005)[0]).toBeCloseTo(across, 4);
    });
});

describe('plane around a track', () => {
  test('has its origin in the middle and ignores unknown and stray positions', () => {
    const plane = planeAround([NaN, 52, 52.01, 52.02, 0], [NaN, -106, -106.02, -106.04, 0]);
    expect(plane?.origin.latitude).toBeCloseTo(52, 1);
    expect(plane?.origin.longitude).toBeCloseTo(-106, 1);
    expect(planeAround([NaN], [NaN])).toBeUndefined();
  });

  test('lies at 180° for a field there', () => {
    const plane = planeAround([52, 52, 52, 52], [179.99, -179.99, 179.995, -179.995]);
    expect(Math.abs(plane?.origin.longitude ?? NaN)).toBeCloseTo(180, 1);
    expect(Math.abs(plane?.toPlane(52, -179.99)[0] ?? NaN)).toBeLessThan(1500);
  });
});

function squareFrom(latitude: number, longitude: number, side: number): readonly (readonly [number, number])[] {
  const corners: [number, number][] = [[latitude, longitude]];
  for (const azimuth of [90, 0, -90]) {
    const [lat, lon] = corners.at(-1) ?? [NaN, NaN];
    const next = wgs84.Direct(lat, lon, azimuth, side);
    corners.push([next.lat2 ?? NaN, next.lon2 ?? NaN]);
  }
  return corners;
}

function planeArea(latitude: number, longitude: number, corners: readonly (readonly [number, number])[]): number {
  const plane = localPlane(latitude, longitude);
  const points = corners.map(([lat, lon]) => plane.toPlane(lat, lon));
  let twice = 0;
  points.forEach(([east, north], i) => {
    const [nextEast, nextNorth] = points[(i + 1) % points.length] ?? [NaN, NaN];
    twice += east * nextNorth - nextEast * north;
  });
  return twice / 2;
}
