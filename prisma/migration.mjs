// npm run migration -- NAME
//
// Writes prisma/migrations/NNNN-NAME/migration.sql: the way from the schema kept beside the last migration to
// prisma/schema.prisma as it is now, and keeps a copy of the new schema beside it for the next time. It needs no
// database, no engine program and no network: the engine is WebAssembly. A renamed table or column is seen as one
// dropped and one added; edit that SQL by hand before it is ever applied.
import { copyFile, mkdir, readdir, readFile, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);
const here = new URL('.', import.meta.url);

/** The engine's own entry needs a flag for .wasm modules, so the instance is made by hand. */
async function loadEngine() {
  const script = require.resolve('@prisma/schema-engine-wasm/schema_engine_bg');
  const engine = await import(script);
  const bytes = await readFile(script.replace(/\.js$/, '.wasm'));
  const { instance } = await WebAssembly.instantiate(bytes, { './schema_engine_bg.js': engine });
  engine.__wbg_set_wasm(instance.exports);
  instance.exports.__wbindgen_start();
  return engine;
}

/**
 * The SQL that turns a database of one schema into one of another.
 *
 * @param before  text of the old schema, or null for an empty database
 * @param after   text of the new schema
 * @returns       SQL, or null when nothing differs
 */
export async function migrationSql(before, after) {
  const engine = await loadEngine();
  const { bindMigrationAwareSqlAdapterFactory } = await import('@prisma/driver-adapter-utils');
  const model = (content) => ({ tag: 'schemaDatamodel', files: [{ path: 'schema.prisma', content }] });
  const none = async () => ({ columnNames: [], columnTypes: [], rows: [] });
  const connect = async () => ({
    provider: 'sqlite',
    adapterName: 'none',
    queryRaw: none, // a diff between two schemas asks the database nothing
    executeRaw: async () => 0,
    executeScript: async () => {},
    dispose: async () => {},
    startTransaction: async () => {
      throw new Error('a diff opens no transaction');
    },
  });
  const factory = { provider: 'sqlite', adapterName: 'none', connect, connectToShadowDb: connect };
  const tool = await engine.SchemaEngine.new(
    { datamodels: [['schema.prisma', after]] },
    () => {},
    bindMigrationAwareSqlAdapterFactory(factory),
  );
  const answer = await tool.diff({
    from: before === null ? { tag: 'empty' } : model(before),
    to: model(after),
    script: true,
    exitCode: true,
    filters: { externalTables: [], externalEnums: [] },
    shadowDatabaseUrl: null,
  });
  return answer.exitCode === 0 ? null : answer.stdout;
}

async function main(name) {
  if (!/^[a-z][a-z0-9-]*$/.test(name ?? ''))
    throw new Error('usage: npm run migration -- name-in-kebab-case');
  const folder = new URL('migrations/', here);
  const earlier = (await readdir(folder)).filter((entry) => /^\d{4}-/.test(entry)).sort();
  const last = earlier.at(-1);
  const before = last ? await readFile(new URL(`${last}/schema.prisma`, folder), 'utf8') : null;
  const sql = await migrationSql(before, await readFile(new URL('schema.prisma', here), 'utf8'));
  if (sql === null) return console.log('The schema is as the last migration left it.');
  const next = `${String(earlier.length + 1).padStart(4, '0')}-${name}/`;
  await mkdir(new URL(next, folder), { recursive: true });
  await writeFile(new URL(`${next}migration.sql`, folder), sql);
  await copyFile(new URL('schema.prisma', here), new URL(`${next}schema.prisma`, folder));
  console.log(`Wrote prisma/migrations/${next}migration.sql: read it before you commit it.`);
}

if (process.argv[1] === new URL(import.meta.url).pathname) {
  main(process.argv[2]).catch((fault) => {
    console.error(fault.message);
    process.exitCode = 1;
  });
}
