// The start typed in, for those who measured it with a tape.

import { useEffect, useState } from 'preact/hooks';

import type { Pose } from '../contract';
import { fieldText, parseNumber } from '../numbers';
import { words } from '../words';
import { Field } from './fields';

const FIELDS = [
  { key: 'x_mm', unit: 'mm', label: words.startX },
  { key: 'y_mm', unit: 'mm', label: words.startY },
  { key: 'heading_deg', unit: 'deg', label: words.startHeading, hint: words.headingHint },
] as const;

export function StartFields({ start, move }: { start: Pose; move: (start: Pose) => void }) {
  return (
    <div class="fields three">
      {FIELDS.map(({ key, unit, label, ...more }) => (
        <PoseField key={key} label={label} unit={unit} {...more} value={start[key]} set={(value) => move({ ...start, [key]: value })} />
      ))}
    </div>
  );
}

function PoseField(props: { label: string; hint?: string; unit: 'mm' | 'deg'; value: number; set: (value: number) => void }) {
  const [text, setText] = useState(fieldText(props.value));
  const parsed = parseNumber(text, props.unit);
  // Follows the drag, but leaves what is being typed alone as long as it says the same number.
  useEffect(() => {
    const said = parseNumber(text, props.unit);
    if (!said.ok || said.value !== props.value) setText(fieldText(props.value));
  }, [props.value]);
  return (
    <Field
      label={props.label}
      hint={props.hint}
      value={text}
      set={(typed) => {
        setText(typed);
        const read = parseNumber(typed, props.unit);
        if (read.ok) props.set(read.value);
      }}
      fault={parsed.ok ? undefined : words.fieldNumber}
      numeric
    />
  );
}
