// The program in a process of its own, on the data folder that the environment names; prints its address. The sources
// are TypeScript, which this runs through the test runner's own bundler.
import { createServer, createServerModuleRunner } from 'vite';

const bundler = await createServer({
  configFile: false,
  appType: 'custom',
  logLevel: 'error',
  server: { middlewareMode: true, hmr: false, ws: false, watch: null },
  optimizeDeps: { noDiscovery: true },
});
const runner = createServerModuleRunner(bundler.environments.ssr, { hmr: false });
const { serve } = await runner.import(new URL('../../src/serve.ts', import.meta.url).pathname);
console.log(await serve(process.env));
