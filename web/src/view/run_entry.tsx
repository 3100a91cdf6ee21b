// A run, on the floor beside the robot: where the tape goes, what to set, and one reading at a time, in the order in which
// a person walks. The side is a picture, the size is typed.

import { useState } from 'preact/hooks';

import type { RobotPage, Run } from '../contract';
import {
  draftFor,
  draftOfRun,
  faultsOfStep,
  hasReading,
  readingsOf,
  runOf,
  stepsOf,
  tapeLies,
  type Draft,
  type DraftKind,
  type Faults,
  type Step,
} from '../entry';
import { dropDraft, keepDraft, keptDraft } from '../keep';
import type { Session } from '../session';
import { hashOf, type Route } from '../state';
import { words } from '../words';
import { Choice, Field, More } from './fields';
import { Lead } from './lead';
import { TapeDrawing, TrimScale } from './prepare';
import { ReadingFields, saying, type Put } from './reading';

interface Props {
  page: RobotPage;
  instead: number | undefined;
  session: Session;
}

export function RunEntryView({ page, instead, session }: Props) {
  const mended = page.runs.find((run) => run.id === instead) ?? null;
  const last = page.runs[page.runs.length - 1] ?? null;
  const tape = [...page.runs].reverse().find((run) => run.line_mm !== undefined) ?? null;
  const [draft, setDraft] = useState<Draft>(() => firstDraft(page, mended, last));
  const steps = mended ? readingsOf(draft) : stepsOf(draft, tape);
  const [wanted, setWanted] = useState<Step | null>(() => (hasReading(draft) ? (readingsOf(draft)[0] ?? null) : null));
  const [faults, setFaults] = useState<Faults>({});
  const at = Math.max(0, wanted === null ? 0 : steps.indexOf(wanted));
  const step = steps[at] ?? 'end';
  const home: Route = { page: 'robot', robotId: page.id, part: 'look' };
  const put: Put = (change) => {
    const changed = { ...draft, ...change };
    setDraft(changed);
    if (!mended) keepDraft(page.id, changed);
    setFaults(Object.fromEntries(Object.entries(faults).filter(([field]) => !(field in change))));
  };
  const forward = (now: Draft): void => {
    const read = runOf(now, page.robot);
    const found = 'faults' in read ? read.faults : {};
    const here = faultsOfStep(found, step);
    if (Object.keys(here).length) return setFaults(here);
    const next = steps[at + 1];
    if (next) return setWanted(next);
    if ('faults' in read) {
      setFaults(found);
      const first = steps.find((s) => Object.keys(faultsOfStep(found, s)).length);
      if (first) setWanted(first);
      return;
    }
    if (!mended) dropDraft(page.id);
    session.go(home);
    void session.saveRun(page.id, read.run, mended?.id);
  };
  const skip = (): void => {
    put({ half_unread: true });
    forward({ ...draft, half_unread: true });
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
      <Lead key={step} sentence={titleOf(step, draft, last)} action={{ label: words.nextStep[step], go: () => undefined }} />
      {step === 'tape' && <TapeDrawing draft={draft} />}
      {step === 'set' && <Setting draft={draft} page={page} last={last} tape={tape} />}
      {step !== 'tape' && step !== 'set' && (
        <>
          {(step === 'half' || step === 'end') && <p class="quiet">{words.measureHow}</p>}
          <ReadingFields key={step} step={step} draft={draft} put={put} faults={faults} />
        </>
      )}
      <p class="ways">
        {at > 0 && (
          <button type="button" onClick={() => setWanted(steps[at - 1] ?? null)}>
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
      <HowItWasRun draft={draft} put={put} faults={faults} />
    </form>
  );
}

// What was typed and not saved comes back, as long as something was read.
function firstDraft(page: RobotPage, mended: Run | null, last: Run | null): Draft {
  if (mended) return draftOfRun(mended);
  const asked = draftFor(page.robot, page.advice.next_run, last);
  const kept = { ...asked, ...keptDraft(page.id) };
  return hasReading(kept) ? kept : asked;
}

function titleOf(step: Step, draft: Draft, last: Run | null): string {
  if (step === 'tape') return words.tapeStep(draft.half_line_mm, draft.line_mm);
  if (step === 'set') return words.setStep(draft, last);
  return words.stepTitle[step](step === 'half' ? draft.half_line_mm : draft.line_mm);
}

function Setting({ draft, page, last, tape }: { draft: Draft; page: RobotPage; last: Run | null; tape: Run | null }) {
  return (
    <>
      <TrimScale draft={draft} range={page.robot.trim_range} before={last?.trim ?? null} />
      {draft.kind === 'lines' && tapeLies(draft, tape) && <p>{words.tapeStays(draft.half_line_mm, draft.line_mm)}</p>}
      <p class="caution">{words.runCaution}</p>
    </>
  );
}

function HowItWasRun({ draft, put, faults }: { draft: Draft; put: Put; faults: Faults }) {
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
    <More title={words.asRun(draft.trim, draft.level)} open={shown.some((name) => faults[name])}>
      <Choice
        label={words.kindLabel}
        value={draft.kind}
        options={(['lines', 'distance', 'turn'] as DraftKind[]).map((kind) => ({ value: kind, label: words.kinds[kind] }))}
        set={(kind) => put({ kind })}
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
