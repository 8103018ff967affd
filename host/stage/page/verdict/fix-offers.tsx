/** What is offered for a gap: each fix shows what it would come to before it is taken. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { percent } from '../../../load/words.ts';
import { columns, said } from '../state.ts';
import { applyFix, stopWork, tryFix } from './client.ts';
import { smallerAt } from './columns.ts';
import type { Cost, Fix, Fixed } from './fixes.ts';
import type { Gap } from './gaps.ts';

const NAMES: Readonly<Record<Fix['kind'], string>> = {
  follow: 'Until it follows',
  retime: 'Retime',
  soften: 'Soften',
  smaller: 'Smaller',
  smooth: 'Smooth',
};

/** The fix that is tried, and what came of it. */
const tried = signal<{ readonly fix: Fix; readonly fixed: Fixed | null } | null>(null);
/** The step that is being taken, in words. */
const step = signal('');
const BEGUN = 'it is being tried';

/** What each does, in words. */
const DOES: Readonly<Record<Fix['kind'], string>> = {
  follow: 'slows it where needed, then makes smaller what the prop still does not follow',
  retime: 'slows it where it asks for too much; marks keep their times',
  soften: 'eases the moves of joints that carry nothing',
  smaller: 'makes this stretch a fifth smaller',
  smooth: 'takes the shaking out of the whole take',
};

/** The fixes for a gap: `smaller` takes its joint's column, or all of the platform's where a leg is the cause. */
export function fixesFor(gap: Gap, all: readonly string[]): Fix[] {
  return [{ kind: 'follow' }, { kind: 'retime' }, { kind: 'soften' }, smallerAt(gap, all), { kind: 'smooth' }];
}

export function FixOffers({ gap }: { readonly gap: Gap }): JSX.Element {
  const run = async (fix: Fix): Promise<void> => {
    tried.value = { fix, fixed: null };
    step.value = BEGUN;
    const fixed = await tryFix(fix, (words) => (step.value = words));
    tried.value = fixed && { fix, fixed };
  };
  return (
    <div class="fixes">
      <p>{gap.words}.</p>
      {fixesFor(gap, columns.value).map((fix) => (
        <button key={fix.kind} type="button" title={DOES[fix.kind]} onClick={() => void run(fix)}>
          {NAMES[fix.kind]}
        </button>
      ))}
      {tried.value && <Tried {...tried.value} />}
    </div>
  );
}

const useWords = (use: number | null): string =>
  use === null ? 'unknown' : use === Infinity ? 'faster than a servo can go' : percent(use);
const costWords = ({ seconds, use }: Cost): string =>
  `${seconds.toFixed(1)} s, at worst ${useWords(use)} of a servo’s torque`;

const leftWords = (left: number): string =>
  left === 0
    ? ', and the simulated prop follows all of it'
    : `, and ${left === 1 ? '1 stretch is' : `${String(left)} stretches are`} still not followed`;

/** What a fix came to, in words. */
export const fixedWords = (fixed: Fixed): string =>
  'refused' in fixed
    ? `Nothing to do: ${fixed.refused}.`
    : `Before: ${costWords(fixed.before)}. After: ${costWords(fixed.after)}${'left' in fixed ? leftWords(fixed.left) : ''}.`;

function Tried({ fix, fixed }: { readonly fix: Fix; readonly fixed: Fixed | null }): JSX.Element {
  const drop = (): void => {
    stopWork();
    tried.value = null;
  };
  const take = (): void => {
    if (fixed) applyFix(fix, fixed);
    said.value = `${NAMES[fix.kind]}: done, and undone by undo`;
    tried.value = null;
  };
  return (
    <div class="tried" role="group" aria-label={`what ${NAMES[fix.kind]} comes to`}>
      <p>{`${NAMES[fix.kind]}: ${DOES[fix.kind]}.${fixed ? ` ${fixedWords(fixed)}` : ''}`}</p>
      {!fixed && <p aria-live="polite">{`Now: ${step.value} …`}</p>}
      {fixed && 'take' in fixed && (
        <button type="button" onClick={take}>
          Take it
        </button>
      )}
      <button type="button" onClick={drop}>
        {fixed ? 'Leave it' : 'Stop'}
      </button>
    </div>
  );
}
