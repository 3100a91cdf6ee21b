// The colours of style/ground.css, checked with culori: contrast by [Wcag2], differences by CIEDE2000, colour-vision
// deficiencies by its filters after [Mach09].

import { readFileSync } from 'node:fs';
import { differenceCiede2000, filterDeficiencyDeuter, filterDeficiencyProt, filterDeficiencyTrit, formatHex, lab, parse, wcagContrast, type Color } from 'culori';
import { describe, expect, test } from 'vitest';

const css = readFileSync(new URL('./style/ground.css', import.meta.url), 'utf8');
const [light, dark] = [css.slice(0, css.indexOf('prefers-color-scheme: dark')), css.slice(css.indexOf('prefers-color-scheme: dark'), css.indexOf('@media print'))];

function coloursOf(part: string): Record<string, Color> {
  return Object.fromEntries([...part.matchAll(/--([a-z]+): (#[0-9a-f]{6})/g)].map(([, name, hex]) => [name, parse(hex ?? '') as Color]));
}

const eyes = {
  'full colour vision': (c: Color) => c,
  protanopia: filterDeficiencyProt(1),
  deuteranopia: filterDeficiencyDeuter(1),
  tritanopia: filterDeficiencyTrit(1),
};

describe.each([
  ['light', coloursOf(light ?? '')],
  ['dark', coloursOf(dark ?? '')],
])('On the %s ground', (_, colours) => {
  const of = (name: string): Color => {
    const found = colours[name];
    if (!found) throw new Error(`no --${name} in ground.css`);
    return found;
  };
  const contrast = (name: string): number => wcagContrast(of(name), of('ground'));

  // WCAG 2: 7 for text at level AAA, 4.5 at AA, 3 for lines and marks.
  test('text is read at 7:1', () => {
    expect(contrast('ink')).toBeGreaterThan(7);
    expect(contrast('quiet')).toBeGreaterThan(7);
    expect(contrast('computed')).toBeGreaterThan(7);
  });
  test('danger and measured, which may be words, are read at 4.5:1', () => {
    expect(contrast('danger')).toBeGreaterThan(4.5);
    expect(contrast('measured')).toBeGreaterThan(4.5);
  });
  test('rules are seen at 3:1', () => expect(contrast('rule')).toBeGreaterThan(3));

  // 12 units of CIEDE2000 are several times what is just seen side by side (about 2, common practice); thin lines need the
  // room. 6 units of lightness keep a grey print apart. Shapes differ as well, so colour is never alone.
  const hues = ['measured', 'computed', 'danger'];
  const pairs = hues.flatMap((a, i) => hues.slice(i + 1).map((b) => [a, b] as const));
  describe.each(Object.entries(eyes))('with %s', (_name, see) => {
    test.each(pairs)('%s differs from %s', (a, b) => {
      expect(differenceCiede2000()(see(of(a)), see(of(b)))).toBeGreaterThan(12);
    });
  });
  test.each(pairs)('%s differs from %s in lightness alone', (a, b) => {
    expect(Math.abs((lab(of(a))?.l ?? 0) - (lab(of(b))?.l ?? 0))).toBeGreaterThan(6);
  });
});

test('docs/look.md tells these contrasts', () => {
  const document = readFileSync(new URL('../../docs/look.md', import.meta.url), 'utf8');
  const [onLight, onDark] = [coloursOf(light ?? ''), coloursOf(dark ?? '')];
  for (const name of ['ink', 'quiet', 'rule', 'measured', 'computed', 'danger']) {
    const cells = [onLight, onDark].map((colours) => {
      const [colour, ground] = [colours[name] as Color, colours['ground'] as Color];
      return `\`${formatHex(colour)}\` ${wcagContrast(colour, ground).toFixed(1)}`;
    });
    expect(document).toContain(`| ${name} | ${cells.join(' | ')} |`);
  }
});
