// Walks the desk in a real browser (Debian's Chromium), 1280 and 390 wide, without script: a person
// in the afternoon from nothing to a sheet that is printed and moved, a call at night; with script a
// page that is drawn while somebody types, and a scan.  Asks axe-core
// (WCAG 2 A to AAA and best practice) about every page, light and dark.
// usage: node tests/score/desk.mjs [FOLDER for pictures]
import { spawn, execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, mkdirSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve, dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { createRequire } from 'node:module';

const root = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
const modules = process.env.DESK_MODULES || join(root, '.build/node');
const require = createRequire(join(modules, 'package.json'));
const { chromium } = require('playwright-core');
const axeSource = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const pictures = process.argv[2];
const AFTERNOON = '2026-11-24T14:00-04:00', NOW = '2026-11-24T22:52-04:00';
const WIDTHS = [1280, 390];
const faults = [];
let checked = 0, walked = 0;

function note(clinic, at, ...words) {
  execFileSync(join(root, '.build/dosewright'), ['record', 'note', '--clinic', clinic, '--now', at, '--by', 'K. Madeup', ...words]);
}

function prepare(folder) {
  const clinic = join(folder, 'clinic');
  execFileSync(join(root, 'samples/tonight'), [clinic, '2026-11-24'], { stdio: ['ignore', 'ignore', 'ignore'] });
  return clinic;
}

// What the evening brought, as the nurse noted it.
function fillEvening(clinic) {
  for (const [at, code, clock] of [['19:05', 'LC-2038', '7:03 pm'], ['20:04', 'LC-2046', '8 pm'], ['20:15', 'LC-2075', '8:10 pm'],
    ['21:05', 'LC-2052', '9:03 pm'], ['21:40', 'LC-2058', '9:31 pm'], ['22:33', 'LC-2043', '10:31 pm']])
    note(clinic, `2026-11-24T${at}-04:00`, code, 'injected', `at=${clock}`);
  note(clinic, '2026-11-24T22:40-04:00', 'LC-2054', 'call', 'slip=spilled', 'said=Told: keep what is left, I call you back.');
}

function serve(clinic, now) {
  const desk = spawn(join(root, '.build/dosewright'), ['desk', '--clinic', clinic, '--now', now], { stdio: ['pipe', 'pipe', 'inherit'] });
  const links = [];
  const waiting = [];
  desk.stdout.on('data', (text) => {
    for (const found of String(text).matchAll(/http:\S+/g)) (waiting.shift() || ((l) => links.push(l)))(found[0]);
  });
  return { desk, link: () => (links.length ? Promise.resolve(links.shift()) : new Promise((take) => waiting.push(take))), more: () => desk.stdin.write('\n') };
}

function expect(fine, what) {
  walked += 1;
  if (!fine) faults.push(what);
}

async function picture(page, name) {
  if (pictures) await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}

async function axe(page, name) {
  await page.evaluate(axeSource);
  const found = await page.evaluate(() => window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag2aaa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }));
  checked += 1;
  for (const one of found.violations)
    faults.push(`${name}: ${one.id}: ${one.help}: ${one.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)).join(' | ')}`);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  if (wide > 0) faults.push(`${name}: ${wide} px wider than the screen`);
}

async function context(browser, width, more = {}) {
  return browser.newContext({ viewport: { width, height: width > 600 ? 900 : 844 }, reducedMotion: 'reduce', ...more });
}

async function sitDown(page, link, name) {
  await page.goto(link);
  await page.getByLabel(name).check();
  await page.getByRole('button', { name: 'Sit down' }).click();
}

const PAGES = [['tonight', '/?still=1'], ['call', '/call'], ['call-person', '/call?word=LC-2041'], ['call-several', '/call?word=Ines'],
  ['call-nobody', '/call?word=nobody'], ['who', '/who'], ['person-new', '/new'], ['person-at-night', '/person/LC-2041'], ['protocols', '/protocols'],
  ['protocol', '/protocol/evening-trigger?against=arm-trigger'], ['protocol-edit', '/protocol/evening-trigger/edit'],
  ['worklist', '/worklist'], ['recall', '/recall'], ['rule', '/rule/box_expires'], ['no-page', '/nothing']];

async function look(browser, server, width, dark) {
  const own = await context(browser, width, { colorScheme: dark ? 'dark' : 'light', bypassCSP: true });
  const page = await own.newPage();
  const errors = [];
  page.on('console', (m) => m.type() === 'error' && !/404/.test(m.text()) && errors.push(m.text()));
  page.on('request', (r) => !r.url().startsWith('http://127.0.0.1') && errors.push(`asked elsewhere: ${r.url()}`));
  server.more();
  const link = await server.link();
  await sitDown(page, link, 'K. Madeup');
  const home = new URL(link).origin;
  for (const [name, path] of PAGES) {
    await page.goto(home + path);
    await axe(page, `${name} ${width}${dark ? ' dark' : ''}`);
    if (!dark || name === 'tonight') await picture(page, `${name}-${width}${dark ? '-dark' : ''}`);
  }
  if (width === 1280 && !dark && pictures) {
    await page.goto(`${home}/?still=1`);
    await page.emulateMedia({ media: 'print' });
    await page.setViewportSize({ width: 790, height: 1050 });
    await picture(page, 'tonight-print');
  }
  faults.push(...errors.map((e) => `${width}${dark ? ' dark' : ''}: ${e}`));
  await own.close();
}

// The stories, by the names of labels and buttons alone, with script switched off.
async function walk(browser, server, width) {
  const own = await context(browser, width, { javaScriptEnabled: false });
  const page = await own.newPage();
  server.more();
  await sitDown(page, await server.link(), 'K. Madeup');
  expect(await page.getByRole('heading', { name: 'Tonight' }).isVisible(), `${width}: sitting down leads to Tonight`);
  expect((await page.locator('.minute .clock').innerText()).replace('\u00a0', ' ') === '11 pm', `${width}: the next minute is 11 pm`);
  await page.getByLabel('Code, name or phone').fill('lc-2041');
  await page.getByRole('button', { name: 'Find' }).click();
  expect(await page.getByRole('heading', { name: 'Maren T.' }).isVisible(), `${width}: the caller is found by code`);
  await page.getByLabel('What was said').fill('Cannot find the short needle.');
  await page.getByLabel('Injected at').fill('half past');
  await page.getByRole('button', { name: 'Note the call' }).click();
  expect(await page.getByText('is no clock time').isVisible(), `${width}: a time that cannot be read is said`);
  expect((await page.getByLabel('What was said').inputValue()) === 'Cannot find the short needle.', `${width}: what was typed stays`);
  await picture(page, `call-not-noted-${width}`);
  await page.getByLabel('Injected at').fill('');
  await page.getByRole('button', { name: 'Note the call' }).click();
  expect(await page.getByRole('status').isVisible(), `${width}: the note is said to be kept`);
  expect(await page.getByText('Cannot find the short needle.').first().isVisible(), `${width}: Tonight shows the call`);
  await own.close();
}

// A person with what a nurse forgets, put right, printed, moved.
async function walkPerson(browser, server, width) {
  const own = await context(browser, width, { javaScriptEnabled: false });
  const page = await own.newPage();
  const code = width > 600 ? 'LC-2080' : 'LC-2091';
  server.more();
  await sitDown(page, await server.link(), 'P. Invented');
  await page.getByRole('link', { name: 'New person' }).click();
  await page.getByLabel('Protocol').selectOption('evening-trigger');
  await page.getByLabel('Code', { exact: true }).fill(code);
  await page.getByLabel('First name').fill(width > 600 ? 'Odile R.' : 'Runa E.');
  await page.getByLabel('Order').fill(`R-${width}`);
  await page.getByLabel('Day').first().fill('Wednesday 2026-11-26');
  await page.getByLabel('Hour').first().fill('12:15 pm');
  await page.getByRole('button', { name: 'Keep' }).click();
  expect(await page.locator('#f-anchor').getByText('given Wednesday, but 2026-11-26 is a Thursday').isVisible(), `${width}: the weekday is checked at its field`);
  await picture(page, `person-to-put-right-${width}`);
  await page.getByLabel('Day').first().fill('Thursday 2026-11-26');
  await page.getByLabel('helper').check();
  await page.getByLabel('Asked: none').check();
  await page.getByLabel('Asked: nothing').check();
  await page.getByLabel('Telephone').fill('902 555 0181');
  await page.getByLabel('Lot').fill('A1234');
  await page.getByLabel('Use by').fill('2028-08');
  await page.getByRole('button', { name: 'Keep' }).click();
  expect(await page.getByText('Nothing stops this sheet.').isVisible(), `${width}: put right`);
  await picture(page, `person-${width}`);
  await page.getByRole('button', { name: 'Print the sheet' }).click();
  expect(await page.getByText('numbered and read back').isVisible(), `${width}: printed`);
  await page.getByLabel('New hour').fill('12:45 pm');
  await page.getByRole('button', { name: 'See the new time' }).click();
  expect(await page.getByText('Nothing has changed so far').isVisible(), `${width}: a move is seen first`);
  await picture(page, `person-moving-${width}`);
  await page.getByRole('button', { name: 'Move it, and print' }).click();
  expect(await page.getByText('Ring now, say it, hear it back').isVisible(), `${width}: moved, with what to say`);
  await picture(page, `person-moved-${width}`);
  await own.close();
}

// With script: a page is drawn while the form is filled in, findings come and go at their fields, a
// scan fills lot and use-by date, and nothing is kept by it.
async function walkLive(browser, server, width) {
  const own = await context(browser, width);
  const page = await own.newPage();
  page.on('console', (m) => m.type() === 'error' && faults.push(`${width}: ${m.text()}`));
  page.on('pageerror', (e) => faults.push(`${width}: ${e.message}`));
  server.more();
  await sitDown(page, await server.link(), 'P. Invented');
  await page.getByRole('link', { name: 'New person' }).click();
  await page.getByLabel('Protocol').selectOption('evening-trigger');
  await page.getByLabel('Lot').waitFor();
  await page.getByLabel('Code', { exact: true }).fill(width > 600 ? 'LC-2084' : 'LC-2095');
  await page.getByLabel('First name').fill('Mirela N.');
  await page.getByLabel('Order', { exact: true }).fill(`L-${width}`);
  await page.getByLabel('Day').first().fill('2026-11-26');
  await page.getByLabel('Hour').first().fill('half past');
  await page.locator('#f-anchor .finding').waitFor();
  expect(await page.locator('#f-anchor .finding').innerText().then((t) => t.includes('Stops the sheet')), `${width}: a finding comes by itself`);
  await page.getByLabel('Hour').first().fill('12:20 pm');
  await page.getByLabel('helper').check();
  await page.getByLabel('Asked: none').check();
  await page.getByLabel('Asked: nothing').check();
  await page.getByLabel('Telephone').fill('902 555 0186');
  await page.getByLabel('Lot').focus();
  await page.keyboard.type('010952123454321310A1234');
  await page.keyboard.press('Control+]');
  await page.keyboard.type('17280831');
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('input.scan').value === 'A1234');
  expect((await page.getByLabel('Use by').inputValue()) === '2028-08-31', `${width}: a scan fills the use-by date`);
  await page.locator('.beside img.sheet').waitFor();
  expect(await page.locator('.beside img.sheet').evaluate((one) => one.complete && one.naturalWidth > 0), `${width}: the page is drawn`);
  expect((await page.locator('#f-anchor .finding').count()) === 0, `${width}: the finding goes`);
  const times = [];
  for (const hour of ['12:25 pm', '12:30 pm', '12:35 pm']) {
    const before = await page.locator('.beside img.sheet').getAttribute('src');
    const began = Date.now();
    await page.getByLabel('Hour').first().fill(hour);
    await page.waitForFunction((src) => document.querySelector('.beside img.sheet')?.src !== src, before);
    times.push(Date.now() - began);
  }
  console.log(`${width}: a page is drawn anew after ${times.join(', ')} ms, 250 ms of them waiting for the next key`);
  await axe(page, `person-live ${width}`);
  await picture(page, `person-live-${width}`);
  await page.getByRole('button', { name: 'Keep' }).click();
  expect(await page.getByText('Nothing stops this sheet.').isVisible(), `${width}: kept after all that`);
  await own.close();
}

const folder = mkdtempSync(join(tmpdir(), 'desk-'));
if (pictures) mkdirSync(pictures, { recursive: true });
const clinic = prepare(folder);
const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu', '--disable-quic',
  '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'] });
const servers = [];
async function started(now) {
  servers.push(serve(clinic, now));
  await servers.at(-1).link();
  return servers.at(-1);
}
try {
  const afternoon = await started(AFTERNOON);
  for (const width of WIDTHS) await walkPerson(browser, afternoon, width);
  for (const width of WIDTHS) await walkLive(browser, afternoon, width);
  fillEvening(clinic);
  const night = await started(NOW);
  for (const width of WIDTHS) {
    await look(browser, night, width, false);
    await look(browser, night, width, true);
  }
  for (const width of WIDTHS) await walk(browser, night, width);
} catch (error) {
  faults.push(String(error.stack));
}
await browser.close();
for (const server of servers) server.desk.kill('SIGTERM');
rmSync(folder, { recursive: true });
for (const fault of faults) console.log(fault);
console.log(`desk: ${checked} pages asked by axe-core, ${walked} steps walked, ${faults.length} faults`);
process.exit(faults.length || !checked || !walked ? 1 : 0);
