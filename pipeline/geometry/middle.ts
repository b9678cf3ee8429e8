/** The value that would stand at index length >> 1 were the values sorted (quickselect, Hoare 1961). Leaves them in another order. */
export function middleOf(values: Float32Array | Float64Array): number {
  const middle = values.length >> 1;
  let low = 0;
  let high = values.length - 1;
  while (low < high) {
    const pivot = values[(low + high) >> 1];
    let i = low;
    let j = high;
    while (i <= j) {
      while (values[i] < pivot) i++;
      while (values[j] > pivot) j--;
      if (i > j) break;
      const v = values[i];
      values[i++] = values[j];
      values[j--] = v;
    }
    if (middle <= j) high = j;
    else if (middle >= i) low = i;
    else break;
  }
  return values[middle];
}
