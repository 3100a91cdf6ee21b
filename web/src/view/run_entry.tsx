// Entering a run, on the floor beside the robot: one reading at a time, in the order in which a person walks past the
// lines. The side is a picture, the size is typed.

import { useLayoutEffect, useRef, useState } from 'preact/hooks';

import type { RobotPage } from '../contract';
import { draftFor, faultsOfStep, hasReading, runOf, stepsOf, withKey, type Draft, type DraftKind, type Faults, type Side, type Step } from '../entry';
import { dropDraft, keepDraft, keptDraft } from '../keep';
import type { Session } from '../session';
import { hashOf, type Route } from '../state';
import { words } from '../words';
import { Choice, Field, More } from './fields';
import { Lead } from './lead';
import { SidePicture } from './marks';

type Put = (change: Partial<Draft>) => void;

export function RunEntryView({ page, session }: { page: RobotPage; session: Session }) {
  const [draft, setDraft] = useState<Draft>(() => {
    const asked = draftFor(page.robot, page.advice.next_run, page.runs[page.runs.length - 1] ?? null);
    const kept = { ...asked, ...keptDraft(page.id) };
    return hasReading(kept) ? kept : asked;
  });
  const [at, setAt] = useState(0);
  const [faults, setFaults] = useState<Faults>({});
  const steps = stepsOf(draft);
  const step = steps[Math.min(at, steps.length - 1)] ?? 'end';
  const home: Route = { page: 'robot', robotId: page.id, part: 'look' };
  const put: Put = (change) => {
    const changed = { ...draft, ...change };
    setDraft(changed);
    keepDraft(page.id, changed);
    setFaults(Object.fromEntries(Object.entries(faults).filter(([field]) => !(field in change))));
  };
  const forward = (now: Draft): void => {
    const read = runOf(now, page.robot);
    const found = 'faults' in read ? read.faults : {};
    const here = faultsOfStep(found, step);
    if (Object.keys(here).length) return setFaults(here);
    if (at + 1 < steps.length) return setAt(at + 1);
    if ('faults' in read) {
      setFaults(found);
      const first = steps.findIndex((s) => Object.keys(faultsOfStep(found, s)).length);
      if (first >= 0) setAt(first);
      return;
    }
    dropDraft(page.id);
    session.go(home);
    void session.saveRun(page.id, read.run);
  };
  const skip = (): void => {
    const changed = { ...draft, half_unread: true };
    put({ half_unread: true });
    forward(changed);
  };
  return (
    <form
      noValidate
      class="entry"
      onSubmit={(event) => {
        event.preventDefault();
        const now = step === 'half' ? { ...draft, half_unread: false } : draft;
        if (step === 'half') put({ half_unread: false });
        forward(now);
      }}
    >
      <Lead key={step} sentence={titleOf(step, draft)} action={{ label: words.nextStep[step], go: () => undefined }} />
      <p class="quiet">
        {words.asRun(draft.trim, draft.level)}
      </p>
      <Reading key={step} step={step} draft={draft} put={put} faults={faults} />
      <p class="ways">
        {at > 0 && (
          <button type="button" onClick={() => setAt(at - 1)}>
            {words.backStep}
          </button>
        )}
        {step === 'half' && (
          <button type="button" onClick={skip}>
            {words.unread}
          </button>
        )}
        <a href={hashOf(home)}>{words.leaveEntry}</a>
      </p>
      <HowItWasRun draft={draft} put={put} faults={faults} restart={() => setAt(0)} />
    </form>
  );
}

function titleOf(step: Step, draft: Draft): string {
  if (step === 'half') return words.stepTitle.half(draft.half_line_mm);
  if (step === 'end') return words.stepTitle.end(draft.line_mm);
  return words.stepTitle[step];
}

const saying = (faults: Faults, field: keyof Draft): string | undefined => faults[field] && words.faults[faults[field]];

// The two halves, the number, and on a touch screen the keys.
function Reading({ step, draft, put, faults }: { step: Step; draft: Draft; put: Put; faults: Faults }) {
  const fields = {
    half: { size: 'half_sideways_mm', side: 'half_side', label: words.howFar },
    end: { size: 'sideways_mm', side: 'side', label: words.howFar },
    distance: { size: 'distance_mm', side: null, label: words.howFar },
    turn: { size: 'turned_deg', side: 'turn_side', label: words.howFarRound },
  } as const;
  const { size, side, label } = fields[step];
  const place = useRef<HTMLDivElement>(null);
  // By keyboard: the side first (space or arrows), Tab, the number, Enter.
  useLayoutEffect(() => place.current?.querySelector('input')?.focus({ preventScroll: true }), [step]);
  return (
    <div class="reading" ref={place}>
      {side && (
        <Halves
          name={side}
          turn={step === 'turn'}
          chosen={draft[side]}
          choose={(chosen) => put({ [side]: chosen })}
          fault={saying(faults, side)}
        />
      )}
      {step !== 'half' && step !== 'end' && (
        <Field label={words.howLong} value={draft.seconds} set={(seconds) => put({ seconds })} fault={saying(faults, 'seconds')} numeric />
      )}
      <Amount label={label} value={draft[size]} set={(text) => put({ [size]: text })} fault={saying(faults, size)} />
    </div>
  );
}

function Halves(props: { name: string; turn: boolean; chosen: Side | null; choose: (side: Side) => void; fault: string | undefined }) {
  const said = props.turn ? words.turned : words.bent;
  return (
    <fieldset class="halves">
      <legend>{props.turn ? words.whichTurn : words.whichSide}</legend>
      {(['left', 'right'] as const).map((side) => (
        <label key={side} class={props.chosen === side ? 'chosen' : ''}>
          <input
            type="radio"
            name={props.name}
            checked={props.chosen === side}
            {...(props.fault ? { 'aria-describedby': 'side-fault' } : {})}
            onChange={() => props.choose(side)}
          />
          <SidePicture side={side} turn={props.turn} />
          <span>{said[side]}</span>
        </label>
      ))}
      {props.fault && (
        <p class="fault" id="side-fault">
          {props.fault}
        </p>
      )}
    </fieldset>
  );
}

const KEYS = ['1', '2', '3', '4', '5', '6', '7', '8', '9', ',', '0', 'back'];

function Amount({ label, value, set, fault }: { label: string; value: string; set: (text: string) => void; fault: string | undefined }) {
  // With keys of our own the device's keyboard stays away.
  const touch = useRef(window.matchMedia('(pointer: coarse)').matches).current;
  return (
    <div class="amount">
      <Field label={label} value={value} set={set} fault={fault} numeric more={touch ? { inputMode: 'none' } : {}} />
      {touch && (
        <div class="pad" role="group" aria-label={words.keypad}>
          {KEYS.map((key) => (
            <button key={key} type="button" aria-label={key === 'back' ? words.keyBack : key} onClick={() => set(withKey(value, key))}>
              {key === 'back' ? '←' : key}
            </button>
          ))}
        </div>
      )}
    </div>
  );
}

function HowItWasRun({ draft, put, faults, restart }: { draft: Draft; put: Put; faults: Faults; restart: () => void }) {
  const shown = ['trim', 'level', 'half_line_mm', 'line_mm', 'battery_v'] as const;
  const field = (name: keyof Draft, label: string, hint?: string, numeric = true) => (
    <Field
      label={label}
      value={String(draft[name] ?? '')}
      set={(text) => put({ [name]: text })}
      hint={hint}
      fault={saying(faults, name)}
      numeric={numeric}
    />
  );
  return (
    <More title={words.asAsked} open={shown.some((name) => faults[name])}>
      <Choice
        label={words.kindLabel}
        value={draft.kind}
        options={(['lines', 'distance', 'turn'] as DraftKind[]).map((kind) => ({ value: kind, label: words.kinds[kind] }))}
        set={(kind) => {
          put({ kind });
          restart();
        }}
      />
      <div class="fields">
        {field('trim', words.trimField)}
        {field('level', words.level)}
        {draft.kind === 'lines' && field('half_line_mm', words.halfLine)}
        {draft.kind === 'lines' && field('line_mm', words.endLine, words.endLineHint)}
        {field('battery_v', words.battery, words.optional)}
        {field('surface', words.surface, words.optional, false)}
        {field('note', words.note, words.optional, false)}
      </div>
    </More>
  );
}
