// The small drawings: what state a robot is in, and which way one bends. Each is told apart by its shape alone.

import type { RobotState } from '../contract';
import type { Side } from '../entry';

const tapeLines = <path d="M8 6V50M48 6V50" class="thin" />;
const startMark = <path d="M20 50H36M28 50V42" class="thick" />;

const DRAWN: Record<RobotState, preact.JSX.Element> = {
  new: (
    <>
      {tapeLines}
      <path d="M14 42H42M28 42V24" class="thick" />
    </>
  ),
  truing: (
    <>
      {tapeLines}
      {startMark}
      <path d="M28 42V8" class="dashed" />
      <path d="M28 42Q28 22 42 9" class="thick" />
    </>
  ),
  true: (
    <>
      {tapeLines}
      {startMark}
      <path d="M28 42V7M21 15L28 6L35 15" class="thick" />
    </>
  ),
  cannot: (
    <>
      {tapeLines}
      {startMark}
      <path d="M28 42V26" class="thick" />
      <path d="M13 21H43" class="bar" />
      <path d="M28 16V7" class="dashed" />
    </>
  ),
};

// `side`: to which the robot bent last; the drawing bends that way.
export function StateMark({ state, side, label }: { state: RobotState; side: Side; label: string }) {
  return (
    <svg class="mark" viewBox="0 0 56 56" role="img" aria-label={label}>
      <g transform={side === 'left' ? 'translate(56 0) scale(-1 1)' : undefined}>{DRAWN[state]}</g>
    </svg>
  );
}

// A robot from above at 0,0 that looks along +x of the drawing; `size` is half its width in drawing units.
export function RobotShape({ size }: { size: number }) {
  return (
    <g class="robot">
      <circle r={size} class="body" />
      <path d={`M${-size * 0.35} ${-size}H${size * 0.35}M${-size * 0.35} ${size}H${size * 0.35}`} class="wheel" />
      <path d={`M${size * 0.3} ${-size * 0.4}L${size * 0.75} 0L${size * 0.3} ${size * 0.4}`} class="nose" />
    </g>
  );
}

// Which way: from the middle line off to one side (a straight), or round on the spot (a turn).
export function SidePicture({ side, turn }: { side: Side; turn: boolean }) {
  const s = side === 'left' ? -1 : 1;
  return (
    <svg class="side" viewBox="0 0 120 84" aria-hidden="true">
      <path d="M60 82V2" class="dashed" />
      {turn ? (
        <>
          <path d={`M${60 + s * 6} 22A26 26 0 0 ${s > 0 ? 1 : 0} ${60 + s * 26} 46`} class="path" />
          <path d={`M${60 + s * 18} 41L${60 + s * 26} 50L${60 + s * 34} 41`} class="path" />
          <g transform="translate(60 48) rotate(-90)">
            <RobotShape size={13} />
          </g>
        </>
      ) : (
        <>
          <path d={`M60 80Q60 46 ${60 + s * 32} 24`} class="path" />
          <g transform={`translate(${60 + s * 32} 24) rotate(${-90 + s * 40})`}>
            <RobotShape size={13} />
          </g>
        </>
      )}
    </svg>
  );
}
