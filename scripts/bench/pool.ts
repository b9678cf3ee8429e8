import { type ChildProcess, fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { Row } from './rows.ts';
import type { Task } from './worker.ts';

interface Answer {
  readonly ready?: true;
  readonly row?: Row | null;
  readonly broken?: string;
}

/** A picture that takes longer than this is given up, ms. */
const LONGEST_TASK = 180_000;

/** Work through tasks with fresh processes; `onDone` is called as each ends, in any order. A task that dies or hangs yields its reason. */
export async function runPool(
  tasks: readonly Task[],
  workers: number,
  onDone: (task: Task, result: { row: Row | null } | { failed: string }) => void,
): Promise<void> {
  let next = 0;
  const runOne = async (): Promise<void> => {
    let child: ChildProcess | null = null;
    while (next < tasks.length) {
      const task = tasks[next++];
      child ??= await started();
      const result = await answerOf(child, task);
      if ('failed' in result) {
        child.kill('SIGKILL');
        child = null;
      }
      onDone(task, result);
    }
    child?.kill();
  };
  await Promise.all(Array.from({ length: Math.min(workers, tasks.length) }, runOne));
}

function started(): Promise<ChildProcess> {
  return new Promise((resolve, reject) => {
    const child = fork(fileURLToPath(new URL('./worker.ts', import.meta.url)));
    child.once('message', () => resolve(child));
    child.once('exit', (code) => reject(new Error(`a bench process ended at start with code ${code}`)));
  });
}

function answerOf(child: ChildProcess, task: Task): Promise<{ row: Row | null } | { failed: string }> {
  return new Promise((resolve) => {
    const finish = (result: { row: Row | null } | { failed: string }): void => {
      clearTimeout(timer);
      child.off('message', onMessage);
      child.off('exit', onExit);
      resolve(result);
    };
    const onMessage = (answer: Answer): void =>
      finish(answer.broken === undefined ? { row: answer.row ?? null } : { failed: answer.broken });
    const onExit = (code: number | null, signal: string | null): void =>
      finish({ failed: `the process ended (${code ?? signal})` });
    const timer = setTimeout(() => finish({ failed: `no answer within ${LONGEST_TASK / 1000} s` }), LONGEST_TASK);
    child.on('message', onMessage);
    child.on('exit', onExit);
    child.send(task);
  });
}
