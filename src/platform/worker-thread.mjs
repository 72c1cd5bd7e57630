// One thread of the pool in workers.ts: runs functions of modules by name and answers with what they give or throw.
import { parentPort } from 'node:worker_threads';

parentPort.on('message', async ({ module, name, input }) => {
  try {
    const { [name]: act } = await import(module);
    parentPort.postMessage({ result: await act(input) });
  } catch (fault) {
    const { name: kind, message, stack, detail } = fault instanceof Error ? fault : new Error(String(fault));
    parentPort.postMessage({ fault: { name: kind, message, stack, detail } });
  }
});
