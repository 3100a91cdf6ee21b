// Joining a set that another computer holds: one code, typed once.

import { useState } from 'preact/hooks';

import { api, Refused } from '../api';
import type { Session } from '../session';
import { words } from '../words';
import { Field } from './fields';
import { Lead } from './lead';

export function JoinView({ session }: { session: Session }) {
  const [code, setCode] = useState('');
  const [fault, setFault] = useState<string>();
  const join = async (): Promise<void> => {
    try {
      await api.join(code.trim());
      await session.begin();
    } catch (error) {
      setFault(error instanceof Refused ? error.message : words.lost);
    }
  };
  return (
    <form
      class="joining"
      onSubmit={(event) => {
        event.preventDefault();
        void join();
      }}
    >
      <Lead sentence={words.joinSentence} action={{ label: words.join, go: () => undefined, off: code.trim() === '' }} />
      <Field label={words.joinCode} value={code} set={setCode} fault={fault} more={{ autocapitalize: 'characters', class: 'code' }} />
    </form>
  );
}
