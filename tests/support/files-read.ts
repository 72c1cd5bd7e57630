import { FileFactsService, FileReader } from '../../src/models/index.ts';
import type { Browser, TestApp } from './app.ts';

/** Reads all files that were kept and wait to be read, as the running program does behind the pages. */
export async function filesRead({ context }: TestApp): Promise<void> {
  const faults: unknown[] = [];
  const service = new FileFactsService({
    context,
    reader: new FileReader(),
    report: (fault) => void faults.push(fault),
  });
  await service.start();
  await service.settled();
  await service.close();
  if (faults.length) throw faults[0];
}

/** Adds a file to a draft as its page does, and has it read. @returns the document's id */
export async function aReadFile(
  app: TestApp,
  lead: Browser,
  {
    revisionId,
    kind,
    filename,
    content,
  }: { revisionId: number; kind: string; filename: string; content: Buffer },
): Promise<number> {
  const sent = await lead.upload(`/revisions/${revisionId}/documents`, { kind }, [
    { name: 'file', filename, content },
  ]);
  if (sent.status !== 303)
    throw new Error(`${filename} was not taken: ${sent.status} ${sent.text.slice(0, 2000)}`);
  await filesRead(app);
  const { id } = await app.context.db.read.document.findFirstOrThrow({
    where: { revisionId },
    orderBy: { id: 'desc' },
  });
  return id;
}
