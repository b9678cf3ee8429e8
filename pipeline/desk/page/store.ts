/** What the page shows, in one place; everything on it is drawn from this. */
import type { BrokenLaw, Kind } from '../../types.ts';
import type { DoubtItem } from '../work/doubts.ts';
import type { History } from '../work/history.ts';
import type { Judgement } from '../work/judge.ts';
import type { JobProgress, Place } from '../work/work.ts';
import type { ReadingImages } from './keep.ts';

export type Tool = 'look' | 'draw' | 'move' | 'erase';
export type Side = 'front' | 'back' | 'through';

export type Selection =
  | { readonly what: 'doubt'; readonly key: string }
  | { readonly what: 'crease'; readonly crease: number };

/** A picture on its way. */
export interface Incoming {
  readonly name: string;
  /** Null until the server has the whole file. */
  readonly job: string | null;
  readonly progress: JobProgress | null;
  /** The file for the browser to show, if it can. */
  readonly preview: string | null;
}

export interface Deskful {
  readonly history: History;
  /** Of each reading, in order; null for a pattern file. */
  readonly images: readonly (ReadingImages | null)[];
  /** The file itself, to be read again as a picture; null where it is none. */
  readonly file: Blob | null;
  /** Of the state in force. */
  readonly laws: readonly BrokenLaw[];
  readonly items: readonly DoubtItem[];
  readonly judgement: Judgement | 'working' | 'failed';
}

export interface Shown {
  readonly screen: 'start' | 'reading' | 'desk' | 'outline';
  readonly problem: string | null;
  readonly reading: Incoming | null;
  readonly desk: Deskful | null;
  readonly selection: Selection | null;
  readonly tool: Tool;
  readonly drawKind: Kind;
  /** Where the crease being drawn starts, or the vertex being moved stood. */
  readonly held: { readonly place: Place; readonly vertex: number | null } | null;
  /** Creases that the answer under the pointer would change. */
  readonly hint: readonly number[];
  /** 0 picture, 1 pattern. */
  readonly mix: number;
  readonly grid: boolean;
  readonly side: Side;
  readonly panel: 'doubts' | 'folded';
  readonly singleKeys: boolean;
  readonly server: 'there' | 'gone';
  readonly kept: 'beside' | 'browser' | 'not' | null;
  /** Name of the file that work is kept in, beside the picture. */
  readonly keptIn: string | null;
}

export interface Store {
  readonly get: () => Shown;
  readonly set: (changes: Partial<Shown>) => void;
  /** Called after each change, and once at the start. */
  readonly subscribe: (listener: (now: Shown, before: Shown | null) => void) => void;
}

export function makeStore(initial: Shown): Store {
  let now = initial;
  const listeners: ((now: Shown, before: Shown | null) => void)[] = [];
  let telling = false;
  const queue: Partial<Shown>[] = [];
  return {
    get: () => now,
    set(changes) {
      // A change made while listeners are being told waits its turn, so that all of them see the same order.
      queue.push(changes);
      if (telling) return;
      telling = true;
      try {
        for (let next = queue.shift(); next; next = queue.shift()) {
          const before = now;
          now = { ...now, ...next };
          for (const listener of listeners) listener(now, before);
        }
      } finally {
        telling = false;
        queue.length = 0;
      }
    },
    subscribe(listener) {
      listeners.push(listener);
      listener(now, null);
    },
  };
}
