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
