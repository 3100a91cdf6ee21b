// Ties what the page knows to the server and to this device: reads, listens, sends what waits.

import { api, listen, OutOfReach, Refused } from './api';
import type { ChangeNotice, RobotPage, RunBody } from './contract';
import { dropWaiting, keepWaiting, newKey, waitingRuns } from './keep';
import { after, emptyState, hashOf, parseRoute, type AppState, type Event, type Route, type WaitingRun } from './state';

// A notice without any id may touch everything.
function touches(notice: ChangeNotice, robotId: number): boolean {
  return notice.robot_id === robotId || (notice.robot_id ?? notice.table_id ?? notice.list_id ?? null) === null;
}

const SEND_AGAIN_MS = 5000;

export class Session {
  private state = emptyState(parseRoute(location.hash));
  private readonly watchers = new Set<(state: AppState) => void>();
  private sending = false;
  private sendAgain = 0;
  // Reads are counted, so that an answer that comes late doesn't hide a newer one.
  private readsBegun = 0;
  private readonly shown: Record<string, number> = {};
  private stopListening: (() => void) | null = null;

  now(): AppState {
    return this.state;
  }
  watch(watcher: (state: AppState) => void): () => void {
    this.watchers.add(watcher);
    return () => this.watchers.delete(watcher);
  }
  private take(event: Event): void {
    this.state = after(this.state, event);
    for (const watcher of this.watchers) watcher(this.state);
  }

  start(): void {
    window.addEventListener('hashchange', () => {
      this.take({ type: 'went', route: parseRoute(location.hash) });
      window.scrollTo(0, 0);
      void this.readRobot();
    });
    window.addEventListener('online', () => void this.readAll());
    for (const run of waitingRuns()) this.take({ type: 'waits', run });
    void this.begin();
  }
  // Reads, and from that change on listens; where this device isn't let in yet, after it has joined.
  async begin(): Promise<void> {
    this.take({ type: 'joined', is: true });
    await this.readAll();
    if (!this.state.joined) return;
    this.stopListening?.();
    this.stopListening = listen(this.state.set?.change ?? 0, {
      again: () => void this.readAll(),
      lost: () => this.lost(),
      changed: (notice) => {
        this.take({ type: 'heard', notice });
        void this.readSet();
        const id = this.shownRobot();
        if (id !== null && touches(notice, id)) void this.readRobot();
      },
    });
  }
  go(route: Route): void {
    location.hash = hashOf(route);
  }
  say(text: string | null): void {
    this.take({ type: 'note', text });
  }

  private lost(): void {
    this.take({ type: 'connection', is: 'lost' });
    // The stream also breaks when this device is no longer let in.
    void api.joined().then(
      (answer) => {
        if (!answer.joined) this.take({ type: 'joined', is: false });
      },
      () => undefined,
    );
  }
  // Runs a request; when the server is out of reach that is said in the connection line, not thrown.
  async tried<T>(request: () => Promise<T>): Promise<T | null> {
    try {
      const answer = await request();
      if (this.state.connection !== 'live') this.take({ type: 'connection', is: 'live' });
      return answer;
    } catch (error) {
      if (error instanceof OutOfReach) this.take({ type: 'connection', is: 'lost' });
      else if (error instanceof Refused && error.status === 403) this.take({ type: 'joined', is: false });
      else if (error instanceof Refused) this.take({ type: 'note', text: error.message });
      else throw error;
      return null;
    }
  }
  // The same for a request that changes something: the way to take it back then stands at the top.
  async changing<T>(request: () => Promise<T>): Promise<T | null> {
    const answer = await this.tried(request);
    if (answer !== null) this.take({ type: 'changed-here', is: true });
    return answer;
  }
  private async readAll(): Promise<void> {
    await Promise.all([this.readSet(), this.readRobot()]);
    this.take({ type: 'heard', notice: { change: 0 } });
    await this.sendWaiting();
  }
  private async readSet(): Promise<void> {
    const read = ++this.readsBegun;
    const set = await this.tried(api.set);
    if (set && this.isNewest('set', read)) this.take({ type: 'set-read', set });
  }
  private shownRobot(): number | null {
    return this.state.route.page === 'robot' ? this.state.route.robotId : null;
  }
  private async readRobot(): Promise<void> {
    const id = this.shownRobot();
    if (id === null) return;
    const read = ++this.readsBegun;
    const page = await this.tried(() =>
      api.robot(id).catch((error: unknown) => {
        if (error instanceof Refused && error.status === 404) this.take({ type: 'robot-gone', id });
        throw error;
      }),
    );
    if (page && this.isNewest(`robot ${id}`, read)) this.showRobot(page);
  }
  private isNewest(what: string, read: number): boolean {
    if (read < (this.shown[what] ?? 0)) return false;
    this.shown[what] = read;
    return true;
  }
  showRobot(page: RobotPage): void {
    this.take({ type: 'robot-read', page });
  }

  // Keeps the run on this device first, then sends it: whatever happens in between, it isn't lost.
  async saveRun(robotId: number, run: RunBody, instead?: number): Promise<void> {
    const typedAt = new Date().toISOString();
    const waiting: WaitingRun = { key: newKey(), robotId, run, typedAt, refusal: null, ...(instead ? { instead } : {}) };
    keepWaiting(waiting);
    this.take({ type: 'waits', run: waiting });
    await this.sendWaiting();
  }
  dropRun(key: string): void {
    dropWaiting(key);
    this.take({ type: 'arrived', key });
  }
  private async sendWaiting(): Promise<void> {
    if (this.sending) return;
    this.sending = true;
    try {
      for (;;) {
        const next = this.state.waiting.find((w) => w.refusal === null);
        if (!next) break;
        if (await this.sendOne(next)) continue;
        window.clearTimeout(this.sendAgain);
        this.sendAgain = window.setTimeout(() => void this.sendWaiting(), SEND_AGAIN_MS);
        break;
      }
    } finally {
      this.sending = false;
    }
  }
  // Whether the server can be reached. A run it refuses is kept with the reason, for the person to decide.
  private async sendOne(waiting: WaitingRun): Promise<boolean> {
    try {
      // Sent twice where the answer got lost, both do no more than once.
      let answer: { page: RobotPage } = await api.addRun(waiting.robotId, waiting.run, waiting.key);
      if (waiting.instead) answer = await api.leaveOut(waiting.instead, true);
      this.dropRun(waiting.key);
      this.showRobot(answer.page);
      if (this.state.connection !== 'live') this.take({ type: 'connection', is: 'live' });
      this.take({ type: 'changed-here', is: true });
      return true;
    } catch (error) {
      if (error instanceof Refused && error.status !== 403 && error.status < 500) {
        const refused = { ...waiting, refusal: error.message };
        keepWaiting(refused);
        this.take({ type: 'waits', run: refused });
        return true;
      }
      this.take(error instanceof Refused && error.status === 403 ? { type: 'joined', is: false } : { type: 'connection', is: 'lost' });
      return false;
    }
  }

  async undo(): Promise<void> {
    const shown = this.state.set?.undo;
    const answer = shown ? await this.tried(() => api.undo(shown.change)) : null;
    if (answer) this.take({ type: 'changed-here', is: true });
    await this.readAll();
  }
  async redo(): Promise<void> {
    await this.changing(() => api.redo());
    await this.readAll();
  }
}
