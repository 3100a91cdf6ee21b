// One robot: its sentence, the strip of floor, and below what stands behind them.

import { useState } from 'preact/hooks';

import { api } from '../api';
import type { RobotPage } from '../contract';
import { withTrueMinus } from '../numbers';
import type { Session } from '../session';
import { hashOf, type AppState } from '../state';
import { asSentence, words } from '../words';
import { More } from './fields';
import { FloorStrip } from './floor_strip';
import { Lead } from './lead';
import { RunList } from './run_list';
import { ConstantsTable, constantsOf } from './settings';
import { TrimPlot } from './trim_plot';
import { atTime } from './when';

export function RobotView({ page, state, session }: { page: RobotPage; state: AppState; session: Session }) {
  const enter = { label: words.enterRun, go: () => session.go({ page: 'robot', robotId: page.id, part: 'run' }) };
  const waiting = state.waiting.filter((w) => w.robotId === page.id);
  return (
    <>
      <Lead sentence={page.sentence} action={enter} />
      <FloorStrip page={page} />
      {(page.advice.doubtful_because ?? []).map((d) => (
        <p key={d.row} class="doubt">
          {withTrueMinus(words.doubt(d.row, d.because))} <MendByRow page={page} row={d.row} /> <LeaveOutByRow page={page} row={d.row} session={session} />
        </p>
      ))}
      <p class="caution">{words.runCaution}</p>
      <Behind page={page} />
      {page.run_drifts.length > 0 && <TrimPlot page={page} />}
      <RunList page={page} waiting={waiting} session={session} />
      {page.runs.length > 0 && <Loaded page={page} session={session} />}
      <More title={words.settingsTitle}>
        <p>{words.settingsLead(page.advice.best_trim)}</p>
        <ConstantsTable settings={page.settings} />
      </More>
      <p class="ways">
        <a href={hashOf({ page: 'forecast', robotId: page.id, tableId: null, listId: null })}>{words.toTable}</a>
        <a href={hashOf({ page: 'robot', robotId: page.id, part: 'describe' })}>{words.describe}</a>
      </p>
    </>
  );
}

function MendByRow({ page, row }: { page: RobotPage; row: number }) {
  const run = page.runs.find((r) => r.row === row);
  if (!run) return null;
  return <a href={hashOf({ page: 'robot', robotId: page.id, part: 'run', instead: run.id })}>{words.mendRun(row)}</a>;
}

function LeaveOutByRow({ page, row, session }: { page: RobotPage; row: number; session: Session }) {
  const run = page.runs.find((r) => r.row === row);
  if (!run) return null;
  const leave = async (): Promise<void> => {
    const answer = await session.changing(() => api.leaveOut(run.id, true));
    if (answer) session.showRobot(answer.page);
  };
  return <button onClick={() => void leave()}>{words.leaveOutRun(row)}</button>;
}

// What the sentence rests on: which runs, how sure, and what no run has told yet.
function Behind({ page }: { page: RobotPage }) {
  const advice = page.advice;
  const drift = advice.drift_mm_per_m;
  const leftOut = page.runs.filter((run) => run.left_out).length;
  const meanings = new Map(constantsOf(page.settings).map((c) => [c.key, c.meaning]));
  const assumed = (advice.assumed ?? []).map((key) => meanings.get(key) ?? key).join('; ');
  return (
    <More title={words.howSure}>
      <p>{words.basedOn(page.runs.length - leftOut, leftOut)}</p>
      {page.run_drifts.length > 0 && <p>{words.driftAt(drift.mean, drift.low, drift.high)}</p>}
      <p>{words.sure(advice.best_trim, page.tolerance_mm_per_m, advice.in_tolerance_probability)}</p>
      <p>{withTrueMinus(asSentence(advice.reason))}</p>
      {assumed && <p>{words.assumed(assumed)}</p>}
    </More>
  );
}

function Loaded({ page, session }: { page: RobotPage; session: Session }) {
  const [busy, setBusy] = useState(false);
  const kept = page.kept_settings[0];
  const keep = async (): Promise<void> => {
    setBusy(true);
    const answer = await session.changing(() => api.keepSettings(page.id));
    const fresh = answer && (await session.tried(() => api.robot(page.id)));
    if (fresh) session.showRobot(fresh);
    setBusy(false);
  };
  return (
    <section>
      <h2>{words.loadedTitle}</h2>
      <p>{kept ? words.loadedNow(kept.trim, kept.level, atTime(kept.at)) : words.loadedNever}</p>
      <p class="caution">{words.loadedCaution}</p>
      <p>
        <button disabled={busy} onClick={() => void keep()}>
          {words.keepLoaded(page.advice.best_trim)}
        </button>
      </p>
    </section>
  );
}
