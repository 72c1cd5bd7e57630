export { barePicture } from './bare-picture.ts';
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
export { FileFactsService } from './facts-service.ts';
export { type FactsShown, factsShown } from './facts-view.ts';
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
export { KIND_WORDS } from './kind-words.ts';
export { type ModelReply, modelReply, type ReceivedModel, receivedKind } from './model-question.ts';
export { type ContourDrawing, contoursSvg, drawContours } from './picture/draw-contours.ts';
export { ON_DARK, ON_LIGHT, renderModel, type Tones } from './picture/render-model.ts';
export { isPictured } from './pictured.ts';
export { FileReader, type ReaderLimits } from './reader.ts';
export { shapeBytes, shapeFrom } from './shape-file.ts';
export { factsInUnit, mmPerFigure, STL_UNITS, type StlUnit } from './stl-unit.ts';
export { askForFacts, factsOfDocuments, factsOfFiles, type KnownFacts } from './store.ts';
