// Drift against trim: what is computed as a line with its band hatched, the runs as crosses, the tolerance as brackets.

import type { RobotPage } from '../contract';
import type { Spot } from '../geometry';
import { plain, roundStep } from '../numbers';
import { words } from '../words';
import { useWidth } from './use_width';

const MARGIN = { left: 46, right: 12, top: 42, bottom: 44 };

interface Axes {
  width: number;
  height: number;
  low: number;
  high: number;
  most: number;
  step: number;
  at: (trim: number, drift: number) => Spot;
}

// The drift axis holds every measured point and three times the tolerance; the rest of the curve may leave the frame.
function axesFor(width: number, page: RobotPage): Axes {
  const height = width < 560 ? 300 : 380;
  const [low, high] = page.robot.trim_range;
  const wanted = Math.min(1000, Math.max(3 * page.tolerance_mm_per_m, ...page.run_drifts.map((d) => 1.15 * Math.abs(d.mean))));
  const step = roundStep(2 * wanted, 6);
  const most = Math.ceil(wanted / step - 1e-9) * step;
  const inner = { width: width - MARGIN.left - MARGIN.right, height: height - MARGIN.top - MARGIN.bottom };
  return {
    width,
    height,
    low,
    high,
    most,
    step,
    at: (trim, drift) => [
      MARGIN.left + ((trim - low) / (high - low)) * inner.width,
      MARGIN.top + (1 - drift / most) * (inner.height / 2),
    ],
  };
}

const path = (spots: Spot[]): string => spots.map(([x, y], i) => `${i ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');

export function TrimPlot({ page }: { page: RobotPage }) {
  const [place, width] = useWidth(360);
  const axes = axesFor(width, page);
  const best = page.curve.find((c) => c.trim === page.advice.best_trim);
  return (
    <figure ref={place}>
      <h2>{words.plotTitle}</h2>
      <svg
        class="drawing plot"
        width={width}
        height={axes.height}
        role="img"
        aria-label={words.plotSummary(page.advice.best_trim, words.newest(best?.mean ?? 0))}
      >
        <defs>
          <pattern id="plot-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <path d="M0 0V5" class="hatch" />
          </pattern>
          <clipPath id="plot-frame">
            <rect x={MARGIN.left} y={MARGIN.top} width={width - MARGIN.left - MARGIN.right} height={axes.height - MARGIN.top - MARGIN.bottom} />
          </clipPath>
        </defs>
        <Rulers axes={axes} />
        <Curve axes={axes} page={page} />
        <Tolerance axes={axes} page={page} />
        <Points axes={axes} page={page} />
      </svg>
      <figcaption>
        <Keys doubtful={page.advice.doubtful_runs.length > 0} />
      </figcaption>
    </figure>
  );
}

function Rulers({ axes }: { axes: Axes }) {
  const ticks: number[] = [];
  for (let drift = -axes.most; drift <= axes.most + 1e-9; drift += axes.step) ticks.push(drift);
  const trimStep = Math.max(1, roundStep(axes.high - axes.low, axes.width < 560 ? 6 : 12));
  const trims: number[] = [];
  for (let t = Math.ceil(axes.low / trimStep) * trimStep; t <= axes.high; t += trimStep) trims.push(t);
  const [left, bottom] = axes.at(axes.low, -axes.most);
  const [right, middle] = axes.at(axes.high, 0);
  const top = axes.at(axes.low, axes.most)[1];
  return (
    <>
      <path d={`M${left} ${top}V${bottom}H${right}M${left} ${middle}H${right}`} class="thin" />
      {ticks.map((drift) => {
        const y = axes.at(axes.low, drift)[1];
        return (
          <g key={drift}>
            <path d={`M${left - 4} ${y}H${left}`} class="thin" />
            <text x={left - 8} y={y + 5} text-anchor="end">
              {plain(Math.abs(drift))}
            </text>
          </g>
        );
      })}
      {trims.map((trim) => {
        const x = axes.at(trim, 0)[0];
        return (
          <g key={trim}>
            <path d={`M${x} ${bottom}V${bottom + 4}`} class="thin" />
            <text x={x} y={bottom + 20} text-anchor="middle">
              {plain(trim)}
            </text>
          </g>
        );
      })}
      <text x={right} y={bottom + 38} text-anchor="end">
        {words.plotX}
      </text>
      <Bend x={left + 20} y={top + 12} side={-1} word={words.left} />
      <Bend x={left + 20} y={bottom - 12} side={1} word={words.right} />
      <text x={4} y={14}>
        {words.plotY}
      </text>
    </>
  );
}

// A robot's path that leaves the straight to one side: which half of the plot is which.
function Bend({ x, y, side, word }: { x: number; y: number; side: 1 | -1; word: string }) {
  return (
    <g>
      <path d={`M${x} ${y + 10}V${y - 10}`} class="dashed" />
      <path d={`M${x} ${y + 10}Q${x} ${y - 3} ${x + side * 10} ${y - 9}`} class="thick" />
      <text x={x + 16} y={y + 5} class="halo">
        {word}
      </text>
    </g>
  );
}

function Curve({ axes, page }: { axes: Axes; page: RobotPage }) {
  if (page.run_drifts.length === 0) return null;
  const rim = (of: 'mean' | 'low' | 'high'): Spot[] => page.curve.map((c) => axes.at(c.trim, c[of]));
  return (
    <g clip-path="url(#plot-frame)">
      <path d={`${path([...rim('high'), ...rim('low').reverse()])}Z`} class="band" fill="url(#plot-hatch)" />
      <path d={path(rim('high')) + path(rim('low'))} class="rim" />
      <path d={path(rim('mean'))} class="model" />
    </g>
  );
}

function Tolerance({ axes, page }: { axes: Axes; page: RobotPage }) {
  const trim = page.advice.best_trim;
  const [x, bottom] = axes.at(trim, -axes.most);
  const top = axes.at(trim, axes.most)[1];
  const brackets = [1, -1].map((s) => {
    const y = axes.at(trim, s * page.tolerance_mm_per_m)[1];
    return `M${x - 16} ${y + s * 6}V${y}H${x + 16}V${y + s * 6}`;
  });
  const label = Math.min(Math.max(x, axes.at(axes.low, 0)[0] + 24), axes.at(axes.high, 0)[0] - 24);
  return (
    <>
      <path d={`M${x} ${bottom}V${top}`} class="dotted" />
      <path d={brackets.join('')} class="thick" />
      <text x={label} y={top - 6} text-anchor="middle" class="strong">
        {words.trim(trim)}
      </text>
    </>
  );
}

function Points({ axes, page }: { axes: Axes; page: RobotPage }) {
  const rows = new Map(page.runs.map((run) => [run.id, run.row]));
  const beside = (index: number): number => {
    const here = page.run_drifts.filter((d) => d.trim === page.run_drifts[index]?.trim);
    const place = here.indexOf(page.run_drifts[index] as (typeof here)[number]);
    return (place - (here.length - 1) / 2) * Math.min(7, 28 / here.length);
  };
  return (
    <g>
      {page.run_drifts.map((d, index) => {
        const x = axes.at(d.trim, 0)[0] + beside(index);
        const y = axes.at(d.trim, d.mean)[1];
        const inside = (drift: number): number => axes.at(0, Math.max(-axes.most, Math.min(axes.most, drift)))[1];
        return (
          <g key={d.run_id}>
            <path d={`M${x} ${inside(d.low)}V${inside(d.high)}`} class="spread" />
            <path d={`M${x - 5} ${y}H${x + 5}M${x} ${y - 5}V${y + 5}`} class="cross" />
            {d.doubtful && (
              <>
                <circle cx={x} cy={y} r="10" class="ring" />
                <text x={x + 14} y={y + 5} class="halo strong">
                  {words.row(rows.get(d.run_id) ?? 0)}
                </text>
              </>
            )}
          </g>
        );
      })}
    </g>
  );
}

function Keys({ doubtful }: { doubtful: boolean }) {
  return (
    <>
      <span>
        <svg width="26" height="14" aria-hidden="true" class="drawing">
          <path d="M8 7H18M13 2V12" class="cross" />
        </svg>{' '}
        {words.keyMeasured}
      </span>
      <span>
        <svg width="26" height="14" aria-hidden="true" class="drawing">
          <path d="M0 1H26M0 13H26M3 13L9 1M9 13L15 1M15 13L21 1" class="rim" />
          <path d="M0 7H26" class="model" />
        </svg>{' '}
        {words.keyModel}, {words.keyBand}
      </span>
      <span>
        <svg width="26" height="14" aria-hidden="true" class="drawing">
          <path d="M4 1V5H22V1M4 13V9H22V13" class="thick" />
        </svg>{' '}
        {words.keyTolerance}
      </span>
      {doubtful && (
        <span>
          <svg width="26" height="14" aria-hidden="true" class="drawing">
            <path d="M9 7H17M13 3V11" class="cross" />
            <circle cx="13" cy="7" r="6" class="ring" />
          </svg>{' '}
          {words.keyDoubtful}
        </span>
      )}
    </>
  );
}
