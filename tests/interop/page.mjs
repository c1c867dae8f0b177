// Drives the page in Chromium. See page.sh.
//
//   node page.mjs CHROMIUM FOLDER [PICTURES]

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const [browserPath, folder, pictures] = process.argv.slice(2);
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
let failures = 0;
const check = (name, holds, told = '') => {
  console.log(`${holds ? 'ok      ' : 'failed  '}${name}${holds ? '' : `: ${told}`}`);
  if (!holds) failures += 1;
};
const browser = await chromium.launch({ executablePath: browserPath, args: ['--no-sandbox'] });
const asked = [], errors = [];
const open = async (edition, width, height, more = {}) => {
  const context = await browser.newContext({ offline: true, viewport: { width, height }, ...more });
  const page = await context.newPage();
  const address = pathToFileURL(`${folder}/${edition}.html`).href;
  page.on('request', (request) => { if (request.url() !== address && !request.url().startsWith('data:')) asked.push(request.url()); });
  page.on('pageerror', (error) => errors.push(String(error)));
  page.on('console', (message) => { if (['error', 'warning'].includes(message.type())) errors.push(message.text()); });
  await page.goto(address);
  return page;
};
const rules = async (page, where) => {
  await page.evaluate(axe);
  const found = await page.evaluate(() => axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'] }));
  check(`axe-core finds nothing ${where} (${found.passes.length} rules hold)`, found.violations.length === 0,
    JSON.stringify(found.violations.map((one) => [one.id, one.nodes.map((node) => node.html.slice(0, 200))])));
};
const fits = async (page, where) => {
  const [wide, room] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
  check(`nothing is wider than ${where}`, wide <= room, `${wide} on ${room}`);
};

// At every width, of both editions, closed and opened.
for (const edition of ['board', 'public']) {
  for (const [name, width] of [['the narrowest screen', 320], ['a phone', 360], ['a tablet', 760], ['a laptop', 1280]]) {
    const page = await open(edition, width, 780);
    await fits(page, `${name}, ${edition}`);
    if (width === 360 || width === 1280) {
      await rules(page, `on ${name}, ${edition}`);
      await page.locator('.place button').first().click();
      await page.locator('.unfold').click();
      await fits(page, `${name} with a site and the table opened, ${edition}`);
      await rules(page, `on ${name} with a site and the table opened, ${edition}`);
      if (pictures) await page.screenshot({ path: `${pictures}/${edition}-${width}.png`, fullPage: true });
    }
    await page.context().close();
  }
}

// Without script everything stands there to be read.
const plain = await open('board', 1280, 800, { javaScriptEnabled: false });
for (const what of ['.of-site', '#season table', '.shot img', '.root']) {
  const parts = await plain.locator(what).all();
  const seen = await Promise.all(parts.map((part) => part.isVisible()));
  check(`without script, every ${what} is shown`, parts.length > 0 && seen.every(Boolean), String(seen));
}
for (const what of ['.zoom', '.kinds', '.choose', '.cut', '.how', '.keys']) {
  check(`without script, no ${what} is shown`, (await plain.locator(what).first().isVisible()) === false);
}
await plain.context().close();

// By keyboard alone.
const page = await open('board', 1280, 800, { reducedMotion: 'reduce' });
await page.keyboard.press('Tab');
check('the first stop leads past the contents', await page.evaluate(() => document.activeElement.matches('.skip')));
await page.keyboard.press('Enter');
check('and it gets there', await page.evaluate(() => document.activeElement.id === 'main'));
const at = () => page.evaluate(() => document.activeElement.dataset.site);
for (let n = 0; n < 20 && (await at()) === undefined; n++) await page.keyboard.press('Tab');
check('Tab leads to the map', (await at()) === '1', await at());
await page.keyboard.press('ArrowRight');
check('an arrow key leads to the next site', (await at()) === '2', await at());
await page.keyboard.press('Enter');
const shown = () => page.evaluate(() => ({
  open: Array.from(document.querySelectorAll('.place.open'), (place) => place.dataset.site).join(),
  pressed: Array.from(document.querySelectorAll('[aria-pressed=true]'), (mark) => mark.dataset.site).join(),
  figures: Array.from(document.querySelectorAll('.place.open dd'), (row) => row.textContent).join(' '),
  said: document.querySelector('.chosen[role=status]').textContent,
  box: document.querySelector('svg.map').getAttribute('viewBox').split(' ').map(Number),
  bar: Array.from(document.querySelectorAll('.whole .bar:not([hidden])'), (bar) => bar.textContent).join('|'),
}));
const two = await shown();
check('Enter shows the figures of the site, with intervals', two.open === '2' && two.pressed === '2' && / to /.test(two.figures), JSON.stringify(two));
check('and says the first of them', /\d/.test(two.said), two.said);
await page.keyboard.press('+');
const nearer = await shown();
check('plus brings the map closer, with a bar of its own', Math.abs(nearer.box[2] * 2 - two.box[2]) < 0.1 && nearer.bar !== two.bar && !nearer.bar.includes('|'), JSON.stringify(nearer));
await page.keyboard.press('End');
const last = await at();
const inside = await page.evaluate(() => {
  const mark = document.activeElement.getBoundingClientRect(), map = document.querySelector('.view').getBoundingClientRect();
  return mark.left >= map.left - 1 && mark.right <= map.right + 1;
});
check('the map follows to the last site', Number(last) > 2 && inside, last);
await page.keyboard.press('0');
check('0 shows the whole again', (await shown()).box[2] === two.box[2]);
await page.focus('[data-zoom=in]');
await page.keyboard.press('Enter');
check('the button does the same', (await shown()).box[2] < two.box[2]);
await page.focus('[data-zoom=all]');
await page.keyboard.press('Space');
check('and the focus stays on something that can be pressed', await page.evaluate(() => document.activeElement.matches('button:not(:disabled)')));
await page.locator('.place button').nth(0).focus();
await page.keyboard.press('Enter');
check('a site is chosen in the list too', (await shown()).open === '1');

const week = () => page.evaluate(() => ({
  text: document.querySelector('output.week').textContent,
  heard: document.querySelector('#week').getAttribute('aria-valuetext'),
  now: document.querySelector('.wide .one.now').dataset.week,
  kind: document.querySelector('.season').dataset.kind,
}));
await page.focus('#week');
const before = await week();
await page.keyboard.press('ArrowRight');
const after = await week();
check('an arrow key leads to the next week, shown, told and marked', after.text !== before.text && after.heard !== before.heard && Number(after.now) === Number(before.now) + 1, JSON.stringify([before, after]));
await page.focus('.kinds input:checked');
await page.keyboard.press('ArrowRight');
const staff = await week();
check('crews are chosen by keyboard', staff.kind === 'staff' && staff.text.length < after.text.length, JSON.stringify(staff));
await page.focus('.unfold');
await page.keyboard.press('Enter');
check('the weeks come as a table', await page.locator('#season table').isVisible());

const cut = () => page.evaluate(() => {
  const pair = document.querySelector('.pair.over');
  return { value: pair.querySelector('input').value, clip: getComputedStyle(pair.querySelector('.before img')).clipPath };
});
await page.focus('.pair.over .cut input');
const half = await cut();
await page.keyboard.press('ArrowRight');
const more = await cut();
check('an arrow key moves the edge between before and after', more.value === String(Number(half.value) + 1) && more.clip !== half.clip, JSON.stringify([half, more]));
await page.keyboard.press('Home');
check('Home shows after alone', (await cut()).value === '0');
const ring = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
check('what has the focus shows it', ring !== 'none', ring);
if (pictures) await page.screenshot({ path: `${pictures}/keyboard.png`, fullPage: true });
await page.pdf({ path: `${folder}/board.pdf`, preferCSSPageSize: true });
if (pictures) await page.pdf({ path: `${pictures}/board.pdf`, preferCSSPageSize: true });
await page.context().close();

// By touch.
const touch = await open('board', 360, 780, { hasTouch: true, isMobile: true });
await touch.locator('.number').nth(1).tap();
check('a tap on the map chooses a site', (await touch.locator('.place.open').getAttribute('data-site')) === '2');
await touch.locator('.pair.over .after img').first().scrollIntoViewIfNeeded();
const frame = await touch.locator('.pair.over .after img').first().boundingBox();
await touch.touchscreen.tap(frame.x + frame.width * 0.25, frame.y + frame.height / 2);
const value = Number(await touch.locator('.pair.over .cut input').first().inputValue());
check('a tap on a pair moves its edge', Math.abs(value - 25) <= 2, String(value));
await touch.locator('.narrow .one').nth(3).tap();
check('a tap on a column chooses its week', (await touch.locator('#week').inputValue()) === '3');
const small = await touch.evaluate(() => Array.from(document.querySelectorAll('button, .number, .kinds label, input[type=range], nav a'))
  .map((part) => [part.outerHTML.slice(0, 60), part.getBoundingClientRect()])
  .filter(([, box]) => box.width > 0 && (box.width < 23.5 || box.height < 23.5)).map(([html, box]) => `${html} ${box.width}x${box.height}`));
check('nothing to be touched is smaller than 24 pixels', small.length === 0, small.join('\n'));
await touch.context().close();

check('nothing was asked of a network', asked.length === 0, asked.join(' '));
check('the browser has nothing to complain about', errors.length === 0, errors.join('\n'));
await browser.close();
if (failures > 0) {
  console.log(`failed: ${failures} checks`);
  process.exit(1);
}
