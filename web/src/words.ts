// Every word of the page that doesn't come from the server. A second language is a second object of this type.

import type { Draft, FieldFault, Reading, Side, Step } from './entry';
import { fieldText, oneIn, percent, plain } from './numbers';

const NBSP = '\u00a0';

const english = {
  name: 'Runtrue',
  theSet: 'The set',
  theTable: 'The table',
  loading: 'Reading …',
  mm: (value: number, decimals = 0): string => `${plain(value, decimals)}${NBSP}mm`,
  trim: (value: number): string => `trim ${plain(value)}`,

  // connection and joining
  lost: 'No connection at the moment. You can go on: runs you type are kept on this device and sent when it is back.',
  waiting: (count: number): string => (count === 1 ? '1 run waits on this device to be sent.' : `${count} runs wait on this device to be sent.`),
  refusedRun: (reason: string): string => `A run of this device was not taken. ${reason}`,
  dropRun: 'Drop this run',
  joinSentence: 'To join, type the code that stands on the computer that holds the set.',
  joinCode: 'Code',
  join: 'Join',

  // undo
  takeBack: 'Take back',
  newestChange: (what: string): string => `Newest change: ${what}.`,
  takenBack: (what: string): string => `Taken back: ${what}.`,
  bringBack: 'Bring it back',

  // the set
  setSentence: (counts: { new: number; truing: number; true: number; cannot: number }, next: string | null): string => {
    const all = counts.new + counts.truing + counts.true + counts.cannot;
    if (all === 0) return 'There is no robot in the set yet. Add the first one.';
    const true_ =
      counts.true === all
        ? all === 1
          ? 'The robot runs true.'
          : `All ${all} robots run true.`
        : counts.true === 0
          ? `None of the ${all} robots is known to run true yet.`
          : `${counts.true} of ${all} robots run${counts.true === 1 ? 's' : ''} true.`;
    const cannot = counts.cannot ? ` ${counts.cannot} can’t be brought there by trim alone.` : '';
    return `${true_}${cannot}${next ? ` ${next} comes next.` : ''}`;
  },
  goTo: (name: string): string => `Go to ${name}`,
  addRobot: 'Add a robot',
  robots: 'Robots',
  states: {
    new: 'start mark alone: not measured yet',
    truing: 'a path that bends off: needs truing',
    true: 'a straight path between two lines: runs true',
    cannot: 'a path that stops at a bar: can’t be trued by trim',
  },

  // describing a robot
  newRobotSentence: 'Name the robot and measure between its wheels; the rest can stay as it is.',
  describeSentence: (name: string): string => `This is how ${name} is described. What you change holds from now on.`,
  robotName: 'Name',
  trackWidth: 'Track width',
  trackWidthHint: 'from the middle of one tyre to the middle of the other, in mm',
  trimLowest: 'Lowest trim',
  trimHighest: 'Highest trim',
  more: 'More about this robot',
  wheelDiameter: 'Wheel diameter, mm',
  levelUsual: 'Usual level',
  levelFull: 'Full level',
  listLimit: 'Most presses in a list',
  pressStep: 'One press forward, mm',
  pressTurn: 'One press of turn, degrees',
  radius: 'Half its size from above, mm',
  keepRobot: 'Keep this',
  fieldNumber: 'Write a number, such as 140 or 6,5.',
  fieldWhole: 'Write a whole number, such as −30.',
  fieldName: 'Write a name.',
  trackDrawing: 'A robot from above; the track width goes from tyre middle to tyre middle',

  // a robot
  enterRun: 'Make the next run',
  howSure: 'How do we know?',
  basedOn: (runs: number, leftOut: number): string =>
    `From ${runs === 1 ? '1 run' : `${runs} runs`}${leftOut ? `, with ${leftOut} left out` : ''}.`,
  sure: (trim: number, tolerance: number, share: number): string =>
    `At trim ${plain(trim)} the chance that it drifts less than ${plain(tolerance)}${NBSP}mm in a metre is ${percent(share)}${NBSP}%.`,
  driftAt: (mean: number, low: number, high: number): string =>
    `Its drift there: ${sideways(mean)} in a metre, between ${sideways(low)} and ${sideways(high)} with 95${NBSP}% certainty.`,
  doubt: (row: number, because: string): string => asSentence(`Run ${row} fits badly: it ${because}`),
  assumed: (names: string): string => `Assumed so far, as no run tells: ${names}.`,
  stripSummary: (lines: string): string => `The floor from above. ${lines}`,
  stretched: (times: number): string => `sideways drawn ${times} times wider`,
  expected: 'expected',
  newest: (mm: number): string => sideways(mm),
  plotTitle: 'Drift at each trim',
  plotSummary: (trim: number, drift: string): string => `Drift in a metre against trim. At the suggested trim ${plain(trim)} about ${drift} is expected.`,
  plotX: 'trim',
  plotY: 'mm in a metre',
  left: 'left',
  right: 'right',
  row: (row: number): string => `run ${row}`,
  keyMeasured: 'a run, measured',
  keyModel: 'what is computed',
  keyBand: '95 times in 100 within the strokes',
  keyTolerance: 'tolerance',
  keyDoubtful: 'fits badly',
  runsTitle: 'Runs',
  noRuns: 'No run has been entered yet.',
  leaveOut: 'Leave out',
  useAgain: 'Use again',
  leaveOutRun: (row: number): string => `Leave out run ${row}`,
  useAgainRun: (row: number): string => `Use run ${row} again`,
  isLeftOut: 'left out',
  mend: 'Mend',
  mendRun: (row: number): string => `Mend run ${row}`,
  notSent: 'not sent yet',
  readAt: (line: number, sideways_mm: number): string => `${sideways(sideways_mm)} at ${plain(line)}`,
  droveIn: (mm: number, s: number): string => `${plain(mm)}${NBSP}mm in ${s}${NBSP}s`,
  turnedIn: (deg: number, s: number): string => `${plain(Math.abs(deg))}° ${deg < 0 ? 'right' : 'left'} in ${s}${NBSP}s`,
  settingsTitle: 'Settings',
  settingsLead: (trim: number): string => `What the runs tell about this robot; load it with trim ${plain(trim)}.`,
  constant: 'What',
  value: 'Value',
  range: '95 % between',
  assumedMark: 'assumed',
  loadedTitle: 'Loaded into the robot?',
  loadedCaution:
    'While loading keep the wheels clear of the bench: they may start without warning. Unplug before a run. Local rules come first.',
  keepLoaded: (trim: number): string => `Yes, trim ${plain(trim)} is loaded`,
  loadedNow: (trim: number, level: number, at: string): string => `Loaded last: trim ${plain(trim)} at level ${plain(level)}, on ${at}.`,
  loadedNever: 'No settings have been noted as loaded yet.',
  describe: 'Change the description',
  toTable: 'Will it stay on the table?',

  // entering a run
  stepTitle: {
    half: (line: string): string => `Half-way line, ${line}${NBSP}mm: how far from the middle?`,
    end: (line: string): string => `End line, ${line}${NBSP}mm: how far from the middle?`,
    distance: () => 'How far did it come?',
    turn: () => 'How far round did it come?',
  } as Record<Reading, (line: string) => string>,
  tapeStep: (half: string, end: string): string => `Lay a tape line at ${half}${NBSP}mm and one at ${end}${NBSP}mm, across the way of the robot.`,
  tapeHow: 'A strip of tape for the middle, too, helps to aim: the robot starts on it and looks along it.',
  tapeDrawing: (half: string, end: string): string => `The floor from above: start mark, tape lines at ${half} and ${end} mm from it.`,
  setStep: (draft: Draft, before: { trim: number; level: number } | null): string => {
    const level = before && fieldText(before.level) === draft.level;
    const trim = before && fieldText(before.trim) === draft.trim;
    if (before && level && trim) return `Leave trim ${draft.trim} and level ${draft.level} as they are. ${letItRun(draft)}`;
    if (before && level) return `Turn the trim from ${plain(before.trim)} to ${draft.trim}; the level stays ${draft.level}. ${letItRun(draft)}`;
    return `Set the trim to ${draft.trim} and the level to ${draft.level}. ${letItRun(draft)}`;
  },
  tapeStays: (half: string, end: string): string => `The tape lines stay at ${half} and ${end}${NBSP}mm.`,
  setDrawing: (trim: string, before: number | null): string =>
    before === null ? `The trim’s range, with ${trim} marked.` : `The trim’s range, from ${plain(before)} to ${trim}.`,
  before: 'before',
  higher: (by: number): string => (by > 0 ? `${plain(by)} up` : `${plain(-by)} down`),
  measureHow: 'Measure along the tape, from the middle line to where the robot’s middle passed.',
  asRun: (trim: string, level: string): string => `How it was run: trim ${trim}, level ${level}`,
  runCaution: 'Before a run: unplug the cable and clear the floor of feet and cups. A hand near the robot on a first run.',
  bent: { left: 'to the left', right: 'to the right' } as Record<Side, string>,
  turned: { left: 'left turn', right: 'right turn' } as Record<Side, string>,
  whichSide: 'Which side of the middle?',
  whichTurn: 'Which way did it turn?',
  howFar: 'How far, mm',
  howLong: 'Motor time, s',
  howFarRound: 'How far round, degrees',
  keypad: 'Number keys',
  keyBack: 'one back',
  nextStep: {
    tape: 'The tape lies',
    set: 'It has run',
    half: 'Next: the end line',
    end: 'Save the run',
    distance: 'Save the run',
    turn: 'Save the run',
  } as Record<Step, string>,
  backStep: 'Back',
  unread: 'I did not read this line',
  kindLabel: 'What was measured',
  kinds: { lines: 'straight, past two lines', distance: 'straight, how far in a time', turn: 'turn on the spot' },
  level: 'Level',
  trimField: 'Trim',
  halfLine: 'Half-way line, mm',
  endLine: 'End line, mm',
  endLineHint: 'If it left the strip before the line, write how far it came.',
  battery: 'Battery, V',
  surface: 'Floor',
  note: 'Note',
  optional: 'if noted',
  leaveEntry: 'Not now',
  faults: {
    empty: 'A number is missing here.',
    'not-a-number': 'Write a number, such as 34 or 6,5.',
    'not-whole': 'Write a whole number.',
    'not-positive': 'Write a number above zero; the side is chosen with the picture.',
    'no-side': 'Choose the side.',
    'out-of-range': 'This is outside what the robot takes.',
    order: 'The end line must lie beyond the half-way line.',
    'too-far': 'That is further beside than the line is ahead; perhaps in other units?',
  } as Record<FieldFault, string>,

  // the table
  forecastNeeds: {
    robots: 'Add a robot first; then its moves can be tried on a table here.',
    tables: 'Measure the table first: how wide and how deep is it?',
    lists: 'Write a list of moves first; then see where it takes the robot.',
  },
  robot: 'Robot',
  table: 'Table',
  list: 'Moves',
  findSafest: 'Find the safest start',
  safestIs: (mishap: string): string => `The safest start was found; from there it goes wrong ${mishap}.`,
  falls: 'falls',
  bumps: 'bumps',
  times: (p: { mean: number; low: number; high: number }): string => {
    const between = p.high >= 1 ? `(over ${percent(p.low)}${NBSP}%)` : `(${percent(p.low)} to ${percent(p.high, true)}${NBSP}%)`;
    if (p.mean <= 0) return `under 1 time in ${plain(oneIn(p.high))}`;
    if (p.mean < 0.35) return `about 1 time in ${plain(oneIn(p.mean))} ${between}`;
    if (p.mean < 0.95) return `about ${Math.min(9, Math.round(p.mean * 10))} times in 10 ${between}`;
    return `nearly every time ${between}`;
  },
  planSummary: (name: string, start: string): string => `The table ${name} from above, with the path of the list. ${start}`,
  startAt: (x: number, y: number, heading: number): string =>
    `Start ${plain(x)}${NBSP}mm from the left edge and ${plain(y)}${NBSP}mm from the front edge, heading ${plain(heading)}°.`,
  startHandle: 'Start mark. Arrow keys move it by 10 mm; with Shift, left and right turn it by 5 degrees.',
  startX: 'Start x, mm',
  startY: 'Start y, mm',
  startHeading: 'Heading, degrees',
  headingHint: '0 looks right, 90 looks up',
  firstRisk: (move: number, word: string): string => `${move} ${word}`,
  keyStipple: 'where it may go',
  keyRegion: '95 times in 100 it ends within',
  keyEdge: 'open edge',
  keyWall: 'wall',
  edgeCaution: 'Keep a hand at the edge on a first run. Nothing here is a safety device.',
  listHint: 'One move a line: drive 300 mm, turn left 90 deg, reverse 10 cm, pause 1 s.',
  keepList: 'Keep the list',
  newList: 'New list',
  listName: 'Name of the list',
  listKept: 'The list is kept.',
  faultAt: (line: number, message: string): string => `Line ${line}: ${message}`,
  noFaults: (moves: number): string => (moves === 1 ? '1 move, no faults.' : `${moves} moves, no faults.`),
  untrued: (line: number, why: string): string => `Line ${line}: less sure, as ${why}`,
  presses: (count: number, limit: number, fits: boolean): string =>
    fits ? `On the robot’s own keys: ${count} of ${limit} presses.` : `On the robot’s own keys it needs ${count} presses; ${limit} fit.`,
  pressesShow: 'Show the presses',
  editTable: 'Measure the table',
  newTable: 'Another table',
  tableName: 'Name of the table',
  width: 'Width, mm',
  depth: 'Depth, mm',
  walled: 'It has a rim all round that a robot can’t cross',
  obstacles: 'Things on the table',
  obstacleName: 'What',
  obstacleX: 'x, mm',
  obstacleY: 'y, mm',
  obstacleRadius: 'Radius, mm',
  addObstacle: 'Add a thing',
  dropObstacle: (name: string): string => `Take ${name || 'it'} off`,
  keepTable: 'Keep the table',
  oddEdge: 'This table is not a plain rectangle; its edge stays as it is.',
};

// What the server says, as a sentence of its own.
export function asSentence(message: string): string {
  return `${message.charAt(0).toUpperCase()}${message.slice(1)}${/[.?]$/.test(message) ? '' : '.'}`;
}

function sideways(mm: number): string {
  if (Math.abs(mm) < 0.5) return 'straight on';
  return `${plain(Math.abs(mm))}${NBSP}mm ${mm > 0 ? 'left' : 'right'}`;
}

function letItRun(draft: Draft): string {
  if (draft.kind === 'turn') return `Let it turn ${draft.turn_side ?? 'left'} for ${draft.seconds || '…'}${NBSP}s.`;
  if (draft.kind === 'distance') return `Let it run for ${draft.seconds || '…'}${NBSP}s.`;
  return 'Let it run past both lines.';
}

export type Words = typeof english;
export const words: Words = english;
