import type { ActsContext } from './acts.ts';
import type { FileStore } from './files.ts';
import type { Settings } from './settings.ts';

/** What the app is built from, handed to every domain. It opens no port and reads no environment. */
export interface Context extends ActsContext {
  settings: Settings;
  files: FileStore;
}
