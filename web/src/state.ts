// What the page knows, and how it changes. No page, no server: everything here can be tested alone.

import type { ChangeNotice, RobotLine, RobotPage, RunBody, SetAnswer } from './contract';

export type Route =
  | { page: 'set' }
  | { page: 'new-robot' }
  // `instead`: the run that the one being entered takes the place of.
  | { page: 'robot'; robotId: number; part: 'look' | 'run' | 'describe'; instead?: number }
  | { page: 'forecast'; robotId: number | null; tableId: number | null; listId: number | null };

export function parseRoute(hash: string): Route {
  const [path = '', query = ''] = hash.replace(/^#\/?/, '').split('?');
  const [head, id, part] = path.split('/');
  const robotId = Number(id);
  const of = (name: string): number | null => {
    const found = new RegExp(`(?:^|&)${name}=(\\d+)`).exec(query);
    return found ? Number(found[1]) : null;
  };
  if (head === 'robot' && id === 'new') return { page: 'new-robot' };
  if (head === 'robot' && Number.isInteger(robotId) && robotId > 0) {
    const instead = part === 'run' ? of('instead') : null;
    return { page: 'robot', robotId, part: part === 'run' || part === 'describe' ? part : 'look', ...(instead === null ? {} : { instead }) };
  }
  if (head === 'forecast') {
    return { page: 'forecast', robotId: of('robot'), tableId: of('table'), listId: of('list') };
  }
  return { page: 'set' };
}

export function hashOf(route: Route): string {
  switch (route.page) {
    case 'set':
      return '#/';
    case 'new-robot':
      return '#/robot/new';
    case 'robot':
      return `#/robot/${route.robotId}${route.part === 'look' ? '' : `/${route.part}`}${route.instead ? `?instead=${route.instead}` : ''}`;
    case 'forecast': {
      const parts = [
        ['robot', route.robotId],
        ['table', route.tableId],
        ['list', route.listId],
      ].filter(([, id]) => id !== null);
      return `#/forecast${parts.length ? '?' : ''}${parts.map(([name, id]) => `${name}=${id}`).join('&')}`;
    }
  }
}

// A run that was typed and isn't known to the server yet. `refusal` is what the server had against it.
export interface WaitingRun {
  key: string;
  robotId: number;
  run: RunBody;
  typedAt: string;
  refusal: string | null;
  instead?: number; // the run it takes the place of, which is then left out
}

export type Connection = 'opening' | 'live' | 'lost';

// Counts what was heard of changes, so that a drawing made from a robot, a table or a list knows that it is old.
export interface Heard {
  all: number;
  of: Record<string, number>;
}
const heardKey = (kind: 'robot' | 'table' | 'list', id: number): string => `${kind} ${id}`;

// A number that changes with every change that can touch this thing.
export function heardOf(heard: Heard, kind: 'robot' | 'table' | 'list', id: number): number {
  return heard.all + (heard.of[heardKey(kind, id)] ?? 0);
}

// A notice without any id says that anything may have changed.
function hearing(heard: Heard, notice: ChangeNotice): Heard {
  const keys = (['robot', 'table', 'list'] as const).flatMap((kind) => {
    const id = notice[`${kind}_id`];
    return id === null || id === undefined ? [] : [heardKey(kind, id)];
  });
  if (keys.length === 0) return { ...heard, all: heard.all + 1 };
  return { ...heard, of: { ...heard.of, ...Object.fromEntries(keys.map((key) => [key, (heard.of[key] ?? 0) + 1])) } };
}

export interface AppState {
  route: Route;
  connection: Connection;
  joined: boolean;
  set: SetAnswer | null;
  robots: Record<number, RobotPage>;
  waiting: WaitingRun[];
  heard: Heard;
  // One line about what just happened or didn't; goes with the next step.
  note: string | null;
  // Whether this device just changed something, so that taking it back is close at hand.
  changedHere: boolean;
}

export const emptyState = (route: Route): AppState => ({
  route,
  connection: 'opening',
  joined: true,
  set: null,
  robots: {},
  waiting: [],
  heard: { all: 0, of: {} },
  note: null,
  changedHere: false,
});

export type Event =
  | { type: 'went'; route: Route }
  | { type: 'connection'; is: Connection }
  | { type: 'joined'; is: boolean }
  | { type: 'set-read'; set: SetAnswer }
  | { type: 'robot-read'; page: RobotPage }
  | { type: 'robot-gone'; id: number }
  | { type: 'heard'; notice: ChangeNotice }
  | { type: 'note'; text: string | null }
  | { type: 'waits'; run: WaitingRun }
  | { type: 'arrived'; key: string }
  | { type: 'changed-here'; is: boolean };

export function after(state: AppState, event: Event): AppState {
  switch (event.type) {
    case 'went':
      return { ...state, route: event.route, note: null, changedHere: false };
    case 'connection':
      return { ...state, connection: event.is };
    case 'joined':
      return { ...state, joined: event.is };
    case 'set-read':
      return { ...state, set: event.set };
    case 'robot-read':
      return { ...state, robots: { ...state.robots, [event.page.id]: event.page } };
    case 'robot-gone': {
      const robots = { ...state.robots };
      delete robots[event.id];
      return { ...state, robots };
    }
    case 'heard':
      return { ...state, heard: hearing(state.heard, event.notice) };
    case 'note':
      return { ...state, note: event.text };
    case 'changed-here':
      return { ...state, changedHere: event.is };
    case 'waits':
      return { ...state, waiting: [...state.waiting.filter((w) => w.key !== event.run.key), event.run] };
    case 'arrived':
      return { ...state, waiting: state.waiting.filter((w) => w.key !== event.key) };
  }
}

// Reads what was kept on this device; anything that isn't a waiting run is passed over.
export function readWaiting(text: string | null): WaitingRun[] {
  try {
    const value: unknown = JSON.parse(text ?? '[]');
    if (!Array.isArray(value)) return [];
    return value.filter((w): w is WaitingRun => typeof w?.key === 'string' && Number.isInteger(w?.robotId) && typeof w?.run === 'object');
  } catch {
    return [];
  }
}

// The robot that comes next: one being trued, then an unmeasured one.
export function nextRobot(robots: RobotLine[]): RobotLine | null {
  return robots.find((r) => r.state === 'truing') ?? robots.find((r) => r.state === 'new') ?? null;
}

export function countBy(robots: RobotLine[]): Record<RobotLine['state'], number> {
  const counts = { new: 0, truing: 0, true: 0, cannot: 0 };
  for (const robot of robots) counts[robot.state] += 1;
  return counts;
}
