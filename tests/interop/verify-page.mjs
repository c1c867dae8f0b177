// Drives verify.html in Chromium over the cases that verify-page.py made, and compares each verdict with windrow's.
//
//   node verify-page.mjs CHROMIUM WINDROW FOLDER

import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const [browserPath, windrow, folder] = process.argv.slice(2);
const cases = JSON.parse(readFileSync(`${folder}/cases.json`, 'utf8'));
const axe = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
let failures = 0;
const check = (name, holds, told = '') => {
  console.log(`${holds ? 'ok      ' : 'failed  '}${name}${holds ? '' : `: ${told}`}`);
  if (!holds) failures += 1;
};

const browser = await chromium.launch({ executablePath: browserPath, args: ['--no-sandbox'] });
const context = await browser.newContext({ offline: true });
const page = await context.newPage();
const asked = [], errors = [];
page.on('request', (request) => asked.push(request.url()));
page.on('pageerror', (error) => errors.push(String(error)));
page.on('console', (message) => { if (message.type() === 'error') errors.push(message.text()); });
const address = pathToFileURL(`${folder}/verify.html`).href;
await page.goto(address);

const run = async (one) => {
  await page.evaluate(() => { document.body.dataset.state = ''; });
  await page.fill('#root', one.typed || '');
  // The browser tells of no change where the same file is chosen again; a person's click empties the field first.
  const field = one.name.endsWith('.zip') ? '#zip' : '#folder';
  if (field === '#zip') await page.setInputFiles(field, []);
  await page.setInputFiles(field, one.path);
  await page.waitForFunction(() => document.body.dataset.state === 'done', null, { timeout: 120000 });
  return page.evaluate(() => ({
    whole: document.body.dataset.whole === 'yes',
    root: document.getElementById('found-root').dataset.root || null,
    faults: Array.from(document.querySelectorAll('#faults li'), (item) => item.dataset.fault),
    told: Array.from(document.querySelectorAll('#faults li'), (item) => item.textContent),
    withheld: document.querySelectorAll('#withheld li').length,
    title: document.getElementById('verdict').textContent,
    words: document.getElementById('found-words').textContent,
    focused: document.activeElement.id,
  }));
};

// Every root in words comes from a page that was given none.
const first = await run(cases[0]);
for (const one of cases) {
  one.typed = one.words ? first.words.replaceAll(' ', '\n').toUpperCase() : one.root;
  const words = ['verify', one.path, '--json', ...(one.root ? ['--root', one.root] : [])];
  const ours = spawnSync(windrow, words, { maxBuffer: 1 << 28 });
  const verdict = JSON.parse(ours.stdout.toString());
  const found = await run(one);
  // Where the page stops at the first thing that can't be followed it has no root; windrow may go on.
  const stopped = found.faults.includes('stopped');
  const same = found.whole === verdict.whole && (stopped || found.root === verdict.root) && found.withheld === (stopped ? 0 : verdict.withheld.length);
  const names = new Set(verdict.faults.map((fault) => fault.name));
  const kinds = stopped || ['changed', 'missing', 'added', 'renamed', 'wrong-root'].every((name) => names.has(name) === found.faults.includes(name));
  check(`${one.name}: ${verdict.whole ? 'whole' : [...names].join(', ')}`, same && kinds && found.focused === 'verdict',
    JSON.stringify({ page: found, windrow: { whole: verdict.whole, root: verdict.root, names: [...names] } }));
}
check('some cases are whole and many are not', cases.length > 50);

// A photo beside its line in the index, by keyboard alone.
await run(cases[0]);
await page.waitForFunction(() => !document.getElementById('picture').hidden);
const shown = () => page.evaluate(() => ({
  caption: document.getElementById('caption').textContent,
  terms: Array.from(document.querySelectorAll('#line dt'), (term) => term.textContent),
  photo: document.getElementById('photo').value,
  alt: document.getElementById('picture').alt,
}));
const one = await shown();
check('a photo is shown with its line in the index', one.caption.includes('states the hash that was recomputed') && one.terms.includes('latitude') && one.alt.includes(one.photo), JSON.stringify(one));
await page.focus('#photo');
await page.keyboard.press('Tab');
await page.keyboard.press('Tab');
await page.keyboard.press('Enter');
const two = await shown();
check('the next photo is reached by keyboard', two.photo !== one.photo && two.terms.length > 2, JSON.stringify(two));
await page.fill('#filter', 'no such photo');
check('a filter that fits nothing says so', (await shown()).caption.includes('No photo'));
await page.fill('#root', 'acorn acorn');
await page.setInputFiles('#zip', []);
await page.setInputFiles('#zip', cases[0].path);
await page.waitForFunction(() => document.getElementById('faults').textContent.includes('neither 64 digits nor 32'));
check('a mistyped root is told', true);

// Tab goes through all that can be used, in the order of the page.
await page.reload();
const stops = [];
for (let n = 0; n < 3; n++) {
  await page.keyboard.press('Tab');
  stops.push(await page.evaluate(() => document.activeElement.id));
}
check('Tab leads from the root to the ZIP to the folder', stops.join() === 'root,zip,folder', stops.join());

// What is audible: names, roles, contrast, headings (axe-core, WCAG 2.2 A and AA), before and after a verification, light and dark.
for (const scheme of ['light', 'dark']) {
  await page.emulateMedia({ colorScheme: scheme });
  await page.reload();
  for (const state of ['at the start', 'with a result']) {
    if (state !== 'at the start') await run(cases.find((other) => other.name === 'photo-flipped.zip'));
    await page.evaluate(readFileSync(axe, 'utf8'));
    const outcome = await page.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }));
    check(`axe-core finds nothing ${state}, ${scheme}`, outcome.violations.length === 0, JSON.stringify(outcome.violations.map((violation) => [violation.id, violation.nodes.map((node) => node.html)])));
  }
}
check('nothing was asked of a network', asked.every((url) => url === address || url.startsWith('blob:')), asked.join(' '));
check('no error went past the page', errors.length === 0, errors.join('\n'));
await browser.close();

if (failures > 0) {
  console.log(`failed: ${failures} checks`);
  process.exit(1);
}
console.log('ok: all checks');
