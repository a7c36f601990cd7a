import { useEffect, useRef, useState } from 'preact/hooks';
import type { Action, Field, StepName, StepView } from '../messages.ts';
import { StepDrawing } from './drawings.tsx';
import { ask, type Feed } from './feed.ts';
import { printNight } from './nightSheet.ts';

/** The steps of the night as a sheet: one open at a time, each with its figure in the margin. */
export function StepsPanel({ feed }: { feed: Feed }) {
  const steps = feed.sheet?.steps ?? [];
  const [chosen, setChosen] = useState<StepName | 'none' | undefined>(undefined);
  const first = (wanted: StepView['status']): StepView | undefined => steps.find(({ status }) => status === wanted);
  const list = useRef<HTMLOListElement>(null);
  const coming = feed.hello?.next;
  const current = chosen ?? first('under way')?.name ?? coming?.sheet ?? (first('to do') ?? steps.at(0))?.name;
  // the button that led here is gone: who walks by keys goes on from the step that it opened
  const wantsFocus = useRef(false);
  useEffect(() => {
    const heading = list.current?.querySelector<HTMLButtonElement>('[aria-expanded=true]');
    if (wantsFocus.current) heading?.focus({ preventScroll: true });
    wantsFocus.current = false;
    heading?.scrollIntoView({ block: 'start' });
  }, [current]);
  return (
    <>
      <h2>Steps of the night</h2>
      {coming && (
        <p class="coming">
          <strong>{coming.title}</strong> {coming.reason}
        </p>
      )}
      {coming?.sheet && coming.sheet !== current && (
        <button
          class="large to-coming"
          onClick={() => {
            setChosen(coming.sheet);
            wantsFocus.current = true;
          }}
        >
          Go to it
        </button>
      )}
      {feed.hello?.notes.map((note) => (
        <p key={note} class="notes">
          {note}
        </p>
      ))}
      <ol class="sheet" ref={list}>
        {steps.map((step) => (
          <li key={step.name} class={`step ${step.status.replaceAll(' ', '-')}`}>
            <h3>
              <button
                aria-expanded={current === step.name}
                onClick={() => setChosen(current === step.name ? 'none' : step.name)}
              >
                <span class="title">{step.title}</span>
                <span class="margin">{step.figure || step.status}</span>
              </button>
            </h3>
            {current === step.name && (
              <Step step={step} isNext={coming?.sheet === step.name} onAct={() => setChosen(step.name)} />
            )}
          </li>
        ))}
      </ol>
    </>
  );
}

/** A step in which a button was pressed stays open, whatever comes under way elsewhere. */
function Step({ step, isNext, onAct }: { step: StepView; isNext: boolean; onAct: () => void }) {
  const [typed, setTyped] = useState<Record<string, string>>({});
  const [fault, setFault] = useState<string | undefined>(undefined);
  const fields = Object.fromEntries(step.fields.map(({ name, value }) => [name, typed[name] ?? value]));
  const act = (action: string): void => {
    onAct();
    void ask(`/api/steps/${step.name}`, { action, fields }).then((refused) => {
      setFault(refused);
      if (refused === undefined) setTyped({});
    });
  };
  const main = mainOf(step, isNext);
  const print = (): void => void printNight().then(setFault);
  return (
    <div class="open">
      {step.cautions.map((caution) => (
        <p key={caution} class="caution">
          <strong>Caution.</strong> {caution}
        </p>
      ))}
      {step.toDo.map((sentence, index) => (
        <p key={index} class={index === 0 ? 'to-do first' : 'to-do'}>
          {sentence}
        </p>
      ))}
      {step.fields.map((field) => (
        <Entry
          key={field.name}
          field={field}
          value={fields[field.name]}
          onType={(text) => setTyped({ ...typed, [field.name]: text })}
        />
      ))}
      <Buttons actions={step.actions.filter((action) => action !== main)} act={act} />
      {fault && (
        <p class="fault" role="alert">
          {fault}
        </p>
      )}
      {step.drawing && <StepDrawing drawing={step.drawing} />}
      {step.measured.length > 0 && (
        <dl class="measured">
          {step.measured.map(({ label, value }) => (
            <div key={label}>
              <dt>{label}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
      )}
      {step.howSure && <p class="how-sure">{step.howSure}</p>}
      {step.next && <p class="next">{step.next}</p>}
      {main && (
        <div class="row pinned">
          <button class={`large main${main.byHands ? ' hands' : ''}`} onClick={() => act(main.name)}>
            {main.label}
          </button>
        </div>
      )}
      {step.name === 'answer' && step.measured.length > 0 && (
        <div class="row pinned">
          <button class="large main" onClick={print}>
            Print the night sheet
          </button>
        </div>
      )}
    </div>
  );
}

/**
 * The one large button: what the step names, else what virtual hands can do, since nobody else turns a virtual board. Once a step is
 * done, none invites to do it again, unless it comes next once more.
 */
function mainOf({ actions, status }: StepView, isNext: boolean): Action | undefined {
  const named = actions.find(({ isMain }) => isMain);
  if (named || (status === 'done' && !isNext)) return named;
  return (
    actions.find(({ byHands }) => byHands) ?? actions.find(({ name, isMain }) => isMain !== false && name !== 'cancel')
  );
}

/** Keyboards for numbers have no sign on some telephones, so a number that may be below zero has a button for it. */
function Entry({ field, value, onType }: { field: Field; value: string; onType(text: string): void }) {
  const id = `entry-${field.name}`;
  return (
    <div class="entry">
      <label for={id}>{field.label}</label>
      <div class="typed">
        <input
          id={id}
          value={value}
          placeholder={`such as ${field.hint}`}
          autocomplete="off"
          autocapitalize="off"
          spellcheck={false}
          inputMode={field.number ? 'decimal' : undefined}
          onInput={(event) => onType(event.currentTarget.value)}
        />
        {field.number === 'signed' && (
          <button
            type="button"
            aria-label={`Change the sign of ${field.label}`}
            onClick={() => onType(/^\s*[-−]/.test(value) ? value.replace(/^\s*[-−]/, '') : `-${value}`)}
          >
            +/−
          </button>
        )}
      </div>
    </div>
  );
}

function Buttons({ actions, act }: { actions: readonly Action[]; act(name: string): void }) {
  if (actions.length === 0) return null;
  return (
    <div class="row">
      {actions.map(({ name, label, byHands }) => (
        <button key={name} class={`large${byHands ? ' hands' : ''}`} onClick={() => act(name)}>
          {label}
        </button>
      ))}
    </div>
  );
}
