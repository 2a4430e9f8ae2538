/**
 * What must be printed wherever a finding sends someone to the machine. Common practice of the trade; lockout around grain
 * handling, injection injuries, seed tags, flowing grain, ammonia water supply and noise follow extension and safety bulletins.
 */
export const cautions = {
  /** Fans and meters. */
  K1: 'Before reaching near a fan, meter, roller, auger or coupling: engine off, key out, wait until everything stands still, lock it out. Meters can start by themselves when the controller sees speed. The operator\'s manual and local lockout rules come first; repairs are for trained service people.',
  /** Hydraulics. */
  K2: 'Never feel for a hydraulic leak: use card or wood, and relieve the pressure before opening anything. Oil under the skin needs a doctor at once, even if it hardly hurts. Open hydraulics are for trained service people, by the operator\'s manual.',
  /** Raised drill, wings, tank. */
  K3: 'Fit the locks or stands before working on a raised drill or tank; nobody under wings; wing cylinders full of oil before lowering. Follow the operator\'s manual.',
  /** Treated seed. */
  K4: 'Treated seed: the seed tag and local rules come first. At least long sleeves and trousers, shoes, chemical-resistant gloves over the forearm and a dust mask, with the wind at your back.',
  /** Tanks are engulfment and confined spaces. */
  K5: 'Never enter a tank that holds product or whose meters can move: crusts collapse, and flowing grain traps a person within seconds. Entry is for trained people by local confined-space rules: lockout, harness, tested air, a second person outside.',
  /** Fertilizer dust and anhydrous ammonia. */
  K6: 'Fertilizer: keep its dust off eyes, skin and lungs. With ammonia on the drill: ventless goggles, long gloves, clean water on the rig and in the pocket, work upwind, take every line and plugged knife to be under pressure. Local rules come first; ammonia repairs are for trained service people.',
  /** Pressurised tank. */
  K7: 'Open a tank lid only with the fan off and the pressure gone, as the operator\'s manual says.',
  /** Auger and ladder. */
  K8: 'Augers and ladders: no loose clothing, look for overhead lines, three points of contact. Follow the operator\'s manual.',
  /** Moving tests. */
  K9: 'Moving tests: nobody between or behind the machines, hand signals agreed, closed ground. Local rules and the operator\'s manual come first.',
  /** Noise. */
  K10: 'Wear hearing protection near running fans; local rules say which.',
} as const;
