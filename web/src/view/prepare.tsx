// Before a run: where to lay the tape, and what to set.

import type { Draft } from '../entry';
import { sizeTyped } from '../entry';
import type { Spot } from '../geometry';
import { fieldText, parseNumber, plain, roundStep } from '../numbers';
import { words } from '../words';
import { Floor, groundFor, StartMark } from './floor_strip';
import { useWidth } from './use_width';

const BESIDE_MM = 300;

export function TapeDrawing({ draft }: { draft: Draft }) {
  const [place, width] = useWidth(328);
  const lines = [sizeTyped(draft.half_line_mm), sizeTyped(draft.line_mm)].filter((l): l is number => l !== null && l > 0);
  const length_mm = Math.max(...lines, 300);
  const ground = groundFor(width, length_mm, BESIDE_MM);
  return (
    <figure ref={place}>
      <svg
        class="drawing strip"
        width={ground.width}
        height={ground.height}
        role="img"
        aria-label={words.tapeDrawing(draft.half_line_mm, draft.line_mm)}
      >
        <Floor ground={ground} length_mm={length_mm} lines={lines} />
        {lines.map((line, i) => {
          const beside = -ground.beside_mm * (0.35 + 0.4 * i);
          const [from, to] = [ground.at([0, beside]), ground.at([line, beside])];
          const tick = ([x, y]: Spot): string => `M${x - 4} ${y + 4}L${x + 4} ${y - 4}`;
          return <path key={line} d={`M${from[0]} ${from[1]}L${to[0]} ${to[1]}${tick(from)}${tick(to)}`} class="thin" />;
        })}
        <path d={`M${ground.at([0, 0]).join(' ')}L${ground.at([0, -ground.beside_mm]).join(' ')}`} class="thin" />
        <StartMark ground={ground} />
      </svg>
      <figcaption>{words.tapeHow}</figcaption>
    </figure>
  );
}

// The trim as a scale from its lowest to its highest, with where it stands and where it is to go.
export function TrimScale({ draft, range, before }: { draft: Draft; range: [number, number]; before: number | null }) {
  const [place, width] = useWidth(328);
  const parsed = parseNumber(draft.trim);
  const to = parsed.ok ? Math.min(Math.max(parsed.value, range[0]), range[1]) : 0;
  const inner = Math.min(width, 640) - 48;
  const x = (trim: number): number => 24 + ((trim - range[0]) / Math.max(1, range[1] - range[0])) * inner;
  const step = Math.max(1, roundStep(range[1] - range[0], width < 560 ? 6 : 12));
  const ticks: number[] = [];
  for (let t = Math.ceil(range[0] / step) * step; t <= range[1]; t += step) ticks.push(t);
  const moves = before !== null && before !== to;
  const far = moves && Math.abs(x(to) - x(before)) > 24;
  const head = moves ? Math.sign(to - before) * 9 : 0;
  return (
    <figure ref={place}>
      <svg class="drawing scale" width={inner + 48} height="150" role="img" aria-label={words.setDrawing(draft.trim, before)}>
        <path d={`M${x(range[0])} 92H${x(range[1])}`} class="thick" />
        {ticks.map((t) => (
          <g key={t}>
            <path d={`M${x(t)} 92V102`} class="thin" />
            <text x={x(t)} y="118" text-anchor="middle">
              {plain(t)}
            </text>
          </g>
        ))}
        {moves && (
          <>
            <path d={`M${x(before)} 92V72`} class="dashed" />
            {far && <path d={`M${x(before)} 74H${x(to)}M${x(to) - head} 68L${x(to)} 74L${x(to) - head} 80`} class="thick" />}
            <text x={x(before)} y="142" text-anchor="middle">
              {fieldText(before)} {words.before}
            </text>
          </>
        )}
        <path d={`M${x(to) - 12} 86H${x(to) - 16}V98H${x(to) - 12}M${x(to) + 12} 86H${x(to) + 16}V98H${x(to) + 12}M${x(to)} 80V104`} class="thick" />
        <text x={Math.min(Math.max(x(to), 60), inner - 12)} y="48" text-anchor="middle" class="big">
          {draft.trim}
          {moves && <tspan class="beside-big">{`  ${words.higher(to - before)}`}</tspan>}
        </text>
      </svg>
    </figure>
  );
}
