import type { Setup } from '../../../shared/setup.ts';

/** Where on the machine the subject of a finding is, in words a person can walk to. */
export function machinePlace(subject: string, code: string, { machine }: Setup): string {
  const [kind = '', id = ''] = [subject.slice(0, subject.indexOf('.')), subject.slice(subject.indexOf('.') + 1)];
  if (code.startsWith('log.')) return `recorder and plugs (${subject})`;
  if (subject === 'wheel') return 'speed wheel of the cart';
  if (subject === 'machine') return 'antenna and openers';
  if (subject === 'field') return 'in the field, behind the drill';
  if (subject === 'all') return 'every section, at its clutch or gate';
  const towersOf = (runs: readonly number[]): string => {
    const towers = machine.towers.filter((tower) => tower.runs.some((run) => runs.includes(run))).map((tower) => tower.id);
    return towers.length === 0 ? '' : `, tower ${towers.join(' and ')}`;
  };
  switch (kind) {
    case 'run': return `run ${id}${towersOf([Number(id)])}`;
    case 'runs': return `runs ${id.replace('-', ' to ')}${towersOf(id.split('-').map(Number))}`;
    case 'tower': return `tower ${id}`;
    case 'section': {
      const towers = machine.towers.filter(({ section }) => section === id).map((tower) => tower.id);
      return `section ${id}${towers.length === 0 ? '' : `, tower ${towers.join(' and ')}`}`;
    }
    case 'tank': return named('tank', id, machine.tanks.find((tank) => tank.id === id)?.name);
    case 'fan': return named('fan', id, machine.fans.find((fan) => fan.id === id)?.name);
    default: return subject.replaceAll('.', ' ');
  }
}

const named = (kind: string, id: string, name: string | undefined): string => (name === undefined || name === id ? `${kind} ${id}` : `${kind} ${id} (${name})`);
