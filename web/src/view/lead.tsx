// The head of every page: one plain sentence, and beside it the one main action (on a phone at the thumb).

import type { ComponentChildren } from 'preact';
import { useLayoutEffect, useRef } from 'preact/hooks';

import { withTrueMinus } from '../numbers';

interface Action {
  label: string;
  go: () => void;
  off?: boolean;
}

export function Lead(props: { sentence: string; action?: Action | undefined; children?: ComponentChildren }) {
  const heading = useRef<HTMLHeadingElement>(null);
  // A new page is read from its sentence on.
  useLayoutEffect(() => heading.current?.focus({ preventScroll: true }), []);
  const action = props.action;
  return (
    <div class="lead">
      <h1 ref={heading} tabIndex={-1}>
        {withTrueMinus(props.sentence)}
      </h1>
      {action && (
        <div class="act">
          <button class="main" disabled={action.off ?? false} onClick={action.go}>
            {action.label}
          </button>
        </div>
      )}
      {props.children}
    </div>
  );
}
