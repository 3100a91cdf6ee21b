import { describe, expect, test } from 'vitest';

import { decimalsFor, fieldText, oneIn, parseNumber, parseWhole, percent, plain, roundStep, withTrueMinus } from './numbers';

const value = (text: string, unit: 'mm' | 'deg' | 's' | '' = ''): number | string => {
  const parsed = parseNumber(text, unit);
  return parsed.ok ? parsed.value : parsed.empty ? 'empty' : 'not a number';
};

describe('A typed number', () => {
  test.each([
    ['34', 34],
    ['6,5', 6.5],
    ['6.5', 6.5],
    [' 12 ', 12],
    ['-3', -3],
    ['\u22123', -3],
    ['+3', 3],
    [',5', 0.5],
    ['5,', 5],
    ['0', 0],
    ['-0', 0],
  ])('%s is read as %s', (text, expected) => expect(value(text)).toBe(expected));

  test.each(['1.200,5', '1,2,3', '12 mm x', 'abc', '--3', '1e5', '3 4', 'NaN', 'Infinity', '0x10', ','])('%s is refused, not guessed at', (text) =>
    expect(value(text)).toBe('not a number'),
  );

  test('nothing is told apart from nonsense', () => expect(value('  ')).toBe('empty'));

  test.each([
    ['7 cm', 'mm', 70],
    ['1,4 m', 'mm', 1400],
    ['2 in', 'mm', 50.8],
    ['90°', 'deg', 90],
    ['90 deg', 'deg', 90],
    ['1200 ms', 's', 1.2],
  ] as const)('%s bears its own unit', (text, unit, expected) => expect(value(text, unit)).toBeCloseTo(expected, 9));

  test('a unit of another kind is refused', () => expect(value('90 deg', 'mm')).toBe('not a number'));

  test('a whole number has no part', () => {
    expect(parseWhole('-4')).toEqual({ ok: true, value: -4 });
    expect(parseWhole('4,5')).toEqual({ ok: false, empty: false });
  });
});

describe('A number to be read', () => {
  test('has a true minus, and never a minus before zero', () => {
    expect(plain(-4)).toBe('\u22124');
    expect(plain(-0.2)).toBe('0');
    expect(plain(12.345, 2)).toBe('12.35');
  });
  test('is grouped from five digits on', () => {
    expect(plain(1400)).toBe('1400');
    expect(plain(10000)).toBe('10\u202f000');
  });
  test('shows no more digits than its interval warrants', () => {
    expect(decimalsFor(-40, 60)).toBe(0);
    expect(decimalsFor(1, 9)).toBe(1);
    expect(decimalsFor(0.0041, 0.0062)).toBe(4);
    expect(decimalsFor(3, 3)).toBe(0);
  });
  test('goes into a field and comes back the same', () => {
    for (const n of [0, -4, 128, 6.5, 0.25]) expect(value(fieldText(n))).toBe(n);
    expect(fieldText(undefined)).toBe('');
  });
  test('in a sentence of others gets its true minus, a hyphen stays', () => {
    expect(withTrueMinus('trim -4 (-3 to 2), half-way')).toBe('trim \u22124 (\u22123 to 2), half-way');
  });
  test('as a share is never rounded to nothing', () => {
    expect(percent(0.083)).toBe('8.3');
    expect(percent(0.0003)).toBe('0.03');
    expect(percent(0.05)).toBe('5');
    expect(percent(0)).toBe('0');
  });
  test('as a share is told no surer than it is: low ends down, high ends up', () => {
    expect([percent(0.1234), percent(0.1234, true)]).toEqual(['12', '13']);
    expect([percent(0.999513), percent(0.999513, true)]).toEqual(['99.951', '99.952']);
  });
  test('as one in so many is a number one keeps in mind', () => {
    expect(oneIn(0.083)).toBe(12);
    expect(oneIn(0.0003)).toBe(3300);
  });
});

test('Steps of an axis are 1, 2 or 5 times a power of ten', () => {
  expect(roundStep(60, 6)).toBe(10);
  expect(roundStep(75, 6)).toBe(20);
  expect(roundStep(0.3, 10)).toBeCloseTo(0.05, 12);
});
