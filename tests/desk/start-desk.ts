/** The desk as a process of its own, for tests that drive or kill it: start-desk.ts PAGE-FOLDER PORT [FILE]. */
import { openDesk } from '../../pipeline/desk/desk.ts';

const [page, port, file] = process.argv.slice(2);
const desk = await openDesk({ page, port: Number(port), file });
process.stdout.write(`${desk.address}\n`);
