import { describe, expect, test } from 'vitest';

import { degrees, extentOf, pathThrough, sidesOf, sidewaysAt, signedArea, twoFeet, type Spot } from './geometry';

const table: Spot[] = [[0, 0], [1520, 0], [1520, 760], [0, 760]];

test('A drift of 20 mm in a metre is 20 mm at one metre and four times that at two', () => {
  expect(sidewaysAt(1000, 20)).toBe(20);
  expect(sidewaysAt(2000, 20)).toBe(80);
});

test('The drawn path of a drift stays within 1 mm of the circle in the first metre, up to 100 mm per metre', () => {
  const curvature = (2 * 100) / (1000 ** 2 + 100 ** 2); // circle through 0,0 along x and through 1000,100
  for (let x = 0; x <= 1000; x += 100) {
    const circle = (1 - Math.sqrt(1 - (curvature * x) ** 2)) / curvature;
    expect(Math.abs(circle - sidewaysAt(x, 100))).toBeLessThan(1);
  }
});

test('The path of a run goes through the mark and both readings', () => {
  const path = pathThrough([[700, 9], [1400, 40]], 2);
  expect(path).toEqual([[0, 0], [700, expect.closeTo(9, 9)], [1400, expect.closeTo(40, 9)]]);
});

test('With one reading the path leaves straight ahead', () => {
  const path = pathThrough([[1000, 20]], 2);
  expect(path[1]).toEqual([500, 5]);
});

describe('The edge of a table', () => {
  test('has its outward side outward, whichever way its corners run', () => {
    for (const corners of [table, [...table].reverse()]) {
      for (const side of sidesOf(corners)) {
        const middle: Spot = [(side.from[0] + side.to[0]) / 2 + side.outward[0], (side.from[1] + side.to[1]) / 2 + side.outward[1]];
        const e = extentOf(corners);
        expect(middle[0] < e.left || middle[0] > e.right || middle[1] < e.low || middle[1] > e.high).toBe(true);
      }
    }
    expect(signedArea(table)).toBe(1520 * 760);
  });
  test('is measured from its nearest side and from the nearest one across', () => {
    expect(twoFeet(table, [300, 100]).map((f) => f.distance_mm)).toEqual([100, 300]);
    expect(twoFeet(table, [1400, 700]).map((f) => f.foot)).toEqual([[1400, 760], [1520, 700]]);
  });
  test('is not measured from off its sides', () => expect(twoFeet(table, [-50, -50])).toEqual([]));
});

test('Angles stay within a turn', () => {
  expect(degrees(185)).toBe(-175);
  expect(degrees(-180)).toBe(-180);
  expect(degrees(720)).toBe(0);
});
