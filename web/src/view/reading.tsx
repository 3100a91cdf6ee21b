// One reading: the two halves of the floor as the person sees them, the size that is typed, and on a touch screen the keys.

import { useLayoutEffect, useRef } from 'preact/hooks';

import { sizeTyped, withKey, type Draft, type Faults, type Reading, type Side } from '../entry';
import { words } from '../words';
import { Field } from './fields';
import { FloorHalf, TurnPicture } from './marks';

export type Put = (change: Partial<Draft>) => void;

export const saying = (faults: Faults, field: keyof Draft): string | undefined => faults[field] && words.faults[faults[field]];

const FIELDS = {
  half: { size: 'half_sideways_mm', side: 'half_side', label: words.howFar },
  end: { size: 'sideways_mm', side: 'side', label: words.howFar },
  distance: { size: 'distance_mm', side: null, label: words.howFar },
  turn: { size: 'turned_deg', side: 'turn_side', label: words.howFarRound },
} as const;

export function ReadingFields({ step, draft, put, faults }: { step: Reading; draft: Draft; put: Put; faults: Faults }) {
  const { size, side, label } = FIELDS[step];
  const place = useRef<HTMLDivElement>(null);
  // By keyboard: the side first (space or arrows), Tab, the number, Enter.
  useLayoutEffect(() => place.current?.querySelector('input')?.focus({ preventScroll: true }), [step]);
  return (
    <div class="reading" ref={place}>
      {side && (
        <Halves
          name={side}
          step={step}
          draft={draft}
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

interface HalvesProps {
  name: string;
  step: Reading;
  draft: Draft;
  chosen: Side | null;
  choose: (side: Side) => void;
  fault: string | undefined;
}

function Halves({ name, step, draft, chosen, choose, fault }: HalvesProps) {
  const turn = step === 'turn';
  const said = turn ? words.turned : words.bent;
  const typed = sizeTyped(step === 'half' ? draft.half_sideways_mm : draft.sideways_mm);
  const lines = [sizeTyped(draft.half_line_mm) ?? 0, sizeTyped(draft.line_mm) ?? 0] as const;
  return (
    <fieldset class="halves">
      <legend>{turn ? words.whichTurn : words.whichSide}</legend>
      {(['left', 'right'] as const).map((side) => (
        <label key={side} class={chosen === side ? 'chosen' : ''}>
          <input
            type="radio"
            name={name}
            checked={chosen === side}
            {...(fault ? { 'aria-describedby': 'side-fault' } : {})}
            onChange={() => choose(side)}
          />
          {turn ? (
            <TurnPicture side={side} />
          ) : (
            <FloorHalf side={side} lines={draft.half_unread ? [lines[1]] : [...lines]} at={step === 'half' ? lines[0] : lines[1]} typed={typed} />
          )}
          <span>{said[side]}</span>
        </label>
      ))}
      {fault && (
        <p class="fault" id="side-fault">
          {fault}
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
