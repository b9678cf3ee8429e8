declare module 'heic-decode' {
  interface Decoded {
    readonly width: number;
    readonly height: number;
    /** RGBA, 8 bits. */
    readonly data: Uint8ClampedArray;
  }
  interface Undecoded {
    readonly width: number;
    readonly height: number;
    readonly decode: () => Promise<Decoded>;
  }
  interface Decode {
    (input: { buffer: Uint8Array }): Promise<Decoded>;
    all(input: { buffer: Uint8Array }): Promise<readonly Undecoded[] & { dispose(): void }>;
  }
  const decode: Decode;
  export default decode;
}
