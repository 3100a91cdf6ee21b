// The table: a robot, a list of moves, a table and a start; where that leads, and how sure it is.

import { useEffect, useRef, useState } from 'preact/hooks';

import { api, Refused } from '../api';
import type { ForecastAnswer, Pose, RobotDescription, SetAnswer, TableAnswer } from '../contract';
import { extentOf } from '../geometry';
import type { Session } from '../session';
import { hashOf, heardOf, type AppState, type Route } from '../state';
import { words } from '../words';
import { Choice, More } from './fields';
import { Lead } from './lead';
import { ListEditor, NewList } from './list_editor';
import { StartFields } from './start_fields';
import { TableForm } from './table_form';
import { TablePlan } from './table_plan';

type ForecastRoute = Extract<Route, { page: 'forecast' }>;

const SEED = 1;
const SAMPLES = 10000;
// Few enough that the drawing follows the finger.
const SAMPLES_DRAGGING = 1500;

interface Props {
  state: AppState;
  set: SetAnswer;
  route: ForecastRoute;
  session: Session;
}

export function ForecastView({ state, set, route, session }: Props) {
  const chosen = {
    robotId: known(set.robots, route.robotId),
    tableId: known(set.tables, route.tableId),
    listId: known(set.move_lists, route.listId),
  };
  const choose = (part: Partial<ForecastRoute>): void => {
    history.replaceState(null, '', hashOf({ page: 'forecast', ...chosen, ...part }));
    window.dispatchEvent(new HashChangeEvent('hashchange'));
  };
  if (chosen.robotId === null) {
    return <Lead sentence={words.forecastNeeds.robots} action={{ label: words.addRobot, go: () => session.go({ page: 'new-robot' }) }} />;
  }
  if (chosen.tableId === null) {
    return <TableForm sentence={words.forecastNeeds.tables} before={null} kept={(tableId) => choose({ tableId })} />;
  }
  if (chosen.listId === null) {
    return <NewList sentence={words.forecastNeeds.lists} session={session} kept={(listId) => choose({ listId })} />;
  }
  return (
    <Forecasting
      key={chosen.tableId}
      state={state}
      set={set}
      robotId={chosen.robotId}
      tableId={chosen.tableId}
      listId={chosen.listId}
      choose={choose}
      session={session}
    />
  );
}

const known = (things: { id: number }[], id: number | null): number | null =>
  things.find((thing) => thing.id === id)?.id ?? things[0]?.id ?? null;

function firstStart(table: TableAnswer): Pose {
  const e = extentOf(table.edge_mm);
  return { x_mm: Math.round(e.left + Math.min(250, (e.right - e.left) / 3)), y_mm: Math.round((e.low + e.high) / 2), heading_deg: 0 };
}

interface ForecastingProps {
  state: AppState;
  set: SetAnswer;
  robotId: number;
  tableId: number;
  listId: number;
  choose: (part: Partial<ForecastRoute>) => void;
  session: Session;
}

function Forecasting({ state, set, robotId, tableId, listId, choose, session }: ForecastingProps) {
  const tableHeard = heardOf(state.heard, 'table', tableId);
  const robotHeard = heardOf(state.heard, 'robot', robotId);
  const [table, setTable] = useState<TableAnswer | null>(null);
  const [text, setText] = useState('');
  const [start, setStart] = useState<Pose | null>(null);
  const [dragging, setDragging] = useState(false);
  useEffect(() => {
    void session.tried(() => api.table(tableId)).then((read) => {
      if (!read) return;
      setTable(read);
      setStart((before) => before ?? firstStart(read));
    });
  }, [tableId, tableHeard]);
  const [described, setDescribed] = useState<RobotDescription | null>(null);
  useEffect(() => {
    void session.tried(() => api.robot(robotId)).then((page) => page && setDescribed(page.robot));
  }, [robotId, robotHeard]);
  const outcome = useForecast(table && start ? { robot_id: robotId, table_id: tableId, text, start } : null, dragging, tableHeard + robotHeard);
  const findSafest = async (): Promise<void> => {
    const found = await session.tried(() => api.safestStart({ robot_id: robotId, table_id: tableId, text, samples: SAMPLES, seed: SEED }));
    if (!found) return;
    setStart(rounded(found.start));
    session.say(words.safestIs(words.times(found.mishap)));
  };
  if (!table || !start) return <p class="quiet">{words.loading}</p>;
  const answer = outcome.answer;
  return (
    <>
      <Lead
        sentence={outcome.refusal ?? answer?.sentence ?? words.loading}
        action={{ label: words.findSafest, go: () => void findSafest(), off: text.trim() === '' }}
      />
      <div class="beside plan-beside">
        <div>
          <TablePlan robot={described} table={table} start={start} answer={answer} move={setStart} dragging={setDragging} />
          {answer && text.trim() !== '' && (
            <p class="chances">
              <span>
                <b>{words.falls}</b> {words.times(answer.fall_probability)}
              </span>
              <span>
                <b>{words.bumps}</b> {words.times(answer.bump_probability)}
              </span>
            </p>
          )}
          <p class="caution">{words.edgeCaution}</p>
          <StartFields start={start} move={setStart} />
        </div>
        <div>
          <div class="choices">
            <Choice
              label={words.robot}
              value={robotId}
              options={set.robots.map((r) => ({ value: r.id, label: r.name }))}
              set={(id) => choose({ robotId: id })}
            />
            {set.tables.length > 1 && (
              <Choice
                label={words.table}
                value={tableId}
                options={set.tables.map((t) => ({ value: t.id, label: t.name }))}
                set={(id) => choose({ tableId: id })}
              />
            )}
            {set.move_lists.length > 1 && (
              <Choice
                label={words.list}
                value={listId}
                options={set.move_lists.map((l) => ({ value: l.id, label: l.name }))}
                set={(id) => choose({ listId: id })}
              />
            )}
          </div>
          <ListEditor
            key={listId}
            listId={listId}
            robotId={robotId}
            text={text}
            setText={setText}
            heard={heardOf(state.heard, 'list', listId)}
            session={session}
          />
          <More title={words.newList}>
            <NewList session={session} kept={(id) => choose({ listId: id })} />
          </More>
          <More title={words.editTable}>
            <TableForm key={JSON.stringify({ ...table, change: 0 })} before={table} kept={() => undefined} />
          </More>
          <More title={words.newTable}>
            <TableForm before={null} kept={(id) => choose({ tableId: id })} />
          </More>
        </div>
      </div>
    </>
  );
}

const rounded = (pose: Pose): Pose => ({
  x_mm: Math.round(pose.x_mm),
  y_mm: Math.round(pose.y_mm),
  heading_deg: Math.round(pose.heading_deg),
});

interface Question {
  robot_id: number;
  table_id: number;
  text: string;
  start: Pose;
}
interface Outcome {
  answer: ForecastAnswer | null;
  refusal: string | null;
}

const TYPING_PAUSE_MS = 200;

// Asks anew whenever the question changes; while one is under way only the newest waits, so that a drag never queues up.
function useForecast(question: Question | null, dragging: boolean, heard: number): Outcome {
  const [outcome, setOutcome] = useState<Outcome>({ answer: null, refusal: null });
  const wanted = useRef<(Question & { samples: number }) | null>(null);
  const asking = useRef(false);
  const alive = useRef(true);
  useEffect(() => () => void (alive.current = false), []);
  const askOn = async (): Promise<void> => {
    if (asking.current) return;
    asking.current = true;
    while (wanted.current && alive.current) {
      const next = wanted.current;
      wanted.current = null;
      try {
        const answer = await api.forecast({ ...next, seed: SEED });
        setOutcome({ answer, refusal: null });
      } catch (error) {
        setOutcome(error instanceof Refused ? { answer: null, refusal: error.message } : { answer: null, refusal: words.lost });
      }
    }
    asking.current = false;
  };
  const text = useRef(question?.text);
  useEffect(() => {
    if (!question) return undefined;
    const ask = (): void => {
      wanted.current = { ...question, samples: dragging ? SAMPLES_DRAGGING : SAMPLES };
      void askOn();
    };
    const typed = text.current !== question.text;
    text.current = question.text;
    if (!typed) return ask();
    const pause = window.setTimeout(ask, TYPING_PAUSE_MS);
    return () => window.clearTimeout(pause);
  }, [JSON.stringify(question), dragging, heard]);
  return outcome;
}
