import { median } from '../series/robust.ts';

/**
 * A flat map of the surroundings of one point, metres east and north of it: transverse Mercator on the WGS 84
 * ellipsoid with scale 1 on the origin's meridian (series of Redfearn 1948 cut after the cubic term, meridian arc by
 * Helmert 1880; both from memory, tested against geographiclib-geodesic). Within 5 km of the origin lengths are right to 0.4 mm/km.
 */
export interface LocalPlane {
  /** deg */
  readonly origin: { readonly latitude: number; readonly longitude: number };
  /** deg → m */
  readonly toPlane: (latitude: number, longitude: number) => readonly [east: number, north: number];
  /** m → deg; longitude first, as in GeoJSON. */
  readonly fromPlane: (east: number, north: number) => readonly [longitude: number, latitude: number];
}

/* WGS 84: semi-major axis in m and flattening, by definition. */
const A = 6_378_137;
const F = 1 / 298.257223563;
const E2 = F * (2 - F);
/** Second eccentricity squared, third flattening. */
const EP2 = E2 / (1 - E2);
const N = F / (2 - F);
const RADIAN = Math.PI / 180;

/** m along the meridian from the equator to a latitude in rad. */
function meridianArc(phi: number): number {
  const n2 = N * N;
  return (A / (1 + N)) * ((1 + n2 / 4 + (n2 * n2) / 64) * phi
    - 1.5 * (N - (N * n2) / 8) * Math.sin(2 * phi)
    + (15 / 16) * (n2 - (n2 * n2) / 4) * Math.sin(4 * phi)
    - (35 / 48) * N * n2 * Math.sin(6 * phi)
    + (315 / 512) * n2 * n2 * Math.sin(8 * phi));
}

/** Radii of curvature at a latitude in rad: across and along the meridian, m. */
function radiiAt(phi: number): { readonly across: number; readonly along: number } {
  const w = 1 - E2 * Math.sin(phi) ** 2;
  const across = A / Math.sqrt(w);
  return { across, along: (across * (1 - E2)) / w };
}

export function localPlane(originLatitude: number, originLongitude: number): LocalPlane {
  const arcAtOrigin = meridianArc(originLatitude * RADIAN);

  const toPlane = (latitude: number, longitude: number): readonly [number, number] => {
    const phi = latitude * RADIAN;
    const away = longitude - originLongitude;
    const lambda = (away - 360 * Math.round(away / 360)) * RADIAN;
    const cos = Math.cos(phi);
    const sin = Math.sin(phi);
    const { across } = radiiAt(phi);
    const l = lambda * cos;
    /* t² and η² of the textbooks, times cos² where that keeps the poles finite. */
    const eta2 = EP2 * cos * cos;
    const cubic = ((cos * cos - sin * sin + eta2 * cos * cos) * lambda * lambda) / 6;
    return [
      across * l * (1 + cubic),
      meridianArc(phi) - arcAtOrigin + (across * sin * l * lambda) / 2,
    ];
  };

  const fromPlane = (east: number, north: number): readonly [number, number] => {
    let latitude = originLatitude;
    let longitude = originLongitude;
    /* Newton with the scales of the place: each round leaves about a thousandth of the error. */
    for (let round = 0; round < 6; round++) {
      const [e, n] = toPlane(latitude, longitude);
      const { across, along } = radiiAt(latitude * RADIAN);
      latitude += (north - n) / along / RADIAN;
      longitude += (east - e) / (across * Math.cos(latitude * RADIAN)) / RADIAN;
    }
    return [longitude - 360 * Math.round(longitude / 360), latitude];
  };

  return { origin: { latitude: originLatitude, longitude: originLongitude }, toPlane, fromPlane };
}

/** A plane round the middle of the known positions (their medians, so that a stray one does not count), rounded to 0.001°; undefined without any. */
export function planeAround(latitudes: ArrayLike<number>, longitudes: ArrayLike<number>): LocalPlane | undefined {
  const stride = Math.max(1, Math.floor(latitudes.length / MOST_LOOKED_AT));
  const norths: number[] = [];
  const easts: number[] = [];
  let first = Number.NaN;
  for (let i = 0; i < latitudes.length; i += stride) {
    const longitude = longitudes[i] as number;
    if (Number.isNaN((latitudes[i] as number) + longitude)) continue;
    if (Number.isNaN(first)) first = longitude;
    norths.push(latitudes[i] as number);
    easts.push(longitude - 360 * Math.round((longitude - first) / 360));
  }
  if (norths.length === 0) return undefined;
  const rounded = (degrees: number): number => Math.round(degrees * 1000) / 1000;
  return localPlane(rounded(median(norths)), rounded(median(easts)));
}

const MOST_LOOKED_AT = 2000;
