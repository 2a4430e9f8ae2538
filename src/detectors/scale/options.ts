/** Thresholds of the scale check. */
export const defaults = {
  tickets: {
    /* s; tickets are often written at the platform or in the evening, rounded to the quarter hour. Common practice, no source. */
    longestApart: 45 * 60,
    /* kg, standard uncertainty of a ticket that states none: one truck weighed full and empty. Common practice, no source. */
    ticketUncertainty: 10,
  },
  span: {
    /* Ratio; ±0.5 % is good, over ±1 % is acted on, halfway it is no longer good (trade.md c.5, common practice, no source). OIML R 76 class IIII in service
       allows 2 % at 50 divisions and 0.6 % at 500, so tighter limits would blame sound scales. */
    notGood: 0.0075,
    act: 0.01,
    /* Standard uncertainties by which a deviation must be proved: several tanks on every day of a season are judged. */
    sigmas: 3,
    /* kg by ticket that a check of the span should have (trade.md F14: 2 t or more), and what it takes with less. */
    leastTicketMass: 2000,
    sigmasForLess: 5,
    /* Relative standard uncertainty common to all loads: parked within half a degree or so of level (trade.md f.1: 0.15 % per degree, from memory). */
    level: 0.0006,
  },
  zero: {
    longestSeconds: 5,
    levelSeconds: 15,
    /* kg; people on the cart and lids move a reading by less. From memory. */
    smallest: 50,
    /* kg, slow wander of a reading: scenarios.md section 0, trade.md f.1, from memory. */
    wander: 6,
    nearZero: 12,
    /* kg; trade.md F16: temperature, dew and mud leave ±10 to 40 kg on an empty tank. */
    emptyReading: 60,
    /* kg; people and a neighbour's fill move a reading by tens of kg. */
    leastShift: 120,
    /* kg below zero, and s for which it lasts, that no drift explains. */
    belowZero: 80,
    belowSeconds: 120,
  },
  cell: {
    windowSeconds: 600,
    liveShare: 0.2,
    liveCorrelation: 0.12,
    least: 0.55,
    most: 0.88,
    sigmas: 7,
    leastMass: 250,
  },
};

export type ScaleOptions = typeof defaults;
