// What this device keeps by itself: runs that wait for the server, and the run being typed.

import type { Draft } from './entry';
import { readWaiting, type WaitingRun } from './state';

const WAITING = 'runtrue.waiting';
const draftName = (robotId: number): string => `runtrue.draft.${robotId}`;

// A device that keeps nothing (private window, full storage) still works: what can't be kept is only less safe.
function put(name: string, text: string | null): boolean {
  try {
    if (text === null) localStorage.removeItem(name);
    else localStorage.setItem(name, text);
    return true;
  } catch {
    return false;
  }
}
function get(name: string): string | null {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

export const waitingRuns = (): WaitingRun[] => readWaiting(get(WAITING));

// Every change reads first, so that two open pages of this device don't overwrite each other's runs.
export function keepWaiting(run: WaitingRun): boolean {
  return put(WAITING, JSON.stringify([...waitingRuns().filter((w) => w.key !== run.key), run]));
}
export function dropWaiting(key: string): void {
  put(WAITING, JSON.stringify(waitingRuns().filter((w) => w.key !== key)));
}

export const keepDraft = (robotId: number, draft: Draft): boolean => put(draftName(robotId), JSON.stringify(draft));
export const dropDraft = (robotId: number): boolean => put(draftName(robotId), null);
export function keptDraft(robotId: number): Partial<Draft> | null {
  try {
    return JSON.parse(get(draftName(robotId)) ?? 'null') as Partial<Draft> | null;
  } catch {
    return null;
  }
}

// Random enough that no two runs ever share it; works on plain http, where randomUUID doesn't.
export function newKey(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, '0')).join('');
}
