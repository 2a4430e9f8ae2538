/**
 * What must be printed wherever a finding sends someone to the machine. Common practice of the trade; lockout around grain
 * handling, injection injuries, seed tags, flowing grain, ammonia water supply and noise follow extension and safety bulletins.
 */
const DEFER = "Follow the operator's manual and local rules; leave what you are not trained for to trained service people.";

const caution = (text: string): string => `${text} ${DEFER}`;

export const cautions = {
  /** Fans and meters. */
  K1: caution('Before reaching near a fan, meter, roller, auger or coupling: engine off, key out, wait until everything stands still, lock it out. Meters can start by themselves when the controller sees speed.'),
  /** Hydraulics. */
  K2: caution('Never feel for a hydraulic leak: use card or wood, and relieve the pressure before opening anything. Oil that went through the skin needs a doctor at once, even if it hardly hurts.'),
  /** Raised drill, wings, tank. */
  K3: caution('Fit the locks or stands before working on a raised drill; nobody under wings. Check that the wing cylinders are full of oil before lowering.'),
  /** Treated seed. */
  K4: caution('Treated seed: the seed tag comes first. Wear at least long sleeves and trousers, shoes, chemical-resistant gloves over the forearm and a dust mask, and keep the wind at your back.'),
  /** Tanks are engulfment and confined spaces. */
  K5: caution('Never enter a tank that holds product or whose meters can move: crusts collapse and flowing grain traps a person within seconds. Entry only with lockout, harness, tested air and a second person outside.'),
  /** Fertilizer dust and anhydrous ammonia. */
  K6: caution('Fertilizer: keep dust off eyes, skin and lungs. Where ammonia is on the drill: ventless goggles, long gloves, clean water on the rig and in your pocket, work upwind, and take every line and plugged knife to be under pressure.'),
  /** Pressurised tank. */
  K7: caution('Open a tank lid only with the fan off and the pressure gone.'),
  /** Auger and ladder. */
  K8: caution('Augers and ladders: no loose clothing, look for overhead lines, keep three points of contact.'),
  /** Moving tests. */
  K9: caution('Moving tests: nobody between or behind the machines, agree on hand signals, use closed ground.'),
  /** Noise. */
  K10: caution('Wear hearing protection near running fans.'),
} as const;
