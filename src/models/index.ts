export {
  type FileKind,
  type FilePieces,
  type FileReading,
  fileKind,
  headBytes,
  isSafeInline,
  tailBytes,
} from './file-kind.ts';
export { safeFileName } from './file-kind-name.ts';
