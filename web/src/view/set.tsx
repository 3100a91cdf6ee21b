// The set: every robot with its shape, its word and what it needs; the next one to take in hand is the main action.

import type { RobotLine, SetAnswer } from '../contract';
import { withTrueMinus } from '../numbers';
import type { Session } from '../session';
import { countBy, hashOf, nextRobot } from '../state';
import { words } from '../words';
import { Lead } from './lead';
import { StateMark } from './marks';

export function SetView({ set, session }: { set: SetAnswer; session: Session }) {
  const next = nextRobot(set.robots);
  const add = { label: words.addRobot, go: () => session.go({ page: 'new-robot' }) };
  const action = next
    ? { label: words.goTo(next.name), go: () => session.go({ page: 'robot', robotId: next.id, part: 'look' }) }
    : add;
  return (
    <>
      <Lead sentence={words.setSentence(countBy(set.robots), next?.name ?? null)} action={action} />
      {set.robots.length > 0 && (
        <ul class="robots" aria-label={words.robots}>
          {set.robots.map((robot) => (
            <Row key={robot.id} robot={robot} />
          ))}
        </ul>
      )}
      {next && (
        <p>
          <button onClick={add.go}>{add.label}</button>
        </p>
      )}
    </>
  );
}

function Row({ robot }: { robot: RobotLine }) {
  return (
    <li class={robot.state}>
      <a href={hashOf({ page: 'robot', robotId: robot.id, part: 'look' })}>
        <StateMark state={robot.state} side={(robot.last_drift_mm_per_m ?? 0) > 0 ? 'left' : 'right'} label={words.states[robot.state]} />
        <span class="name">{robot.name}</span>
        <span class="word">{robot.word}</span>
      </a>
      <p>{withTrueMinus(robot.sentence)}</p>
    </li>
  );
}
