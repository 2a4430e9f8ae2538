import { AFT, PRODUCTS, RUNS_PER_TOWER, TANKS, TOWERS, TRUE_WHEEL_CONSTANT, WIDTH } from './machine.ts';
import { dayStart, fillsOf } from './plan.ts';
import type { DayPlan } from './plan.ts';
import { enteredDelays } from './sections.ts';

/** setup.json (contract 6) as the operator would have it: entered values, job sheet, weigh tickets. */
export function setupFile(plan: DayPlan): object {
  const entered = plan.entered ?? {};
  const delays = enteredDelays(plan);
  const used = Object.entries(plan.tanks).map(([tank, tankPlan]) => ({ tank, tankPlan }));
  const file = {
    machine: {
      name: 'Drill D60',
      workingWidth: `${entered.width ?? WIDTH} m`,
      rowSpacing: '0.3048 m',
      wheel: { constant: `${(entered.wheelConstant ?? TRUE_WHEEL_CONSTANT).toFixed(2)} pulses/m` },
      antennaToOpeners: { aft: `${entered.aft ?? AFT} m`, right: `${entered.right ?? 0} m` },
      towers: TOWERS.map((id, k) => ({ id, runs: `${k * RUNS_PER_TOWER + 1}-${(k + 1) * RUNS_PER_TOWER}`, section: String(k + 1) })),
      tanks: TANKS.map((tank, k) => ({ id: String(k + 1), name: `T${k + 1}`, capacity: `${tank.capacity} kg`, meter: String(k + 1) })),
      meters: used.map(({ tank, tankPlan }) => ({ id: tank, massPerTurn: `${round(PRODUCTS[tankPlan.crop].massPerTurn * (tankPlan.enteredFactor ?? 1), 5)} kg` })),
      fans: [{ id: '1', name: 'seed fan' }, { id: '2', name: 'fertilizer fan' }],
      delays: { on: `${delays.on} s`, off: `${delays.off} s` },
    },
    job: {
      zone: 'UTC',
      products: used.map(({ tank, tankPlan }) => {
        const physics = TANKS[Number(tank) - 1];
        return {
          tank, name: tankPlan.crop, targetRate: `${entered.jobSheet?.[Number(tank)] ?? tankPlan.target} kg/ha`, counted: physics?.counted ?? false,
          seedMass: tankPlan.seedGrams === undefined ? undefined : `${tankPlan.seedGrams} g/1000`,
          fan: String((physics?.fan ?? 0) + 1), fanFloor: `${PRODUCTS[tankPlan.crop].fanFloor} rpm`,
        };
      }),
      loads: fillsOf(plan).filter((fill) => fill.ticket !== false).map((fill) => ({
        tank: String(fill.tank),
        time: new Date((dayStart(plan) + fill.start) * 1000).toISOString(),
        mass: `${fill.mass + (fill.ticketError ?? 0)} kg`, uncertainty: '10 kg',
      })),
    },
  };
  /* Parts without a value are left out, not undefined. */
  return JSON.parse(JSON.stringify(file)) as object;
}

const round = (value: number, digits: number): number => Math.round(value * 10 ** digits) / 10 ** digits;
