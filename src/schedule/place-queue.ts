/** Places that wait to be looked at, the earliest in the order of work first, each once. */
export function placeQueue(count: number) {
  const heap = new Int32Array(count);
  const isIn = new Uint8Array(count);
  let size = 0;
  return {
    add(place: number): void {
      if (isIn[place]) return;
      isIn[place] = 1;
      let at = size++;
      while (at > 0) {
        const above = (at - 1) >> 1;
        if (heap[above]! <= place) break;
        heap[at] = heap[above]!;
        at = above;
      }
      heap[at] = place;
    },
    /** the earliest, taken out; -1 when none waits */
    next(): number {
      if (size === 0) return -1;
      const first = heap[0]!;
      isIn[first] = 0;
      const moved = heap[--size]!;
      let at = 0;
      for (;;) {
        let below = 2 * at + 1;
        if (below >= size) break;
        if (below + 1 < size && heap[below + 1]! < heap[below]!) below++;
        if (heap[below]! >= moved) break;
        heap[at] = heap[below]!;
        at = below;
      }
      heap[at] = moved;
      return first;
    },
  };
}
