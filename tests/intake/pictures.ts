import { crc32, deflateSync } from 'node:zlib';
import sharp from 'sharp';

export const WIDTH = 128;
export const HEIGHT = 96;

/** White, a red block top left, a blue block bottom right: tells orientation, size and colour at once. */
export const CORNER_MARKS = `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDTH}" height="${HEIGHT}">
  <rect width="128" height="96" fill="#fff"/>
  <rect width="32" height="24" fill="#d00000"/>
  <rect x="96" y="72" width="32" height="24" fill="#0000d0"/>
</svg>`;

export const cornerMarks = () => sharp(Buffer.from(CORNER_MARKS)).flatten({ background: '#fff' });

/** Width x height, all pixels from one function of x and y giving RGB or RGBA. */
export function painted(width: number, height: number, colour: (x: number, y: number) => readonly number[]) {
  const channels = colour(0, 0).length as 3 | 4;
  const data = new Uint8Array(width * height * channels);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) data.set(colour(x, y), (y * width + x) * channels);
  }
  return sharp(data, { raw: { width, height, channels } });
}

/** A PNG of a few bytes whose header claims any size (PNG specification, chunk layout). */
export function pngClaiming(width: number, height: number): Uint8Array {
  const chunk = (type: string, body: Uint8Array) => {
    const bytes = Buffer.alloc(12 + body.length);
    bytes.writeUInt32BE(body.length, 0);
    bytes.write(type, 4, 'latin1');
    bytes.set(body, 8);
    bytes.writeUInt32BE(crc32(bytes.subarray(4, 8 + body.length)), 8 + body.length);
    return bytes;
  };
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([8, 2, 0, 0, 0], 8);
  const mark = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  return Buffer.concat([
    mark,
    chunk('IHDR', header),
    chunk('IDAT', deflateSync(Buffer.alloc(64))),
    chunk('IEND', Buffer.alloc(0)),
  ]);
}

/** A true JPEG whose frame header (SOF0, ITU-T T.81 B.2.2) is rewritten to claim another size. */
export async function jpegClaiming(width: number, height: number): Promise<Uint8Array> {
  const bytes = await cornerMarks().jpeg().toBuffer();
  const frame = bytes.indexOf(Buffer.from([0xff, 0xc0]));
  bytes.writeUInt16BE(height, frame + 5);
  bytes.writeUInt16BE(width, frame + 7);
  return bytes;
}

/**
 * Adds a rotation to a HEIC picture: an `irot` property (ISO 23008-12, 6.5.10; quarter turns counterclockwise) tied to
 * item 1, in the layout that corner-marks.heic has.
 */
export function heicTurned(source: Uint8Array, quarterTurns: 1 | 2 | 3): Uint8Array {
  const bytes = Buffer.from(source);
  const find = (type: string) => bytes.indexOf(type, 0, 'latin1') - 4;
  const [meta, iprp, ipco, ipma, iloc] = ['meta', 'iprp', 'ipco', 'ipma', 'iloc'].map(find);
  const irot = Buffer.from([0, 0, 0, 9, ...Buffer.from('irot', 'latin1'), quarterTurns]);
  const properties = bytes.readUInt32BE(ipco);
  let count = 0;
  for (let at = ipco + 8; at < ipco + properties; at += bytes.readUInt32BE(at)) count++;
  const grow = (box: number, by: number) => bytes.writeUInt32BE(bytes.readUInt32BE(box) + by, box);
  const associations = bytes[ipma + 18];
  const association = Buffer.from([0x80 | (count + 1)]);
  const added = irot.length + association.length;
  for (const box of [meta, iprp]) grow(box, added);
  grow(ipco, irot.length);
  grow(ipma, association.length);
  bytes[ipma + 18] = associations + 1;
  // iloc version 0: the first item's base offset moves with the data.
  grow(iloc + 20, added);
  const afterProperties = ipco + properties;
  const afterAssociations = ipma + 19 + associations;
  return Buffer.concat([
    bytes.subarray(0, afterProperties),
    irot,
    bytes.subarray(afterProperties, afterAssociations),
    association,
    bytes.subarray(afterAssociations),
  ]);
}
