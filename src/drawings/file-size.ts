/** A size in words: 812 bytes, 42 kB, 3.4 MB; decimal multiples. */
export function fileSize(bytes: number): string {
  if (bytes < 1000) return `${bytes} bytes`;
  if (bytes < 999_500) return `${Math.round(bytes / 1000)} kB`;
  const mega = bytes / 1e6;
  return `${mega < 10 ? mega.toFixed(1) : Math.round(mega)} MB`;
}
