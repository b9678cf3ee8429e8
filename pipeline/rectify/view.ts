/** Size of the picture, px. */
export interface View {
  readonly width: number;
  readonly height: number;
}
