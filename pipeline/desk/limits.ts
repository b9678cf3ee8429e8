/** A photo at the highest quality that cameras offer; what `plica recover` takes beyond this is no everyday picture. */
export const MAX_UPLOAD_BYTES = 100 * 2 ** 20;
/** Kept work: a sheet of some megabytes for each reading, and the steps of a long evening. */
export const MAX_WORK_BYTES = 150 * 2 ** 20;
/** Longer names help nobody and break file systems, characters. */
const LONGEST_NAME = 80;

/** A name as a page sends it, fit for a file: no folders, no control characters, not hidden. */
export function safeName(text: string | null): string {
  const base = (text ?? '').split(/[\\/]/).pop() ?? '';
  const plain = base
    .replace(/[\p{Cc}<>:"|?*]/gu, '_')
    .replace(/^\.+/, '')
    .trim();
  return [...plain].slice(-LONGEST_NAME).join('') || 'picture';
}
