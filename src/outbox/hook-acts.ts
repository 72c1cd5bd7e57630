import type { z } from 'zod';
import type { Act } from '../platform/acts.ts';
import { found, refuse } from '../platform/refusal.ts';
import type { HookChangeForm, HookForm } from './hook-forms.ts';
import { isHookKind, storedWords, TEST_CALL } from './kinds.ts';
import { tellsAnybody, tellsFromNow } from './store.ts';
import { payloadOf } from './tell-hooks.ts';

/** The log is never changed and everyone of the shop reads it: a hook stands in it by its number, not by its address. */
const thing = (id: number) => ({ type: 'hook', id });

/** What a page showed of a hook, so that the second of two editors is told. */
export function hookSeen(hook: { kinds: string; note: string }): string {
  return `${storedWords(hook.kinds).join(' ')} | ${hook.note}`;
}

async function readHook(act: Act, hookId: number) {
  const hook = await act.tx.hook.findUnique({ where: { id: hookId } });
  return found(hook?.removedAt ? null : hook, 'There is no such hook.');
}

/** Adds an address; it is told what happens from now on. @returns the hook's id */
export async function addHook(act: Act, { url, kinds, note }: z.output<typeof HookForm>): Promise<number> {
  const told = await tellsAnybody(act.tx);
  const { id } = await act.tx.hook.create({
    data: { url, kinds: JSON.stringify(kinds), note, createdAt: act.at },
  });
  if (!told) await tellsFromNow(act.tx);
  await act.log({ kind: 'add-hook', thing: thing(id), after: { kinds } });
  return id;
}

/** Changes what a hook is told. */
export async function changeHook(
  act: Act,
  hookId: number,
  { kinds, note, seen }: z.output<typeof HookChangeForm>,
): Promise<void> {
  const hook = await readHook(act, hookId);
  if (hookSeen(hook) !== seen) {
    refuse(
      'changed-meanwhile',
      'Somebody changed this hook meanwhile. Yours is below, not kept; load the page anew to see theirs.',
    );
  }
  await act.tx.hook.update({ where: { id: hookId }, data: { kinds: JSON.stringify(kinds), note } });
  await act.log({
    kind: 'change-hook',
    thing: thing(hookId),
    before: { kinds: storedWords(hook.kinds).filter(isHookKind) },
    after: { kinds },
  });
}

/** A paused hook is told nothing, nor later of what happened meanwhile; what waited for it waits on. */
export async function pauseHook(act: Act, hookId: number): Promise<void> {
  const hook = await readHook(act, hookId);
  if (hook.pausedAt) refuse('paused', 'This hook is paused already.');
  await act.tx.hook.update({ where: { id: hookId }, data: { pausedAt: act.at } });
  await act.log({ kind: 'pause-hook', thing: thing(hookId) });
}

export async function resumeHook(act: Act, hookId: number): Promise<void> {
  const hook = await readHook(act, hookId);
  if (!hook.pausedAt) refuse('not-paused', 'This hook is not paused.');
  const told = await tellsAnybody(act.tx);
  await act.tx.hook.update({ where: { id: hookId }, data: { pausedAt: null } });
  if (!told) await tellsFromNow(act.tx);
  await act.log({ kind: 'resume-hook', thing: thing(hookId) });
}

/** Takes a hook off for good; what waits for it is dropped. */
export async function removeHook(act: Act, hookId: number): Promise<void> {
  await readHook(act, hookId);
  await act.tx.hook.update({ where: { id: hookId }, data: { removedAt: act.at } });
  await act.tx.hookCall.updateMany({
    where: { hookId, state: 'waiting' },
    data: { state: 'dropped', settledAt: act.at, payload: '' },
  });
  await act.log({ kind: 'remove-hook', thing: thing(hookId) });
}

/** Signs from now on with another key. @returns the turn that the new key is worked out with */
export async function renewHookKey(act: Act, hookId: number): Promise<number> {
  const hook = await readHook(act, hookId);
  const turn = hook.turn + 1;
  await act.tx.hook.update({ where: { id: hookId }, data: { turn } });
  await act.log({ kind: 'renew-hook-key', thing: thing(hookId) });
  return turn;
}

/** Calls a hook with nothing but a test. */
export async function tryHook(act: Act, hookId: number): Promise<void> {
  const hook = await readHook(act, hookId);
  if (hook.pausedAt) refuse('paused', 'This hook is paused. Let it go on first.');
  await act.tx.hookCall.create({
    data: {
      hookId,
      key: `${TEST_CALL}:${act.at.toISOString()}`,
      payload: payloadOf({ type: TEST_CALL, at: act.at, data: {} }),
      nextAt: act.at,
      createdAt: act.at,
    },
  });
  // What waits is tried at once too.
  await act.tx.hookCall.updateMany({ where: { hookId, state: 'waiting' }, data: { nextAt: act.at } });
  await act.log({ kind: 'try-hook', thing: thing(hookId) });
}
