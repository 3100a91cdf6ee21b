// The small drawings: what state a robot is in, and which way one bends. Each is told apart by its shape alone.

import type { RobotState } from '../contract';
import type { Side } from '../entry';
import { words } from '../words';

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

// Round on the spot, to one side.
export function TurnPicture({ side }: { side: Side }) {
  const s = side === 'left' ? -1 : 1;
  return (
    <svg class="side" viewBox="0 0 120 84" aria-hidden="true">
      <path d="M60 82V2" class="dashed" />
      <path d={`M${60 + s * 6} 22A26 26 0 0 ${s > 0 ? 1 : 0} ${60 + s * 26} 46`} class="path" />
      <path d={`M${60 + s * 18} 41L${60 + s * 26} 50L${60 + s * 34} 41`} class="path" />
      <g transform="translate(60 48) rotate(-90)">
        <RobotShape size={13} />
      </g>
    </svg>
  );
}

// One half of the floor as the person sees it who stands behind the robot: the middle line is the border of the two
// halves, the tape lines lie across, and the length between middle line and robot is what is asked for.
export function FloorHalf(props: { side: Side; lines: number[]; at: number; typed: number | null }) {
  const [width, ahead, start] = [160, 96, 118];
  const s = props.side === 'left' ? -1 : 1;
  const edge = props.side === 'left' ? width : 0;
  const far = Math.max(...props.lines, props.at, 1);
  const up = (line: number): number => start - (ahead * line) / far;
  const y = up(props.at);
  const x = edge + s * (24 + 38 * (props.at / far));
  return (
    <svg class="side" viewBox={`0 0 ${width} 124`} preserveAspectRatio={s < 0 ? 'xMaxYMid' : 'xMinYMid'} aria-hidden="true">
      {props.lines.map((line) => (
        <path
          key={line}
          d={`M${edge} ${up(line) - 2}H${width - edge}M${edge} ${up(line) + 2}H${width - edge}`}
          class={line === props.at ? 'path' : 'thin'}
        />
      ))}
      <path d={`M${edge} ${start}H${edge + s * 12}`} class="path" />
      <path d={`M${edge} ${start}Q${edge} ${(start + y) / 2} ${x} ${y}`} class="path" />
      <g transform={`translate(${x} ${y}) rotate(${-90 + s * 34})`}>
        <RobotShape size={12} />
      </g>
      <path d={`M${edge + s} ${y + 22}H${x}M${edge + s * 2} ${y + 17}V${y + 27}M${x} ${y + 17}V${y + 27}`} class="measure" />
      <text x={x + s * 7} y={y + 28} text-anchor={s < 0 ? 'end' : 'start'}>
        {props.typed === null ? '?' : words.mm(props.typed, Number.isInteger(props.typed) ? 0 : 1)}
      </text>
      <text x={width / 2 + s * (width / 2 - 2)} y={y - 7 < 12 ? y + 46 : y - 7} text-anchor={s < 0 ? 'start' : 'end'} class="line-name">
        {words.mm(props.at)}
      </text>
    </svg>
  );
}
