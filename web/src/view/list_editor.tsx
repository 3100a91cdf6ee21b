// The list of moves as text, with what the server has to say about each line at its place.

import { useEffect, useRef, useState } from 'preact/hooks';

import { api } from '../api';
import type { ListAnswer, ListCheck } from '../contract';
import { withTrueMinus } from '../numbers';
import type { Session } from '../session';
import { words } from '../words';
import { Field, More } from './fields';
import { Lead } from './lead';

const TYPING_PAUSE_MS = 250;

interface Props {
  listId: number;
  robotId: number;
  text: string;
  setText: (text: string) => void;
  heard: number;
  session: Session;
}

export function ListEditor({ listId, robotId, text, setText, heard, session }: Props) {
  const [kept, setKept] = useState<ListAnswer | null>(null);
  const [check, setCheck] = useState<ListCheck | null>(null);
  const area = useRef<HTMLTextAreaElement>(null);
  const now = useRef(text);
  now.current = text;
  // A list that changed elsewhere is shown, unless something of one's own would be lost.
  useEffect(() => {
    void session.tried(() => api.list(listId)).then((read) => {
      if (!read) return;
      if (kept !== null && now.current !== kept.text) return;
      setText(read.text);
      setKept(read);
    });
  }, [listId, heard]);
  useEffect(() => {
    const pause = window.setTimeout(() => {
      void session.tried(() => api.checkList(text, robotId)).then((read) => read && setCheck(read));
    }, TYPING_PAUSE_MS);
    return () => window.clearTimeout(pause);
  }, [text, robotId]);
  const save = async (): Promise<void> => {
    if (!kept) return;
    const done = await session.changing(() => api.changeList(listId, kept.name, text, kept.change));
    if (done) {
      setKept({ ...kept, text, change: done.change });
      session.say(words.listKept);
    }
  };
  const goTo = (line: number): void => {
    const from = text.split('\n').slice(0, line - 1).join('\n').length + (line > 1 ? 1 : 0);
    area.current?.focus();
    area.current?.setSelectionRange(from, from + (text.split('\n')[line - 1]?.length ?? 0));
  };
  const faults = check?.faults ?? [];
  // A move that is repeated is told once.
  const untrued = new Set((check?.moves ?? []).filter((m) => m.untrued !== '').map((m) => words.untrued(m.line, m.untrued)));
  // Nothing is typed before the list is there: it would be lost to what is read.
  if (kept === null) return <p class="quiet">{words.loading}</p>;
  return (
    <section class="list">
      <label for="list-text">{kept.name}</label>
      <NumberedText area={area} text={text} setText={setText} bad={new Set(faults.map((f) => f.line))} />
      <div id="list-told" aria-live="polite">
        {faults.map((f, i) => (
          <button key={i} class="fault" onClick={() => goTo(f.line)}>
            {words.faultAt(f.line, f.message)}
          </button>
        ))}
        {check && faults.length === 0 && <p class="quiet">{words.noFaults(check.moves.length)}</p>}
      </div>
      {[...untrued].map((text) => (
        <p key={text} class="quiet">
          {withTrueMinus(text)}
        </p>
      ))}
      <p class="quiet">{words.listHint}</p>
      <Presses check={check} />
      {text !== kept.text && (
        <p>
          <button onClick={() => void save()}>{words.keepList}</button>
        </p>
      )}
    </section>
  );
}

function NumberedText(props: {
  area: { current: HTMLTextAreaElement | null };
  text: string;
  setText: (text: string) => void;
  bad: Set<number>;
}) {
  const count = Math.max(6, props.text.split('\n').length);
  return (
    <div class="numbered">
      <div class="numbers" aria-hidden="true">
        {Array.from({ length: count }, (_, i) => (
          <span key={i} class={props.bad.has(i + 1) ? 'bad' : ''}>
            {i + 1}
          </span>
        ))}
      </div>
      <textarea
        id="list-text"
        ref={props.area}
        rows={count}
        wrap="off"
        spellcheck={false}
        autocapitalize="off"
        autocomplete="off"
        aria-describedby="list-told"
        value={props.text}
        onInput={(event) => props.setText(event.currentTarget.value)}
      />
    </div>
  );
}

function Presses({ check }: { check: ListCheck | null }) {
  const list = check?.press_list;
  if (!list) return null;
  return (
    <>
      <p class="quiet">{words.presses(list.count, list.limit, list.fits)}</p>
      <More title={words.pressesShow}>
        <p>{list.presses.join(', ')}</p>
      </More>
    </>
  );
}

export function NewList({ sentence, session, kept }: { sentence?: string; session: Session; kept: (id: number) => void }) {
  const [name, setName] = useState('');
  const make = async (): Promise<void> => {
    const made = await session.tried(() => api.addList(name.trim(), ''));
    if (!made) return;
    setName('');
    kept(made.id);
  };
  return (
    <form
      onSubmit={(event) => {
        event.preventDefault();
        if (name.trim()) void make();
      }}
    >
      {sentence && <Lead sentence={sentence} action={{ label: words.newList, go: () => undefined, off: name.trim() === '' }} />}
      <Field label={words.listName} value={name} set={setName} wide />
      {sentence ? (
        <p class="quiet">{words.listHint}</p>
      ) : (
        <p>
          <button>{words.newList}</button>
        </p>
      )}
    </form>
  );
}
