// A run while it is being typed: from the asked-for run to the fields, and from the fields to the run.

import type { NextRun, RobotDescription, Run, RunBody } from './contract';
import { fieldText, parseNumber, parseWhole, type Parsed } from './numbers';

export type Side = 'left' | 'right';
export type DraftKind = 'lines' | 'distance' | 'turn';

export interface Draft {
  kind: DraftKind;
  level: string;
  trim: string;
  half_line_mm: string;
  half_side: Side | null;
  half_sideways_mm: string;
  half_unread: boolean;
  line_mm: string;
  side: Side | null;
  sideways_mm: string;
  seconds: string;
  distance_mm: string;
  turn_side: Side | null;
  turned_deg: string;
  battery_v: string;
  surface: string;
  note: string;
}

export type FieldFault = 'empty' | 'not-a-number' | 'not-whole' | 'not-positive' | 'no-side' | 'out-of-range' | 'order' | 'too-far';
export type Faults = Partial<Record<keyof Draft, FieldFault>>;

// Starts from the run that is asked for; the lines, level and trim are then already there.
export function draftFor(robot: RobotDescription, next: NextRun | null, last: RunBody | null): Draft {
  const kind: DraftKind = next?.kind === 'turn' ? 'turn' : next?.seconds !== undefined ? 'distance' : 'lines';
  return {
    kind,
    level: fieldText(next?.level ?? last?.level ?? robot.level_usual ?? 128),
    trim: fieldText(next?.trim ?? last?.trim ?? 0),
    half_line_mm: fieldText(next?.half_line_mm ?? last?.half_line_mm ?? 1000),
    half_side: null,
    half_sideways_mm: '',
    half_unread: false,
    line_mm: fieldText(next?.line_mm ?? last?.line_mm ?? 2000),
    side: null,
    sideways_mm: '',
    seconds: fieldText(next?.seconds),
    distance_mm: '',
    turn_side: next?.direction ?? null,
    turned_deg: '',
    battery_v: '',
    surface: last?.surface ?? '',
    note: '',
  };
}

// A run that is there, to be entered anew where a reading or a side was wrong.
export function draftOfRun(run: Run): Draft {
  const size = (value: number | undefined): string => (value === undefined ? '' : fieldText(Math.abs(value)));
  const side = (value: number | undefined): Side | null => (!value ? null : value > 0 ? 'left' : 'right');
  return {
    kind: run.kind === 'turn' ? 'turn' : run.line_mm === undefined ? 'distance' : 'lines',
    level: fieldText(run.level),
    trim: fieldText(run.trim),
    half_line_mm: fieldText(run.half_line_mm),
    half_side: side(run.half_sideways_mm),
    half_sideways_mm: size(run.half_sideways_mm),
    half_unread: run.half_sideways_mm === undefined,
    line_mm: fieldText(run.line_mm),
    side: side(run.sideways_mm),
    sideways_mm: size(run.sideways_mm),
    seconds: fieldText(run.seconds),
    distance_mm: fieldText(run.distance_mm),
    turn_side: side(run.turned_deg),
    turned_deg: size(run.turned_deg),
    battery_v: fieldText(run.battery_v),
    surface: run.surface ?? '',
    note: run.note ?? '',
  };
}

// Whether something was read already, so that the draft is worth keeping.
export const hasReading = (draft: Draft): boolean =>
  [draft.half_sideways_mm, draft.sideways_mm, draft.distance_mm, draft.turned_deg].some((text) => text.trim() !== '');

// The steps a person walks: lay the tape where it doesn't lie yet, set the robot and let it run, then read, the half-way
// line before the end.
export type Reading = 'half' | 'end' | 'distance' | 'turn';
export type Step = 'tape' | 'set' | Reading;
export const readingsOf = (draft: Draft): Reading[] => (draft.kind === 'lines' ? ['half', 'end'] : [draft.kind]);

// Whether the tape lines of `last`, the newest run past lines, are those of this one.
export function tapeLies(draft: Draft, last: RunBody | null): boolean {
  const line = (text: string): number => {
    const parsed = parseNumber(text, 'mm');
    return parsed.ok ? parsed.value : NaN;
  };
  return last?.line_mm === line(draft.line_mm) && last.half_line_mm === line(draft.half_line_mm);
}
export function stepsOf(draft: Draft, last: RunBody | null): Step[] {
  const tape: Step[] = draft.kind === 'lines' && !tapeLies(draft, last) ? ['tape'] : [];
  return [...tape, 'set', ...readingsOf(draft)];
}

const fieldsOf: Record<Step, (keyof Draft)[]> = {
  tape: ['half_line_mm', 'line_mm'],
  set: ['trim', 'level'],
  half: ['half_sideways_mm', 'half_side'],
  end: ['sideways_mm', 'side'],
  distance: ['seconds', 'distance_mm'],
  turn: ['seconds', 'turned_deg', 'turn_side'],
};
export const faultsOfStep = (faults: Faults, step: Step): Faults =>
  Object.fromEntries(Object.entries(faults).filter(([field]) => fieldsOf[step].includes(field as keyof Draft)));

class Reader {
  readonly faults: Faults = {};
  constructor(private readonly draft: Draft) {}

  private taken(field: keyof Draft, parsed: Parsed, odd: FieldFault = 'not-a-number'): number {
    if (parsed.ok) return parsed.value;
    this.faults[field] = parsed.empty ? 'empty' : odd;
    return NaN;
  }
  number(field: keyof Draft, unit: 'mm' | 'deg' | 's' | ''): number {
    return this.taken(field, parseNumber(String(this.draft[field] ?? ''), unit));
  }
  positive(field: keyof Draft, unit: 'mm' | 'deg' | 's' | ''): number {
    const value = this.number(field, unit);
    if (value <= 0) this.faults[field] = 'not-positive';
    return value;
  }
  whole(field: keyof Draft): number {
    return this.taken(field, parseWhole(String(this.draft[field] ?? '')), 'not-whole');
  }
  optional(field: keyof Draft): number | undefined {
    return String(this.draft[field]).trim() === '' ? undefined : this.positive(field, '');
  }
  // The size is typed, the side is chosen: a typed minus would say the side twice. Zero needs no side.
  sided(field: keyof Draft, sideField: keyof Draft, unit: 'mm' | 'deg'): number {
    const size = this.number(field, unit);
    const side = this.draft[sideField];
    if (size < 0) this.faults[field] = 'not-positive';
    if (size !== 0 && side === null) this.faults[sideField] = 'no-side';
    return side === 'right' && size !== 0 ? -size : size;
  }
}

export function runOf(draft: Draft, robot: RobotDescription): { run: RunBody } | { faults: Faults } {
  const read = new Reader(draft);
  const run: RunBody = { kind: draft.kind === 'turn' ? 'turn' : 'straight', level: read.whole('level'), trim: read.whole('trim') };
  const full = robot.level_full ?? 255;
  if (run.level === 0 || Math.abs(run.level) > full) read.faults.level = 'out-of-range';
  if (run.trim < robot.trim_range[0] || run.trim > robot.trim_range[1]) read.faults.trim = 'out-of-range';
  if (draft.kind === 'lines') {
    run.line_mm = read.positive('line_mm', 'mm');
    run.sideways_mm = read.sided('sideways_mm', 'side', 'mm');
    if (Math.abs(run.sideways_mm) > run.line_mm) read.faults.sideways_mm ??= 'too-far';
    if (!draft.half_unread) {
      run.half_line_mm = read.positive('half_line_mm', 'mm');
      run.half_sideways_mm = read.sided('half_sideways_mm', 'half_side', 'mm');
      if (Math.abs(run.half_sideways_mm) > run.half_line_mm) read.faults.half_sideways_mm ??= 'too-far';
      if (run.half_line_mm >= run.line_mm) read.faults.line_mm ??= 'order';
    }
  } else {
    run.seconds = read.positive('seconds', 's');
    if (draft.kind === 'distance') run.distance_mm = read.positive('distance_mm', 'mm');
    else run.turned_deg = read.sided('turned_deg', 'turn_side', 'deg');
  }
  const battery = read.optional('battery_v');
  if (battery !== undefined) run.battery_v = battery;
  if (draft.surface.trim()) run.surface = draft.surface.trim();
  if (draft.note.trim()) run.note = draft.note.trim();
  return Object.keys(read.faults).length ? { faults: read.faults } : { run };
}

// What is asked for, on the drawing as it is typed: "34 mm", or nothing yet.
export function sizeTyped(text: string): number | null {
  const parsed = parseNumber(text, 'mm');
  return parsed.ok && parsed.value >= 0 ? parsed.value : null;
}

// One key of the pad: a digit, the comma, or one back.
export function withKey(text: string, key: string): string {
  if (key === 'back') return text.slice(0, -1);
  if (key === ',') return /[.,]/.test(text) ? text : `${text || '0'},`;
  return text === '0' ? key : text + key;
}
