#!/usr/bin/env node
import { main } from './main.ts';

// A reader that has seen enough, such as `head`, closes the pipe: no error for people.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
});

const code = await main(process.argv.slice(2), {
  out: (line) => process.stdout.write(`${line}\n`),
  err: (line) => process.stderr.write(`${line}\n`),
  interactive: process.stderr.isTTY === true,
  debug: Boolean(process.env.PLICA_DEBUG),
});
// Set rather than exited with, so that everything printed still goes out.
if (code !== 0) process.exitCode = code;
