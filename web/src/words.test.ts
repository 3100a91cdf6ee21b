import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';

import { asSentence, words } from './words';

describe('A probability in words', () => {
  test('has figures beside it', () => {
    expect(words.times({ mean: 0.083, low: 0.05, high: 0.14 })).toBe('about 1 time in 12 (5 to 14\u00a0%)');
    expect(words.times({ mean: 0.62, low: 0.6, high: 0.64 })).toBe('about 6 times in 10 (60 to 64\u00a0%)');
    expect(words.times({ mean: 1, low: 0.999, high: 1 })).toBe('nearly every time (over 99.9\u00a0%)');
    expect(words.times({ mean: 0.0028, low: 0.00187, high: 0.00404 })).toBe('about 1 time in 350 (0.18 to 0.41\u00a0%)');
  });
  test('is never zero', () => expect(words.times({ mean: 0, low: 0, high: 0.0003 })).toBe('under 1 time in 3300'));
});

describe('The sentence of the set', () => {
  const counts = { new: 0, truing: 0, true: 0, cannot: 0 };
  test('asks for the first robot', () => expect(words.setSentence(counts, null)).toMatch(/Add the first one/));
  test('says what is so and what comes next', () => {
    expect(words.setSentence({ ...counts, true: 2, truing: 3, cannot: 1 }, 'Dunlin')).toBe(
      '2 of 6 robots run true. 1 can’t be brought there by trim alone. Dunlin comes next.',
    );
    expect(words.setSentence({ ...counts, true: 6 }, null)).toBe('All 6 robots run true.');
    expect(words.setSentence({ ...counts, new: 6 }, 'Dunlin')).toBe('None of the 6 robots is known to run true yet. Dunlin comes next.');
  });
});

test('No sentence raises its voice', () => expect(JSON.stringify(words)).not.toContain('!'));

test('What the server says begins and ends as a sentence', () => {
  expect(asSentence('a wheel stands off the table')).toBe('A wheel stands off the table.');
  expect(asSentence('typed in centimetres?')).toBe('Typed in centimetres?');
});

test('Every word is on some page', () => {
  const folder = new URL('.', import.meta.url);
  const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((file) => /\.tsx?$/.test(file) && !/words|test/.test(file));
  const pages = files.map((file) => readFileSync(new URL(file, folder), 'utf8')).join('');
  expect(Object.keys(words).filter((word) => !new RegExp(`words\\.${word}\\b`).test(pages))).toEqual([]);
});
