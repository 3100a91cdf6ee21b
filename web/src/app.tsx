// The sheet every page is on: the tape with the ways to go, the connection, the page itself, the newest change.

import { useEffect, useState } from 'preact/hooks';

import type { Session } from './session';
import { hashOf, type AppState } from './state';
import { ForecastView } from './view/forecast';
import { JoinView } from './view/join';
import { Lead } from './view/lead';
import { NewRobotView, DescribeView } from './view/robot_form';
import { RobotView } from './view/robot';
import { RunEntryView } from './view/run_entry';
import { SetView } from './view/set';
import { words } from './words';

export function App({ session }: { session: Session }) {
  const [state, setState] = useState(session.now());
  useEffect(() => session.watch(setState), [session]);
  return (
    <>
      <Tape state={state} />
      <Connection state={state} session={session} />
      {state.changedHere && <NewestChange state={state} session={session} />}
      <main>{state.joined ? <Page state={state} session={session} /> : <JoinView session={session} />}</main>
      {state.joined && !state.changedHere && (state.set?.undo || state.set?.redo) && (
        <footer>
          <NewestChange state={state} session={session} />
        </footer>
      )}
    </>
  );
}

function Page({ state, session }: { state: AppState; session: Session }) {
  const route = state.route;
  if (route.page === 'new-robot') return <NewRobotView session={session} />;
  if (!state.set) return <p class="quiet">{words.loading}</p>;
  if (route.page === 'set') return <SetView set={state.set} session={session} />;
  if (route.page === 'forecast') return <ForecastView key="forecast" state={state} set={state.set} route={route} session={session} />;
  const page = state.robots[route.robotId];
  if (!page) return state.note ? <Lead sentence={state.note} /> : <p class="quiet">{words.loading}</p>;
  if (route.part === 'run') return <RunEntryView key={route.instead ?? 0} page={page} instead={route.instead} session={session} />;
  if (route.part === 'describe') return <DescribeView key={route.robotId} page={page} session={session} />;
  return <RobotView key={route.robotId} page={page} state={state} session={session} />;
}

// Two thin lines across the floor with the distances written between them: here the ways to go.
function Tape({ state }: { state: AppState }) {
  const route = state.route;
  const robot = route.page === 'robot' ? state.set?.robots.find((r) => r.id === route.robotId) : undefined;
  const here = (is: boolean) => (is ? { 'aria-current': 'page' as const } : {});
  const robotId = route.page === 'robot' || route.page === 'forecast' ? route.robotId : null;
  return (
    <header class="tape">
      <nav aria-label={words.name}>
        <a href="#/" {...here(route.page === 'set')}>
          {state.set?.name || words.theSet}
        </a>
        {robot && (
          <a href={hashOf({ page: 'robot', robotId: robot.id, part: 'look' })} {...here(true)}>
            {robot.name}
          </a>
        )}
        <a href={hashOf({ page: 'forecast', robotId, tableId: null, listId: null })} {...here(route.page === 'forecast')}>
          {words.theTable}
        </a>
      </nav>
    </header>
  );
}

function Connection({ state, session }: { state: AppState; session: Session }) {
  const refused = state.waiting.filter((w) => w.refusal !== null);
  const toSend = state.waiting.length - refused.length;
  return (
    <div class="lines" role="status">
      {state.connection === 'lost' && <p class="lost">{words.lost}</p>}
      {toSend > 0 && <p>{words.waiting(toSend)}</p>}
      {refused.map((w) => (
        <p key={w.key}>
          {words.refusedRun(w.refusal ?? '')} <button onClick={() => session.dropRun(w.key)}>{words.dropRun}</button>
        </p>
      ))}
      {state.note && <p>{state.note}</p>}
    </div>
  );
}

function NewestChange({ state, session }: { state: AppState; session: Session }) {
  const { undo, redo } = state.set ?? {};
  return (
    <div class="newest" role="status">
      {redo && (
        <p>
          {words.takenBack(redo.what)} <button onClick={() => void session.redo()}>{words.bringBack}</button>
        </p>
      )}
      {undo && (
        <p>
          {words.newestChange(undo.what)} <button onClick={() => void session.undo()}>{words.takeBack}</button>
        </p>
      )}
    </div>
  );
}
