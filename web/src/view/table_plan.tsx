// The table from above, to scale: edge, things on it, where the list leads, and the start mark that can be moved.

import { useRef } from 'preact/hooks';

import type { ForecastAnswer, Obstacle, Pose, RobotDescription, TableAnswer } from '../contract';
import { degrees, extentOf, twoFeet, type Extent, type Spot } from '../geometry';
import { roundStep } from '../numbers';
import { words } from '../words';
import { useWidth } from './use_width';

const STEP_MM = 10;
const TURN_DEG = 5;

interface Plan {
  width: number;
  height: number; // 12 px of it below for the scale bar
  margin: number;
  scale: number;
  at: (spot: Spot) => Spot;
  back: (x: number, y: number) => Spot;
}

function planFor(width: number, shown: Extent): Plan {
  const margin = width < 560 ? 20 : 30;
  const scale = Math.min((width - 2 * margin) / (shown.right - shown.left), 460 / (shown.high - shown.low));
  const height = (shown.high - shown.low) * scale + 2 * margin + 12;
  return {
    width: (shown.right - shown.left) * scale + 2 * margin,
    height,
    margin: margin,
    scale,
    at: ([x, y]) => [margin + (x - shown.left) * scale, margin + (shown.high - y) * scale],
    back: (x, y) => [(x - margin) / scale + shown.left, shown.high - (y - margin) / scale],
  };
}

const path = (spots: Spot[]): string => spots.map(([x, y], i) => `${i ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');

interface Props {
  robot: RobotDescription | null;
  table: TableAnswer;
  start: Pose;
  answer: ForecastAnswer | null;
  move: (start: Pose) => void;
  dragging: (is: boolean) => void;
}

export function TablePlan({ robot, table, start, answer, move, dragging }: Props) {
  const [place, width] = useWidth(360);
  const plan = planFor(width, extentOf(table.sides.flatMap((side) => [side.from_mm, side.to_mm])));
  const told = words.startAt(start.x_mm, start.y_mm, start.heading_deg);
  return (
    <figure ref={place}>
      <svg class="drawing plan" width={plan.width} height={plan.height} role="group" aria-label={words.planSummary(table.name, told)}>
        <Edge plan={plan} table={table} />
        {(table.obstacles ?? []).map((o, i) => (
          <Thing key={i} plan={plan} thing={o} />
        ))}
        <Dimensions plan={plan} table={table} start={start} clear={reach(robot) * plan.scale} />
        <StartHandle plan={plan} robot={robot} start={start} move={move} dragging={dragging} />
        {answer && <Paths plan={plan} answer={answer} />}
        {answer && <FirstRisk plan={plan} answer={answer} />}
        <ScaleBar plan={plan} />
      </svg>
      <figcaption>
        <Keys walled={table.sides.every((side) => side.walled)} />
      </figcaption>
    </figure>
  );
}

// An open edge has short strokes outward, as on a plan; a wall is a plain thick line.
function Edge({ plan, table }: { plan: Plan; table: TableAnswer }) {
  const strokes = table.sides.filter((side) => !side.walled).flatMap(({ from_mm: a, to_mm: b }) => {
    const size = Math.max(Math.hypot(b[0] - a[0], b[1] - a[1]), 1e-9);
    const lean = [(b[0] - a[0]) / size, (b[1] - a[1]) / size] as const;
    const count = Math.max(1, Math.round((size * plan.scale) / 9));
    return Array.from({ length: count }, (_, i) => {
      const t = (i + 0.5) / count;
      const [x, y] = plan.at([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
      return `M${x.toFixed(1)} ${y.toFixed(1)}l${((lean[1] + lean[0]) * 6).toFixed(1)} ${((lean[0] - lean[1]) * 6).toFixed(1)}`;
    });
  });
  return (
    <>
      <path d={table.sides.map((side) => path([plan.at(side.from_mm), plan.at(side.to_mm)])).join('')} class="edge" />
      <path d={strokes.join('')} class="thin" />
    </>
  );
}

function Thing({ plan, thing }: { plan: Plan; thing: Obstacle }) {
  const corners = 'polygon_mm' in thing ? thing.polygon_mm : null;
  const middle: Spot = 'centre_mm' in thing ? thing.centre_mm : [
    (extentOf(thing.polygon_mm).left + extentOf(thing.polygon_mm).right) / 2,
    (extentOf(thing.polygon_mm).low + extentOf(thing.polygon_mm).high) / 2,
  ];
  const [x, y] = plan.at(middle);
  const size = 'radius_mm' in thing ? thing.radius_mm * plan.scale : 0;
  return (
    <g>
      {corners ? <path d={`${path(corners.map(plan.at))}Z`} class="thing" /> : <circle cx={x} cy={y} r={size} class="thing" />}
      <text x={x} y={corners ? y + 5 : y - size - 6} text-anchor="middle" class="halo">
        {thing.name}
      </text>
    </g>
  );
}

function Paths({ plan, answer }: { plan: Plan; answer: ForecastAnswer }) {
  const nominal = answer.nominal_path.map(([x, y]) => plan.at([x, y]));
  const end = answer.nominal_path[answer.nominal_path.length - 1];
  return (
    <g class="paths">
      <path d={answer.sample_paths.map((sample) => path(sample.map((p) => plan.at([p[0], p[1]])))).join('')} class="stipple" />
      {answer.region_95.length > 2 && <path d={`${path(answer.region_95.map(plan.at))}Z`} class="region" />}
      <path d={path(nominal)} class="model" />
      {end && nominal.length > 1 && (
        <path
          d="M-8 -6L6 0L-8 6Z"
          class="arrow"
          transform={`translate(${plan.at([end[0], end[1]]).join(' ')}) rotate(${-end[2]})`}
        />
      )}
    </g>
  );
}

// Where the tape is laid to find the start: to the nearest edge and to the one across.
function Dimensions({ plan, table, start, clear }: { plan: Plan; table: TableAnswer; start: Pose; clear: number }) {
  const from: Spot = [start.x_mm, start.y_mm];
  return (
    <>
      {twoFeet(table.edge_mm, from).map((foot, i) => {
        const [x, y] = plan.at(from);
        const [u, v] = plan.at(foot.foot);
        const level = Math.abs(u - x) > Math.abs(v - y);
        // The length stands between the edge and the robot, not under it.
        const share = Math.min(1, clear / Math.max(1, Math.hypot(u - x, v - y)));
        const [mx, my] = [u + ((x - u) * (1 - share)) / 2, v + ((y - v) * (1 - share)) / 2];
        return (
          <g key={i}>
            <path d={`M${x} ${y}L${u} ${v}M${u - 4} ${v + 4}L${u + 4} ${v - 4}`} class="thin" />
            {level ? (
              <text x={mx} y={my - 6} text-anchor="middle" class="halo">
                {Math.round(foot.distance_mm)}
              </text>
            ) : (
              <text x={mx + 6} y={my + 5} class="halo">
                {Math.round(foot.distance_mm)}
              </text>
            )}
          </g>
        );
      })}
    </>
  );
}

// The T with the robot on it. It is dragged by its middle, turned by its nose, and both by the arrow keys.
function StartHandle({ plan, robot, start, move, dragging }: Omit<Props, 'table' | 'answer'> & { plan: Plan }) {
  const held = useRef<'middle' | 'nose' | null>(null);
  // Keys may come faster than the drawing; each goes on from the one before.
  const now = useRef(start);
  now.current = start;
  const [x, y] = plan.at([start.x_mm, start.y_mm]);
  const size = Math.max(9, reach(robot) * plan.scale);
  const spot = (event: PointerEvent): Spot => {
    const svg = (event.currentTarget as SVGElement).ownerSVGElement ?? (event.currentTarget as SVGElement);
    const box = svg.getBoundingClientRect();
    return plan.back(((event.clientX - box.left) * plan.width) / box.width, ((event.clientY - box.top) * plan.height) / box.height);
  };
  const take = (what: 'middle' | 'nose') => (event: PointerEvent) => {
    event.stopPropagation();
    held.current = what;
    (event.currentTarget as SVGElement).setPointerCapture(event.pointerId);
    dragging(true);
  };
  const drag = (event: PointerEvent): void => {
    if (!held.current) return;
    const [u, v] = spot(event);
    if (held.current === 'middle') move({ ...start, x_mm: Math.round(u), y_mm: Math.round(v) });
    else move({ ...start, heading_deg: Math.round((Math.atan2(v - start.y_mm, u - start.x_mm) * 180) / Math.PI) });
  };
  const drop = (): void => {
    if (held.current) dragging(false);
    held.current = null;
  };
  const keys = (event: KeyboardEvent): void => {
    const after = keyed(now.current, event.key, event.shiftKey);
    if (!after) return;
    event.preventDefault();
    now.current = after;
    move(after);
  };
  return (
    <g
      class="start"
      tabindex={0}
      role="application"
      aria-label={words.startHandle}
      transform={`translate(${x} ${y}) rotate(${-start.heading_deg})`}
      onKeyDown={keys}
      onPointerMove={drag}
      onPointerUp={drop}
      onPointerCancel={drop}
    >
      <path d={`M0 ${-size - 6}V${size + 6}M0 0H${-size - 12}`} class="thick" />
      <Outline robot={robot} size={size} scale={plan.scale} />
      <path d={`M${size + 4} 0H${size + 20}M${size + 13} -6L${size + 20} 0L${size + 13} 6`} class="thick" />
      <circle r={Math.max(22, size)} class="grip" onPointerDown={take('middle')} />
      <circle cx={size + 30} r="22" class="grip" onPointerDown={take('nose')} />
    </g>
  );
}

// How far the robot reaches from its middle.
function reach(robot: RobotDescription | null): number {
  const outline = robot?.outline;
  if (outline && 'polygon_mm' in outline) return Math.max(...outline.polygon_mm.map(([x, y]) => Math.hypot(x, y)));
  return outline?.circle_radius_mm ?? 95;
}

// The robot's outline and wheels to scale.
function Outline({ robot, size, scale }: { robot: RobotDescription | null; size: number; scale: number }) {
  const outline = robot?.outline;
  const half = ((robot?.track_width_mm ?? 140) / 2) * scale;
  const wheel = ((robot?.wheel_diameter_mm ?? 65) / 2) * scale;
  return (
    <g class="robot">
      {outline && 'polygon_mm' in outline ? (
        <path d={`${path(outline.polygon_mm.map(([x, y]) => [x * scale, -y * scale]))}Z`} class="body" />
      ) : (
        <circle r={size} class="body" />
      )}
      <path d={`M${-wheel} ${-half}H${wheel}M${-wheel} ${half}H${wheel}`} class="wheel" />
      <path d={`M${size * 0.4} ${-size * 0.35}L${size * 0.75} 0L${size * 0.4} ${size * 0.35}`} class="nose" />
    </g>
  );
}

function keyed(start: Pose, key: string, shift: boolean): Pose | null {
  const turn = shift ? { ArrowLeft: TURN_DEG, ArrowRight: -TURN_DEG }[key] : undefined;
  if (turn !== undefined) return { ...start, heading_deg: degrees(start.heading_deg + turn) };
  const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[key];
  return by ? { ...start, x_mm: start.x_mm + (by[0] ?? 0) * STEP_MM, y_mm: start.y_mm + (by[1] ?? 0) * STEP_MM } : null;
}

// A wedge that points at the place, with the move's number and what happens there.
function FirstRisk({ plan, answer }: { plan: Plan; answer: ForecastAnswer }) {
  const risk = answer.first_risky_move;
  if (!risk) return null;
  const [px, py] = plan.at([risk.x_mm, risk.y_mm]);
  const x = Math.min(Math.max(px, 4), plan.width - 4);
  const y = Math.min(Math.max(py, 4), plan.height - 4);
  const up = y > 60 ? -1 : 1;
  const label = words.firstRisk(risk.move, risk.mishap);
  const anchor = x < 50 ? 'start' : x > plan.width - 50 ? 'end' : 'middle';
  return (
    <g class="risk">
      <path d={`M${x} ${y}L${x - 8} ${y + up * 22}H${x + 8}Z`} class="wedge" />
      <text x={x} y={y + (up < 0 ? -28 : 40)} text-anchor={anchor} class="halo strong">
        {label}
      </text>
    </g>
  );
}

function ScaleBar({ plan }: { plan: Plan }) {
  const step = roundStep(plan.width / plan.scale, 4);
  const [x, y] = [plan.margin, plan.height - 2];
  return (
    <g>
      <path d={`M${x} ${y - 5}V${y}H${x + step * plan.scale}V${y - 5}`} class="thin" />
      <text x={x + step * plan.scale + 6} y={y + 1}>
        {words.mm(step)}
      </text>
    </g>
  );
}

function Keys({ walled }: { walled: boolean }) {
  return (
    <>
      <span>
        <svg width="26" height="14" aria-hidden="true" class="drawing">
          <path d="M2 4H26M0 10H26" class="stipple" />
        </svg>{' '}
        {words.keyStipple}
      </span>
      <span>
        <svg width="26" height="14" aria-hidden="true" class="drawing">
          <path d="M2 7H26" class="region" />
        </svg>{' '}
        {words.keyRegion}
      </span>
      <span>
        <svg width="26" height="14" aria-hidden="true" class="drawing">
          <path d="M0 4H26" class="edge" />
          {!walled && <path d="M2 4l5 6M10 4l5 6M18 4l5 6" class="thin" />}
        </svg>{' '}
        {walled ? words.keyWall : words.keyEdge}
      </span>
    </>
  );
}
