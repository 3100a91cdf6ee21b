// The whole page, each file compressed as the server sends it, must stay under its limit.
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';

const LIMIT_BYTES = 150 * 1024;
const files = (folder) => readdirSync(folder).flatMap((name) => (statSync(join(folder, name)).isDirectory() ? files(join(folder, name)) : [join(folder, name)]));
const all = files(new URL('dist', import.meta.url).pathname);
const total = all.reduce((sum, file) => sum + gzipSync(readFileSync(file), { level: 9 }).length, 0);
console.log(`page: ${all.length} files, ${(total / 1024).toFixed(1)} KiB compressed, at most ${LIMIT_BYTES / 1024}`);
if (all.length === 0 || total > LIMIT_BYTES) process.exit(1);
