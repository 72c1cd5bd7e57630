/** One thread of the risk benchmark: simulates blocks of runs, or correlates some activities. */
import { parentPort } from 'node:worker_threads';
import { rankCorrelations } from '../../dist/src/schedule/risk-correlation.js';
import { simulateBlocks } from '../../dist/src/schedule/risk-simulation.js';

parentPort.on('message', ({ act, model, finishes, first, end }) => {
  parentPort.postMessage(
    act === 'simulate' ? simulateBlocks(model, first, end) : rankCorrelations(model, finishes, first, end),
  );
});
