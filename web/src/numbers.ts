// Numbers as a person types and reads them. No page, no server.

export type Parsed = { ok: true; value: number } | { ok: false; empty: boolean };

const UNITS: Record<string, Record<string, number>> = {
  mm: { '': 1, mm: 1, cm: 10, m: 1000, in: 25.4 },
  deg: { '': 1, deg: 1, '°': 1 },
  s: { '': 1, s: 1, ms: 0.001 },
  '': { '': 1 },
};

// A decimal comma or point, a sign of any shape, and a unit of the wanted kind; nothing else. "1.200,5" is refused rather
// than guessed at.
export function parseNumber(text: string, unit: 'mm' | 'deg' | 's' | '' = ''): Parsed {
  const trimmed = text.trim();
  if (trimmed === '') return { ok: false, empty: true };
  const match = /^([-+\u2212\u2013]?)\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*([a-z°]*)$/i.exec(trimmed);
  const factor = match && UNITS[unit]?.[(match[3] ?? '').toLowerCase()];
  if (!match || factor === undefined || factor === null) return { ok: false, empty: false };
  const size = Number((match[2] ?? '').replace(',', '.')) * factor;
  const negative = match[1] !== '' && match[1] !== '+';
  return { ok: true, value: negative && size !== 0 ? -size : size };
}

// A whole number only: levels, trims, counts.
export function parseWhole(text: string): Parsed {
  const parsed = parseNumber(text);
  return parsed.ok && !Number.isInteger(parsed.value) ? { ok: false, empty: false } : parsed;
}

const MINUS = '\u2212';
const NARROW = '\u202f';

// "−4", "12.5", "10 000"; never "−0".
export function plain(value: number, decimals = 0): string {
  const fixed = Math.abs(value).toFixed(decimals);
  const [whole = '', part] = fixed.split('.');
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, NARROW) : whole;
  const sign = value < 0 && Number(fixed) !== 0 ? MINUS : '';
  return sign + grouped + (part === undefined ? '' : `.${part}`);
}

// As many decimals as the interval's width warrants: two digits of it, at most four decimals.
export function decimalsFor(low: number, high: number): number {
  const width = Math.abs(high - low);
  if (!(width > 0)) return 0;
  return Math.min(4, Math.max(0, 1 - Math.floor(Math.log10(width))));
}

// For putting a number back into a field: as short as it is exact to a thousandth.
export function fieldText(value: number | undefined | null): string {
  if (value === undefined || value === null) return '';
  return String(Math.round(value * 1000) / 1000).replace('-', MINUS);
}

// A sentence that others made, with true minus signs: " -4" becomes " −4".
export function withTrueMinus(text: string): string {
  return text.replace(/(^|[\s(])-(?=\d)/g, `$1${MINUS}`);
}

// To two digits, up or down; 0 stays 0. The small share keeps 0.05 from the next step for its binary tail alone.
function twoDigits(value: number, up: boolean): number {
  if (value <= 0) return 0;
  const step = 10 ** (Math.floor(Math.log10(value)) - 1);
  return (up ? Math.ceil(value / step - 1e-9) : Math.floor(value / step + 1e-9)) * step;
}

// A share in percent as the server's sentences say it, rounded down or up, so that an interval is never told narrower than
// it is: "5", "0.41", "99.7".
export function percent(share: number, up = false): string {
  const value = 100 * share;
  if (value <= 10) return String(Number(twoDigits(value, up).toPrecision(9)));
  if (value > 99) return String(Number((100 - twoDigits(100 - value, !up)).toPrecision(9)));
  return String(up ? Math.ceil(value - 1e-9) : Math.floor(value + 1e-9));
}

// 1, 2 or 5 times a power of ten, so that `span` holds about `parts` of it.
export function roundStep(span: number, parts: number): number {
  const raw = span / parts;
  const decade = 10 ** Math.floor(Math.log10(raw));
  for (const r of [1, 2, 5]) if (r * decade >= raw * (1 - 1e-9)) return r * decade;
  return 10 * decade;
}

// 1 in N, N as the server's sentences say it: whole, and two digits of it where the share is below 1 in 100.
export const oneIn = (share: number): number => (share < 0.01 ? Math.floor(twoDigits(1 / share, false)) : Math.round(1 / share));
