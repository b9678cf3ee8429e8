/** The part of Tesseract, compiled to WebAssembly, that is used here. */
declare module 'tesseract.js-core/tesseract-core-simd-lstm' {
  interface TextReader {
    Init(folder: string | null, language: string, engine: number): number;
    SetVariable(name: string, value: string): boolean;
    /** Takes the image in the file `/input`; 1 where it cannot. */
    SetImageFile(angle: number, upscale: boolean): number;
    Recognize(monitor: null): number;
    GetUTF8Text(): string;
  }
  interface Tesseract {
    readonly FS: { writeFile(path: string, data: Uint8Array): void };
    readonly TessBaseAPI: new () => TextReader;
  }
  const start: (options: object) => Promise<Tesseract>;
  export default start;
}
