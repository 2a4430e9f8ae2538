/** Thresholds of the check on tanks and their flow. */
export const defaults = {
  stops: {
    /* kg, and share of the tank's capacity, under which a tank counts as empty: what stays in corners, and the scale's own drift (trade.md F16, F29). */
    emptyReading: 40,
    emptyShare: 0.012,
    /* m²; smaller bare spots are what every hand-over and every sputter leaves (scenarios.md S12: 6 to 8 s, a remark). */
    leastArea: 600,
  },
  runsOn: {
    /* s after the meter stopped until the hoses are empty: transport and tail up to 6 s (trade.md F30, d.2). */
    tailSeconds: 10,
    /* Share of the usual counts at which runs still count then. Vibration and single sensors stay below, by the median over runs. From memory. */
    leastShare: 0.03,
    /* Stops of at least so many seconds after the tail, and how many of them. */
    leastSeconds: 6,
    leastStops: 5,
    /* kg; less is no pile. */
    leastMass: 5,
    /* rpm; without air nothing arrives. */
    fanRunning: 1000,
  },
  pressure: {
    /* A tank holds this share of what the fan's speed promises by its own past; fan laws p ∝ rpm² (checks.md A-01), density over a day some percent. */
    low: 0.8,
    /* s; pieces that are judged, and how long it must last. */
    pieceSeconds: 120,
    leastSeconds: 600,
    /* Share of the fan's usual speed at which a pressure says something. */
    fanShare: 0.7,
    /* Standing fan: rpm, and s since it stopped. */
    stillRpm: 50,
    stillSeconds: 40,
    /* Pa, and share of the working pressure, that a gauge may show without air. From memory. */
    zeroPascal: 150,
    zeroShare: 0.05,
    zeroWatchShare: 0.15,
  },
  crossed: {
    /* A meter that does not fit its own tank by this much, and fits another's within that. kg per turn entered is good to some percent. */
    misfit: 0.15,
    fit: 0.06,
    /* kg a tank must have lost. */
    leastMass: 200,
  },
};

export type TankFlowOptions = typeof defaults;
