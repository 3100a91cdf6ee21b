// Measuring a table: how wide, how deep, whether it has a rim, and what stands on it.

import { useState } from 'preact/hooks';

import { api, Refused } from '../api';
import type { CircleObstacle, Obstacle, TableAnswer, TableBody } from '../contract';
import { extentOf } from '../geometry';
import { fieldText, parseNumber } from '../numbers';
import { words } from '../words';
import { Field } from './fields';
import { Lead } from './lead';

interface Thing {
  name: string;
  x: string;
  y: string;
  radius: string;
}

const isCircle = (o: Obstacle): o is CircleObstacle => 'centre_mm' in o;

// Whether the edge is a rectangle with its corner at 0,0: then width and depth say all of it.
function isPlain(table: TableBody): boolean {
  const e = extentOf(table.edge_mm);
  const corner = (x: number, y: number): boolean => (x === e.left || x === e.right) && (y === e.low || y === e.high);
  return table.edge_mm.length === 4 && e.left === 0 && e.low === 0 && table.edge_mm.every(([x, y]) => corner(x, y));
}

interface Props {
  sentence?: string;
  before: TableAnswer | null;
  kept: (id: number) => void;
}

export function TableForm({ sentence, before, kept }: Props) {
  const size = before ? extentOf(before.edge_mm) : null;
  const [name, setName] = useState(before?.name ?? '');
  const [width, setWidth] = useState(fieldText(size ? size.right - size.left : undefined));
  const [depth, setDepth] = useState(fieldText(size ? size.high - size.low : undefined));
  const [walled, setWalled] = useState(before?.walled ?? false);
  const [things, setThings] = useState<Thing[]>(
    (before?.obstacles ?? [])
      .filter(isCircle)
      .map((o) => ({ name: o.name, x: fieldText(o.centre_mm[0]), y: fieldText(o.centre_mm[1]), radius: fieldText(o.radius_mm) })),
  );
  const [basedOn] = useState(before?.change ?? 0);
  const [fault, setFault] = useState<string>();
  const plainEdge = before === null || isPlain(before);

  const bodyOf = (): TableBody | null => {
    const mm = (text: string): number => {
      const parsed = parseNumber(text, 'mm');
      return parsed.ok ? parsed.value : NaN;
    };
    const [w, d] = [mm(width), mm(depth)];
    const circles = things.map((t): CircleObstacle => ({ name: t.name.trim(), centre_mm: [mm(t.x), mm(t.y)], radius_mm: mm(t.radius) }));
    const numbers = [...(plainEdge ? [w, d] : []), ...circles.flatMap((c) => [...c.centre_mm, c.radius_mm])];
    if (numbers.some(Number.isNaN)) {
      setFault(words.fieldNumber);
      return null;
    }
    const { id: _, sides: __, ...kept } = before ?? {};
    return {
      ...kept,
      name: name.trim(),
      edge_mm: plainEdge ? [[0, 0], [w, 0], [w, d], [0, d]] : (before?.edge_mm ?? []),
      walled,
      obstacles: [...circles, ...(before?.obstacles ?? []).filter((o) => !isCircle(o))],
    };
  };
  const save = async (): Promise<void> => {
    const body = bodyOf();
    if (!body) return;
    try {
      const id = before ? (await api.changeTable(before.id, body, basedOn), before.id) : (await api.addTable(body)).id;
      kept(id);
    } catch (error) {
      setFault(error instanceof Refused ? error.message : words.lost);
    }
  };
  const changeThing = (i: number, change: Partial<Thing>): void => setThings(things.map((t, j) => (j === i ? { ...t, ...change } : t)));
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void save();
      }}
    >
      {sentence && <Lead sentence={sentence} action={{ label: words.keepTable, go: () => undefined }} />}
      <div class="fields">
        <Field label={words.tableName} value={name} set={setName} wide />
        {plainEdge && <Field label={words.width} value={width} set={setWidth} numeric />}
        {plainEdge && <Field label={words.depth} value={depth} set={setDepth} numeric />}
      </div>
      {!plainEdge && <p class="quiet">{words.oddEdge}</p>}
      <p class="tick">
        <label>
          <input type="checkbox" checked={walled} onChange={(event) => setWalled(event.currentTarget.checked)} /> {words.walled}
        </label>
      </p>
      {things.length > 0 && <h2>{words.obstacles}</h2>}
      {things.map((thing, i) => (
        <div class="fields four" key={i} role="group" aria-label={thing.name || words.obstacles}>
          <Field label={words.obstacleName} value={thing.name} set={(text) => changeThing(i, { name: text })} />
          <Field label={words.obstacleX} value={thing.x} set={(x) => changeThing(i, { x })} numeric />
          <Field label={words.obstacleY} value={thing.y} set={(y) => changeThing(i, { y })} numeric />
          <Field label={words.obstacleRadius} value={thing.radius} set={(radius) => changeThing(i, { radius })} numeric />
          <button type="button" onClick={() => setThings(things.filter((_, j) => j !== i))}>
            {words.dropObstacle(thing.name)}
          </button>
        </div>
      ))}
      {fault && (
        <p class="fault" role="alert">
          {fault}
        </p>
      )}
      <p class="ways">
        <button type="button" onClick={() => setThings([...things, { name: '', x: '', y: '', radius: '' }])}>
          {words.addObstacle}
        </button>
        {!sentence && <button>{words.keepTable}</button>}
      </p>
    </form>
  );
}
