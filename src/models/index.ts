export {
  type AssemblyNode,
  type ContourShape,
  type FileFacts,
  type FlatFacts,
  type Format,
  isReadable,
  READER_VERSION,
  type ReadableKind,
  type Shape,
  type SheetFacts,
  type Size,
  type SolidFacts,
  type StepFacts,
  type TriangleShape,
  Unreadable,
} from './facts.ts';
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
export { FileReader, type ReaderLimits } from './reader.ts';
export { shapeBytes, shapeFrom } from './shape-file.ts';
