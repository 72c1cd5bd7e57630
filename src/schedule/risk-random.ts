/**
 * Fills `numbers` with the uniform 32-bit numbers of one stream, the same ones for the same seed and stream.
 *
 * Every activity has a stream of its own in every block of runs. So a simulation gives the same result however its
 * blocks are shared out, and the numbers of one activity can be had again without keeping them all.
 *
 * @param numbers  filled
 * @param seed     32 bits
 * @param activity, block  which stream
 *
 * Source: generator sfc32 by Doty-Humphrey (PractRand), seeded with three words and 15 rounds as there; constants from
 * memory.
 */
export function fillUniform(numbers: Uint32Array, seed: number, activity: number, block: number): void {
  let a = seed | 0;
  let b = activity | 0;
  let c = block | 0;
  let counter = 1;
  for (let k = -15; k < numbers.length; k++) {
    const sum = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + sum;
    c |= 0;
    if (k >= 0) numbers[k] = sum;
  }
}
