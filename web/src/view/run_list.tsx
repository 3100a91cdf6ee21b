// The runs of one robot, newest first; each can be left out and used again.

import { api } from '../api';
import type { RobotPage, RunBody } from '../contract';
import { plain } from '../numbers';
import type { Session } from '../session';
import { hashOf, type WaitingRun } from '../state';
import { words } from '../words';
import { atTime } from './when';

// What was read, in one line: "12 mm right at 700; 44 mm right at 1400".
function readOf(run: RunBody): string {
  const parts: string[] = [];
  if (run.half_line_mm !== undefined && run.half_sideways_mm !== undefined) parts.push(words.readAt(run.half_line_mm, run.half_sideways_mm));
  if (run.line_mm !== undefined && run.sideways_mm !== undefined) parts.push(words.readAt(run.line_mm, run.sideways_mm));
  if (run.distance_mm !== undefined && run.seconds !== undefined) parts.push(words.droveIn(run.distance_mm, run.seconds));
  if (run.turned_deg !== undefined && run.seconds !== undefined) parts.push(words.turnedIn(run.turned_deg, run.seconds));
  return parts.join('; ');
}

export function RunList({ page, waiting, session }: { page: RobotPage; waiting: WaitingRun[]; session: Session }) {
  const doubtful = new Set(page.advice.doubtful_runs);
  const use = async (id: number, leftOut: boolean): Promise<void> => {
    const answer = await session.changing(() => api.leaveOut(id, leftOut));
    if (answer) session.showRobot(answer.page);
  };
  if (page.runs.length + waiting.length === 0) return null;
  return (
    <section>
      <h2>{words.runsTitle}</h2>
      <ol class="runs">
        {waiting.map((w) => (
          <li key={w.key} class="waiting">
            <span class="row" />
            <span class="read">{readOf(w.run)}</span>
            <span class="how">
              {words.trim(w.run.trim)}, {words.notSent}
            </span>
          </li>
        ))}
        {[...page.runs].reverse().map((run) => (
          <li key={run.id} class={run.left_out ? 'out' : ''}>
            <span class={`row${doubtful.has(run.row) ? ' ringed' : ''}`}>{plain(run.row)}</span>
            <span class="read">{readOf(run)}</span>
            <span class="how">
              {words.trim(run.trim)}, {words.level.toLowerCase()} {plain(run.level)}, {atTime(run.at)}
              {run.surface && `, ${run.surface}`}
              {run.left_out && `, ${words.isLeftOut}`}
              {run.note && <em> {run.note}</em>}
            </span>
            <span class="what">
              {!run.left_out && (
                <a href={hashOf({ page: 'robot', robotId: page.id, part: 'run', instead: run.id })} aria-label={words.mendRun(run.row)}>
                  {words.mend}
                </a>
              )}
              <button
                aria-label={run.left_out ? words.useAgainRun(run.row) : words.leaveOutRun(run.row)}
                onClick={() => void use(run.id, !run.left_out)}
              >
                {run.left_out ? words.useAgain : words.leaveOut}
              </button>
            </span>
          </li>
        ))}
      </ol>
    </section>
  );
}
