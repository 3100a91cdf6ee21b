// Fields with their label, hint and fault in place; a fault is tied to its field for those who don't see it.

import type { ComponentChildren, JSX } from 'preact';
import { useId } from 'preact/hooks';

interface FieldProps {
  label: string;
  value: string;
  set: (text: string) => void;
  hint?: string | undefined;
  fault?: string | undefined;
  numeric?: boolean;
  wide?: boolean;
  more?: JSX.IntrinsicElements['input'];
}

export function Field({ label, value, set, hint, fault, numeric, wide, more }: FieldProps) {
  const id = useId();
  const told = [hint && `${id}-hint`, fault && `${id}-fault`].filter(Boolean).join(' ');
  return (
    <p class={`field${wide ? ' wide' : ''}`}>
      <label for={id}>{label}</label>
      <input
        id={id}
        value={value}
        autocomplete="off"
        {...(numeric ? { inputMode: 'decimal' as const, class: 'number' } : {})}
        {...(told ? { 'aria-describedby': told } : {})}
        {...(fault ? { 'aria-invalid': true } : {})}
        onInput={(event) => set(event.currentTarget.value)}
        {...more}
      />
      {hint && (
        <span class="hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      {fault && (
        <span class="fault" id={`${id}-fault`}>
          {fault}
        </span>
      )}
    </p>
  );
}

export function Choice<T extends string | number>(props: {
  label: string;
  value: T | null;
  options: { value: T; label: string }[];
  set: (value: T) => void;
}) {
  const id = useId();
  return (
    <p class="field">
      <label for={id}>{props.label}</label>
      <select
        id={id}
        value={props.value ?? undefined}
        onChange={(event) => {
          const chosen = props.options[event.currentTarget.selectedIndex];
          if (chosen) props.set(chosen.value);
        }}
      >
        {props.options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.label}
          </option>
        ))}
      </select>
    </p>
  );
}

export function More(props: { title: string; open?: boolean; children: ComponentChildren }) {
  return (
    <details open={props.open ?? false}>
      <summary>{props.title}</summary>
      {props.children}
    </details>
  );
}
