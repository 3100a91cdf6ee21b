// The only file that asks the server. docs/api.md is the contract.

import type {
  ChangeNotice,
  ForecastAnswer,
  ForecastQuestion,
  ListAnswer,
  ListCheck,
  RobotDescription,
  RobotPage,
  RunBody,
  SafestAnswer,
  SetAnswer,
  TableAnswer,
  TableBody,
} from './contract';
import { withTrueMinus } from './numbers';
import { asSentence } from './words';

// The server answered no: `message` is a sentence for the person, `field` the key it is about.
export class Refused extends Error {
  constructor(
    readonly status: number,
    message: string,
    readonly field: string | null,
  ) {
    super(asSentence(withTrueMinus(message)));
  }
}

// Nothing came back: out of reach, or not our server that answered.
export class OutOfReach extends Error {}

const PATIENCE_MS = 10000;

async function ask<T>(method: 'GET' | 'POST' | 'PUT', path: string, body?: unknown): Promise<T> {
  let status = 0;
  let answer: unknown;
  try {
    const response = await fetch(`/api/${path}`, {
      method,
      signal: AbortSignal.timeout(PATIENCE_MS),
      ...(method === 'GET' ? {} : { headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body ?? {}) }),
    });
    status = response.status;
    answer = await response.json();
    if (response.ok) return answer as T;
  } catch (cause) {
    throw new OutOfReach(`${method} ${path}`, { cause });
  }
  const error = (answer as { error?: { message?: string; field?: string } }).error;
  if (!error?.message) throw new OutOfReach(`${method} ${path}: ${status}`);
  throw new Refused(status, error.message, error.field ?? null);
}

type Changed = { change: number };
type Made = Changed & { id: number };

export const api = {
  joined: () => ask<{ joined: boolean; lan: boolean }>('GET', 'joined'),
  join: (code: string) => ask<object>('POST', 'join', { code }),
  set: () => ask<SetAnswer>('GET', 'set'),
  robot: (id: number) => ask<RobotPage>('GET', `robots/${id}`),
  addRobot: (robot: RobotDescription) => ask<Made>('POST', 'robots', robot),
  changeRobot: (id: number, robot: RobotDescription, basedOn: number) =>
    ask<Changed>('PUT', `robots/${id}`, { ...robot, based_on: basedOn }),
  addRun: (robotId: number, run: RunBody, key: string) =>
    ask<Changed & { run_id: number; page: RobotPage }>('POST', `robots/${robotId}/runs`, { ...run, key }),
  leaveOut: (runId: number, leftOut: boolean) =>
    ask<Changed & { page: RobotPage }>('POST', `runs/${runId}/left-out`, { left_out: leftOut }),
  keepSettings: (robotId: number) => ask<Changed>('POST', `robots/${robotId}/settings`),
  table: (id: number) => ask<TableAnswer>('GET', `tables/${id}`),
  addTable: (table: TableBody) => ask<Made>('POST', 'tables', table),
  changeTable: (id: number, table: TableBody, basedOn: number) => ask<Changed>('PUT', `tables/${id}`, { ...table, based_on: basedOn }),
  list: (id: number) => ask<ListAnswer>('GET', `lists/${id}`),
  addList: (name: string, text: string) => ask<Made>('POST', 'lists', { name, text }),
  changeList: (id: number, name: string, text: string, basedOn: number) =>
    ask<Changed>('PUT', `lists/${id}`, { name, text, based_on: basedOn }),
  checkList: (text: string, robotId: number) => ask<ListCheck>('POST', 'lists/check', { text, robot_id: robotId }),
  forecast: (question: ForecastQuestion) => ask<ForecastAnswer>('POST', 'forecast', question),
  safestStart: (question: Omit<ForecastQuestion, 'start'>) => ask<SafestAnswer>('POST', 'safest-start', question),
  undo: (expected: number) => ask<Changed & { undone: string }>('POST', 'undo', { expected }),
  redo: () => ask<Changed & { redone: string }>('POST', 'redo'),
};

const RETRY_MS = 3000;

// Listens for changes after `since` for as long as the page is open. `lost` comes when the stream breaks, `again` when it
// is back, after which everything may have changed. Answers the way to end it.
export function listen(since: number, on: { again: () => void; lost: () => void; changed: (notice: ChangeNotice) => void }): () => void {
  let source: EventSource;
  let retry = 0;
  let broken = false;
  const open = (): void => {
    source = new EventSource(`/api/events?since=${since}`);
    source.onopen = () => {
      if (broken) on.again();
      broken = false;
    };
    source.onerror = () => {
      broken = true;
      on.lost();
      // A browser gives up for good when the answer wasn't a stream; it is asked again here.
      if (source.readyState === EventSource.CLOSED) retry = window.setTimeout(open, RETRY_MS);
    };
    source.addEventListener('changed', (event) => on.changed(JSON.parse((event as MessageEvent<string>).data) as ChangeNotice));
  };
  open();
  return () => {
    window.clearTimeout(retry);
    source.close();
  };
}
