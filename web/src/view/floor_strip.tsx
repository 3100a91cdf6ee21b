// The strip of floor from above: start mark, tape lines, the runs measured so far, and the path that is expected of the
// next one. On a wide page the robot drives to the right, on a phone up the page; its left is left of its way in both.

import type { NextRun, RobotPage, Run } from '../contract';
import { extentOf, pathThrough, sidewaysAt, type Spot } from '../geometry';
import { words } from '../words';
import { RobotShape } from './marks';
import { useWidth } from './use_width';

const BEHIND_MM = 130;
const BEYOND_MM = 60;
const MOST_BESIDE_MM = 400;

// Where a spot of the floor (x ahead, y left) lies in the drawing.
export interface Ground {
  up: boolean;
  width: number;
  height: number;
  stretch: number;
  beside_mm: number;
  at: (spot: Spot) => Spot;
}

export function readingsOf(run: Run): Spot[] {
  const spots: Spot[] = [];
  if (run.half_line_mm !== undefined && run.half_sideways_mm !== undefined) spots.push([run.half_line_mm, run.half_sideways_mm]);
  if (run.line_mm !== undefined && run.sideways_mm !== undefined) spots.push([run.line_mm, run.sideways_mm]);
  return spots;
}

export function groundFor(width: number, length_mm: number, beside_mm: number): Ground {
  const up = width < 560;
  const whole_mm = length_mm + BEHIND_MM + BEYOND_MM;
  const scale = (up ? 290 : width - 40) / whole_mm;
  const room = up ? width / 2 - 66 : 120;
  const stretch = [5, 3, 2].find((times) => beside_mm * scale * times <= room) ?? 1;
  const half = Math.min(room, Math.max(44, beside_mm * scale * stretch));
  const across = 2 * half + 52;
  const ahead = whole_mm * scale;
  return {
    up,
    stretch,
    beside_mm: half / scale / stretch,
    width: up ? width : ahead + 40,
    height: up ? ahead + 28 : across,
    at: ([x, y]) =>
      up
        ? [width / 2 - y * scale * stretch, 22 + (length_mm + BEYOND_MM - x) * scale]
        : [20 + (x + BEHIND_MM) * scale, across / 2 - y * scale * stretch],
  };
}

const pathOf = (spots: Spot[]): string => spots.map(([x, y], i) => `${i ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');

export function FloorStrip({ page }: { page: RobotPage }) {
  const [place, width] = useWidth(360);
  const next = page.advice.next_run?.kind === 'straight' ? page.advice.next_run : null;
  const straights = page.runs.filter((run) => run.kind === 'straight' && readingsOf(run).length > 0);
  const last = straights[straights.length - 1];
  const lines = linesOf(next, last);
  const length_mm = Math.max(...lines, ...straights.map((run) => run.line_mm ?? 0), 300);
  const trim = next?.trim ?? page.advice.best_trim;
  const known = page.curve.find((c) => c.trim === trim);
  const expected = known && page.run_drifts.length > 0 ? known : undefined;
  const seen = extentOf([[0, 0], ...straights.flatMap(readingsOf), ...(expected ? [[0, sidewaysAt(length_mm, expected.mean)] as Spot] : [])]);
  const beside_mm = Math.min(MOST_BESIDE_MM, Math.max(50, 1.2 * Math.max(Math.abs(seen.low), Math.abs(seen.high))));
  const ground = groundFor(width, length_mm, beside_mm);
  const doubtful = new Set(page.run_drifts.filter((d) => d.doubtful).map((d) => d.run_id));
  const told = last ? words.readAt(last.line_mm ?? 0, last.sideways_mm ?? 0) : words.noRuns;
  return (
    <figure ref={place}>
      <svg class="drawing strip" width={ground.width} height={ground.height} role="img" aria-label={words.stripSummary(told)}>
        <defs>
          <pattern id="strip-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <path d="M0 0V5" class="hatch" />
          </pattern>
          <clipPath id="strip-edge">
            <rect width={ground.width} height={ground.height} />
          </clipPath>
        </defs>
        <g clip-path="url(#strip-edge)">
          <Floor ground={ground} length_mm={length_mm} lines={lines} />
          {expected && <Expected ground={ground} length_mm={length_mm} drift={expected} />}
          {straights.map((run) => (
            <MeasuredRun key={run.id} ground={ground} run={run} newest={run === last} doubtful={doubtful.has(run.id)} />
          ))}
          <StartMark ground={ground} />
        </g>
      </svg>
      <figcaption>
        {straights.length > 0 && <Keys expected={expected !== undefined} trim={trim} />}
        {straights.length > 0 && ground.stretch > 1 && <span>{words.stretched(ground.stretch)}</span>}
      </figcaption>
    </figure>
  );
}

function linesOf(next: NextRun | null, last: Run | undefined): number[] {
  const wanted = next?.line_mm ? [next.half_line_mm, next.line_mm] : [last?.half_line_mm, last?.line_mm];
  const lines = wanted.filter((l): l is number => l !== undefined);
  return lines.length ? lines : [1000, 2000];
}

// The middle line and the tape lines, each two thin lines with its distance written along it.
export function Floor({ ground, length_mm, lines }: { ground: Ground; length_mm: number; lines: number[] }) {
  const beside = ground.beside_mm;
  return (
    <>
      <path d={pathOf([ground.at([0, 0]), ground.at([length_mm + BEYOND_MM, 0])])} class="dashed" />
      {lines.map((line) => {
        const [left, right] = [ground.at([line, beside]), ground.at([line, -beside])];
        const [dx, dy] = ground.up ? [0, 2] : [2, 0];
        const shift = (p: Spot, by: number): Spot => [p[0] + dx * by, p[1] + dy * by];
        return (
          <g key={line}>
            <path d={pathOf([shift(left, -1), shift(right, -1)]) + pathOf([shift(left, 1), shift(right, 1)])} class="thin" />
            {ground.up ? (
              <text x={left[0] - 6} y={left[1] + 5} text-anchor="end">
                {words.mm(line)}
              </text>
            ) : (
              <text x={right[0]} y={right[1] + 18} text-anchor="middle">
                {words.mm(line)}
              </text>
            )}
          </g>
        );
      })}
    </>
  );
}

function Expected({ ground, length_mm, drift }: { ground: Ground; length_mm: number; drift: { mean: number; low: number; high: number } }) {
  const along = (mm_per_m: number): Spot[] =>
    Array.from({ length: 25 }, (_, i) => ground.at([(length_mm * i) / 24, sidewaysAt((length_mm * i) / 24, mm_per_m)]));
  const band = [...along(drift.high), ...along(drift.low).reverse()];
  return (
    <>
      <path d={`${pathOf(band)}Z`} class="band" fill="url(#strip-hatch)" />
      <path d={pathOf(along(drift.high)) + pathOf(along(drift.low))} class="rim" />
      <path d={pathOf(along(drift.mean))} class="model" />
    </>
  );
}

function MeasuredRun({ ground, run, newest, doubtful }: { ground: Ground; run: Run; newest: boolean; doubtful: boolean }) {
  const readings = readingsOf(run);
  const spots = readings.map(ground.at);
  const end = spots[spots.length - 1];
  if (!end) return null;
  const label = doubtful || run.left_out ? words.row(run.row) : newest ? words.newest(run.sideways_mm ?? 0) : null;
  const beyond: Spot = ground.up ? [end[0], end[1] - 12] : [end[0] - 10, end[1] + ((run.sideways_mm ?? 0) < 0 ? 20 : -12)];
  return (
    <g class={`run${newest ? ' newest' : ''}${run.left_out ? ' out' : ''}`}>
      <path d={pathOf(pathThrough(readings).map(ground.at))} class="way" />
      {spots.map(([x, y], i) => (
        <path key={i} d={`M${x - 5} ${y}H${x + 5}M${x} ${y - 5}V${y + 5}`} class="cross" />
      ))}
      {doubtful && <circle cx={end[0]} cy={end[1]} r="10" class="ring" />}
      {label && (
        <text x={beyond[0]} y={beyond[1]} text-anchor={ground.up ? 'middle' : 'end'} class="halo">
          {label}
        </text>
      )}
    </g>
  );
}

// A T at the start and the robot on it.
export function StartMark({ ground }: { ground: Ground }) {
  const [x, y] = ground.at([0, 0]);
  return (
    <g transform={`translate(${x} ${y})${ground.up ? ' rotate(-90)' : ''}`}>
      <path d="M0 -18V18M0 0H-30" class="thick" />
      <g transform="translate(-14 0)">
        <RobotShape size={11} />
      </g>
    </g>
  );
}

function Keys({ expected, trim }: { expected: boolean; trim: number }) {
  return (
    <>
      <span>
        <svg width="26" height="12" aria-hidden="true" class="drawing">
          <path d="M8 6H18M13 1V11" class="cross" />
        </svg>{' '}
        {words.keyMeasured}
      </span>
      {expected && (
        <span>
          <svg width="26" height="12" aria-hidden="true" class="drawing">
            <path d="M0 1H26M0 11H26" class="rim" />
            <path d="M3 11L9 1M9 11L15 1M15 11L21 1" class="rim" />
            <path d="M0 6H26" class="model" />
          </svg>{' '}
          {words.expected}, {words.trim(trim)}
        </span>
      )}
    </>
  );
}

