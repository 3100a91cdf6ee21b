import { describe, expect, test } from 'vitest';

import type { RobotLine } from './contract';
import { after, countBy, emptyState, hashOf, heardOf, nextRobot, parseRoute, readWaiting, type Route, type WaitingRun } from './state';

const line = (id: number, state: RobotLine['state']): RobotLine => ({
  id,
  name: `robot ${id}`,
  state,
  word: '',
  sentence: '',
  trim: null,
  in_tolerance_probability: null,
  last_drift_mm_per_m: null,
  run_count: 0,
  last_run_at: null,
});
const waiting = (key: string, refusal: string | null = null): WaitingRun => ({
  key,
  robotId: 1,
  run: { kind: 'straight', level: 128, trim: 0 },
  typedAt: '2026-11-25T10:42:00Z',
  refusal,
});

describe('A page’s address', () => {
  const routes: Route[] = [
    { page: 'set' },
    { page: 'new-robot' },
    { page: 'robot', robotId: 3, part: 'look' },
    { page: 'robot', robotId: 3, part: 'run' },
    { page: 'robot', robotId: 3, part: 'describe' },
    { page: 'robot', robotId: 3, part: 'run', instead: 17 },
    { page: 'forecast', robotId: null, tableId: null, listId: null },
    { page: 'forecast', robotId: 1, tableId: 2, listId: 3 },
  ];
  test.each(routes)('leads back to the page: %j', (route) => expect(parseRoute(hashOf(route))).toEqual(route));
  test.each(['', '#', '#/nowhere', '#/robot/x', '#/robot/-1', '#/robot/1.5'])('that leads nowhere leads to the set: %s', (hash) =>
    expect(parseRoute(hash)).toEqual({ page: 'set' }),
  );
});

describe('Waiting runs', () => {
  const empty = emptyState({ page: 'set' });
  test('wait in the order in which they were typed and go one by one', () => {
    const two = after(after(empty, { type: 'waits', run: waiting('a') }), { type: 'waits', run: waiting('b') });
    expect(two.waiting.map((w) => w.key)).toEqual(['a', 'b']);
    expect(after(two, { type: 'arrived', key: 'a' }).waiting.map((w) => w.key)).toEqual(['b']);
  });
  test('are never there twice under one key', () => {
    const once = after(empty, { type: 'waits', run: waiting('a') });
    expect(after(once, { type: 'waits', run: waiting('a', 'trim: out of range') }).waiting).toEqual([waiting('a', 'trim: out of range')]);
  });
  test('are read back as they were kept; what is damaged is passed over', () => {
    expect(readWaiting(JSON.stringify([waiting('a'), null, { key: 3 }]))).toEqual([waiting('a')]);
    for (const text of [null, '', '{', '{}', '3']) expect(readWaiting(text)).toEqual([]);
  });
});

describe('The next robot', () => {
  test('is one being trued before one not yet measured', () => {
    expect(nextRobot([line(1, 'true'), line(2, 'new'), line(3, 'truing')])?.id).toBe(3);
    expect(nextRobot([line(1, 'true'), line(2, 'new')])?.id).toBe(2);
  });
  test('is none when all run true or can’t', () => expect(nextRobot([line(1, 'true'), line(2, 'cannot')])).toBeNull());
  test('states are counted', () =>
    expect(countBy([line(1, 'true'), line(2, 'true'), line(3, 'new')])).toEqual({ new: 1, truing: 0, true: 2, cannot: 0 }));
});

test('Going elsewhere ends the note about what just happened', () => {
  const noted = after(emptyState({ page: 'set' }), { type: 'note', text: 'kept' });
  expect(after(noted, { type: 'went', route: { page: 'new-robot' } }).note).toBeNull();
});

describe('A change that is heard', () => {
  const empty = emptyState({ page: 'set' });
  test('makes old what it names, and nothing else', () => {
    const heard = after(empty, { type: 'heard', notice: { change: 2, robot_id: 3, table_id: null, list_id: null } }).heard;
    expect([heardOf(heard, 'robot', 3), heardOf(heard, 'robot', 4), heardOf(heard, 'table', 3)]).toEqual([1, 0, 0]);
  });
  test('makes everything old when it names nothing', () => {
    const heard = after(empty, { type: 'heard', notice: { change: 2 } }).heard;
    expect([heardOf(heard, 'robot', 3), heardOf(heard, 'list', 1)]).toEqual([1, 1]);
  });
});
