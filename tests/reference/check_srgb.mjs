// sRGB to CIELAB D50 against culori, whose mode "lab" is D50 with Bradford adaptation: check_srgb.mjs PROBE
import { execFileSync } from 'node:child_process';

const ROOM = 0.02;
let converter;
try {
  ({ converter } = await import('culori'));
} catch {
  console.log('skipped: culori is not installed (npm ci in tests/reference)');
  process.exit(77);
}

const toLab = converter('lab');
const rows = execFileSync(process.argv[2], { encoding: 'utf8' }).trim().split('\n');
if (rows.length !== 4096) throw new Error(`the probe printed ${rows.length} colors, not 4096`);
let worst = 0;
for (const row of rows) {
  const [r, g, b, ...ours] = row.split(' ').map(Number);
  const lab = toLab({ mode: 'rgb', r: r / 255, g: g / 255, b: b / 255 });
  [lab.l, lab.a, lab.b].forEach((value, i) => { worst = Math.max(worst, Math.abs(value - ours[i])); });
}
console.log(`largest departure from culori over 4096 colors: ${worst.toFixed(4)}`);
process.exit(worst <= ROOM ? 0 : 1);
