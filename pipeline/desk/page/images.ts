/** One address for each picture that is on the page. */
const addresses = new WeakMap<Blob, string>();

export function addressOf(blob: Blob): string {
  let address = addresses.get(blob);
  if (address === undefined) {
    address = URL.createObjectURL(blob);
    addresses.set(blob, address);
  }
  return address;
}

/** A sheet on which dark lines would not be seen: mean of its channels, 0..255. */
const DARK = 110;
const SAMPLE_PX = 24;

/** Whether a picture is dark as a whole, such as white lines on blue. */
export async function isDark(blob: Blob): Promise<boolean> {
  const bitmap = await createImageBitmap(blob, { resizeWidth: SAMPLE_PX, resizeHeight: SAMPLE_PX });
  const context = new OffscreenCanvas(SAMPLE_PX, SAMPLE_PX).getContext('2d')!;
  context.drawImage(bitmap, 0, 0);
  const { data } = context.getImageData(0, 0, SAMPLE_PX, SAMPLE_PX);
  let sum = 0;
  for (let i = 0; i < data.length; i++) if (i % 4 !== 3) sum += data[i];
  return sum / (3 * SAMPLE_PX ** 2) < DARK;
}
