import { describe, expect, test } from 'vitest';

import type { NextRun, RobotDescription } from './contract';
import { draftFor, draftOfRun, faultsOfStep, hasReading, runOf, stepsOf, withKey, type Draft } from './entry';

const robot: RobotDescription = { name: 'Dunlin', track_width_mm: 140, trim_range: [-30, 30], level_full: 255 };
const asked: NextRun = { kind: 'straight', level: 128, trim: -4, half_line_mm: 700, line_mm: 1400 };
const read: Partial<Draft> = { half_sideways_mm: '8', half_side: 'left', sideways_mm: '32,5', side: 'right' };
const draft = (change: Partial<Draft> = {}, next: NextRun | null = asked): Draft => ({ ...draftFor(robot, next, null), ...change });
const faultsOf = (d: Draft) => {
  const got = runOf(d, robot);
  return 'faults' in got ? got.faults : {};
};

describe('A straight past two lines', () => {
  test('has lines, level and trim of the run that was asked for', () => {
    expect(draft()).toMatchObject({ kind: 'lines', level: '128', trim: '\u22124', half_line_mm: '700', line_mm: '1400' });
  });
  test('is walked in order: lay the tape, set and let it run, read half-way first, then at the end', () =>
    expect(stepsOf(draft(), null)).toEqual(['tape', 'set', 'half', 'end']));
  test('leaves the tape alone where it lies as the last run had it', () => {
    const last = { kind: 'straight', level: 128, trim: 0, half_line_mm: 700, line_mm: 1400 } as const;
    expect(stepsOf(draft(), last)[0]).toBe('set');
    expect(stepsOf(draft(), { ...last, line_mm: 2000 })[0]).toBe('tape');
  });
  test('has its sides from the pictures: left is above zero, right below', () => {
    expect(runOf(draft(read), robot)).toEqual({
      run: { kind: 'straight', level: 128, trim: -4, half_line_mm: 700, half_sideways_mm: 8, line_mm: 1400, sideways_mm: -32.5 },
    });
  });
  test('needs no side for zero', () => {
    expect(faultsOf(draft({ ...read, half_sideways_mm: '0', half_side: null }))).toEqual({});
  });
  test('asks for the side of anything else', () => expect(faultsOf(draft({ ...read, side: null }))).toEqual({ side: 'no-side' }));
  test('takes no typed sign, which would say the side twice', () => {
    expect(faultsOf(draft({ ...read, sideways_mm: '-32' }))).toEqual({ sideways_mm: 'not-positive' });
  });
  test('can go without its half-way reading', () => {
    const got = runOf(draft({ ...read, half_unread: true, half_sideways_mm: '' }), robot);
    expect(got).toEqual({ run: { kind: 'straight', level: 128, trim: -4, line_mm: 1400, sideways_mm: -32.5 } });
  });
  test.each([
    [{ sideways_mm: '' }, { sideways_mm: 'empty' }],
    [{ sideways_mm: 'x' }, { sideways_mm: 'not-a-number' }],
    [{ half_line_mm: '1500' }, { line_mm: 'order' }],
    [{ line_mm: '0' }, { line_mm: 'not-positive' }],
    [{ sideways_mm: '1500' }, { sideways_mm: 'too-far' }],
    [{ trim: '31' }, { trim: 'out-of-range' }],
    [{ trim: '1,5' }, { trim: 'not-whole' }],
    [{ level: '0' }, { level: 'out-of-range' }],
    [{ level: '-256' }, { level: 'out-of-range' }],
    [{ battery_v: 'full' }, { battery_v: 'not-a-number' }],
  ] as [Partial<Draft>, object][])('with %j is told %j', (change, faults) => {
    expect(faultsOf(draft({ ...read, ...change }))).toMatchObject(faults);
  });
  test('tells at each step only what belongs to it', () => {
    const faults = faultsOf(draft());
    expect(Object.keys(faultsOfStep(faults, 'half'))).toEqual(['half_sideways_mm', 'half_side']);
  });
  test('can be mended: entered anew from what was kept, it is the same run', () => {
    const kept = runOf(draft({ ...read, battery_v: '7,4', surface: 'lino' }), robot);
    const run = 'run' in kept ? kept.run : null;
    expect(run && runOf(draftOfRun({ ...run, id: 1, at: '', row: 1 }), robot)).toEqual(kept);
  });
});

test('A reverse run keeps its level below zero', () => {
  expect(runOf(draft({ ...read, level: '-128' }), robot)).toMatchObject({ run: { level: -128 } });
});

test('A turn has its side from the run that was asked for, and its angle in degrees', () => {
  const turn = draft({ turned_deg: '93' }, { kind: 'turn', level: 128, trim: -4, seconds: 1.2, direction: 'right' });
  expect(stepsOf(turn, null)).toEqual(['set', 'turn']);
  expect(runOf(turn, robot)).toEqual({ run: { kind: 'turn', level: 128, trim: -4, seconds: 1.2, turned_deg: -93 } });
});

test('A timed straight has a distance and no line', () => {
  const timed = draft({ distance_mm: '61 cm' }, { kind: 'straight', level: 128, trim: 2, seconds: 2 });
  expect(runOf(timed, robot)).toEqual({ run: { kind: 'straight', level: 128, trim: 2, seconds: 2, distance_mm: 610 } });
});

test('Notes, floor and battery go along when they are there', () => {
  expect(runOf(draft({ ...read, battery_v: '7,4', surface: ' lino ', note: '' }), robot)).toMatchObject({ run: { battery_v: 7.4, surface: 'lino' } });
});

test('A draft is worth keeping once something was read', () => {
  expect(hasReading(draft())).toBe(false);
  expect(hasReading(draft({ half_sideways_mm: '3' }))).toBe(true);
});

test('The key pad writes digits, one comma, and takes one back', () => {
  expect(['3', '4', ',', ',', '5'].reduce(withKey, '')).toBe('34,5');
  expect(withKey('', ',')).toBe('0,');
  expect(withKey('34', 'back')).toBe('3');
  expect(withKey('0', '7')).toBe('7');
});
