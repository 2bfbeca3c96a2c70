// Walks the desk in a real browser (Debian's Chromium), 1280 and 390 wide, without script: a person
// in the afternoon from nothing to a sheet that is printed and moved, a call at night; with script a
// page that is drawn while somebody types, and a scan.  Asks axe-core
// (WCAG 2 A to AAA and best practice) about every page, light and dark.
// usage: node tests/score/desk.mjs [FOLDER for pictures]
import { spawn, execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
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

const IN_DARK = ['tonight', 'call-person', 'person-at-night', 'protocol-edit'];

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
    if (!dark || IN_DARK.includes(name)) await picture(page, `${name}-${width}${dark ? '-dark' : ''}`);
  }
  if (width === 1280 && !dark) await lookAtPaper(page, home);
  faults.push(...errors.map((e) => `${width}${dark ? ' dark' : ''}: ${e}`));
  await own.close();
}

// On paper: Tonight is the list for the wall, a call has its minute and all that is asked and said.
async function lookAtPaper(page, home) {
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width: 790, height: 1050 });
  await page.goto(`${home}/?still=1`);
  await picture(page, 'tonight-print');
  await page.goto(`${home}/call?word=LC-2041`);
  expect(await page.locator('.minute .clock').isVisible(), 'paper: the minute of a call');
  const hidden = await page.locator('.ask .words').evaluateAll((all) => all.filter((one) => !one.checkVisibility({ contentVisibilityAuto: true }) || !one.getBoundingClientRect().height).length);
  expect(hidden === 0 && (await page.locator('.ask .words').count()) > 5, `paper: ${hidden} of the words to say are hidden`);
  await picture(page, 'call-print');
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

// The editor: a wrong word marks its line and says what is wrong, words are completed with what they
// mean, the key's meaning stands below, Tab leads out of it, and nothing is kept by any of it.
async function walkEditor(browser, server, clinic) {
  const own = await context(browser, 1280);
  const page = await own.newPage();
  page.on('pageerror', (e) => faults.push(`editor: ${e.message}`));
  server.more();
  const link = await server.link();
  await sitDown(page, link, 'Dr R. Invented');
  const file = join(clinic, 'protocols/evening-trigger.yaml'), before = readFileSync(file, 'utf8');
  await page.goto(`${new URL(link).origin}/protocol/evening-trigger/edit`);
  const line = before.split('\n').findIndex((one) => /^\s*(- )?dose_is: /.test(one));
  const editor = (script, given) => page.evaluate(`((editor, given) => ${script})(document.querySelector('.CodeMirror').CodeMirror, ${JSON.stringify(given ?? null)})`);
  const value = await editor('{ const at = editor.getLine(given).indexOf(": ") + 2; editor.focus(); editor.setSelection({ line: given, ch: at }, { line: given, ch: editor.getLine(given).length }); return editor.getSelection(); }', line);
  await page.keyboard.type('half of it');
  await page.locator(`#line-${line + 1} .finding`).waitFor();
  const marked = await editor('{ const found = []; editor.eachLine((one) => { if (/marked/.test(one.bgClass || "")) found.push(one.lineNo()); }); return found; }');
  expect(marked.includes(line), `editor: the wrong line ${line} is marked: ${marked}`);
  expect((await page.locator('#meaning').innerText()).startsWith('dose_is:'), 'editor: the meaning of the key');
  await axe(page, 'protocol-written 1280');
  await picture(page, 'protocol-written-1280');
  await editor('{ const at = editor.getLine(given).indexOf(": ") + 2; editor.setSelection({ line: given, ch: at }, { line: given, ch: editor.getLine(given).length }); }', line);
  await page.keyboard.type(value.slice(0, 5));
  await page.keyboard.press('Control+Space');
  await page.locator('.CodeMirror-hints').waitFor();
  await picture(page, 'protocol-completed-1280');
  const offered = await page.locator('.CodeMirror-hint').allInnerTexts();
  expect(offered.some((one) => one.startsWith(value)), `editor: ${value} is offered: ${offered}`);
  await page.locator('.CodeMirror-hint', { hasText: value }).first().click();
  expect((await editor('editor.getLine(given)', line)).endsWith(`: ${value}`), 'editor: the word is completed');
  await page.waitForFunction((at) => !document.querySelector(`#line-${at} .finding`), line + 1);
  expect(await page.locator(`#line-${line + 1} .finding`).count() === 0, 'editor: the finding goes');
  await editor('{ editor.replaceRange("\\n    wind", { line: given, ch: 1e6 }); editor.setCursor({ line: given + 1, ch: 1e6 }); editor.focus(); }', line);
  await page.keyboard.press('Control+Space');
  await page.locator('.CodeMirror-hint', { hasText: 'window – ' }).waitFor();
  expect(await page.locator('.CodeMirror-hint', { hasText: 'window – ' }).isVisible(), 'editor: a key with its meaning');
  await page.keyboard.press('Escape');
  await page.keyboard.press('Tab');
  expect(await page.evaluate(() => document.activeElement.textContent) === 'Keep it', 'editor: Tab leads out');
  expect(readFileSync(file, 'utf8') === before, 'editor: nothing is kept by typing');
  await own.close();
}

// One person, by keys alone and slowly enough that each answer comes between two keys: whoever types stays in
// her field, what is empty is not scolded, and what is read of a short way to write stands beside it.
async function walkSlowly(browser, server) {
  const own = await context(browser, 1280);
  const page = await own.newPage();
  server.more();
  const link = await server.link();
  await sitDown(page, link, 'P. Invented');
  await page.goto(`${new URL(link).origin}/new`);
  await page.waitForFunction(() => document.activeElement.name === 'protocol');
  const where = () => page.evaluate(() => document.activeElement.name || document.activeElement.textContent.trim().slice(0, 20));
  const next = async (name, text) => {
    await page.keyboard.press('Tab');
    expect((await where()) === name, `slowly: Tab leads to ${name}, and not to ${await where()}`);
    await page.keyboard.type(text);
    await page.waitForTimeout(600);
    expect((await where()) === name, `slowly: whoever types in ${name} stays there, and not in ${await where()}`);
  };
  await page.keyboard.type('even');
  await page.locator('input[name="box.0.lot"]').waitFor();
  expect((await page.locator('.finding').count()) === 0 && (await page.locator('.to-fill a').count()) >= 6, 'slowly: what is empty is named once');
  await next('patient', 'LC-3201');
  await next('name', 'Una W.');
  await next('order', 'K-21');
  await next('anchor.on', 'Thu');
  await next('anchor.clock', '12.30');
  await next('zone', '');
  await next('by', ' ');
  await next('allergies', '');
  await next('allergies.these', 'latex');
  await next('bleeding.none', ' ');
  await next('bleeding.blood thinner', '');
  await next('bleeding.bleeding disorder', '');
  await next('phone', '902 555 0129');
  await next('box.0.lot', 'A1234');
  await next('box.0.expires', '08/2028');
  const kept = await page.evaluate(() => ['patient', 'name', 'order', 'anchor.on', 'allergies.these', 'phone'].map((one) => document.querySelector(`[name="${one}"]`).value).join());
  expect(kept === 'LC-3201,Una W.,K-21,Thu,latex,902 555 0129', `slowly: all stands where it was typed: ${kept}`);
  await page.locator('.taken', { hasText: '2028-08' }).waitFor();
  const taken = (await page.locator('.taken').allInnerTexts()).join();
  expect(taken === 'Read as Thursday 2026-11-26,Read as 12:30 pm,Read as 2028-08', `slowly: what was read: ${taken}`);
  await own.close();
}

// Eight people from a list to printed sheets with nothing but keys.  Time by the keystroke-level model
// (Card, Moran and Newell 1980; values from memory): 0.5 s for a key of codes, 1.35 s to turn to a field.
const LIST = ['LC-3001,Mara O.,K-1,11a,902 555 0121', 'LC-3002,Tove B.,K-2,1115,902 555 0122', 'LC-3003,Rhea N.,K-3,11:30 am,902 555 0123',
  'LC-3004,Ilka S.,K-4,11:45 am,902 555 0124', 'LC-3005,Noor D.,K-5,12:05 pm,902 555 0125', 'LC-3006,Pia L.,K-6,12:15 pm,902 555 0126',
  'LC-3007,Suri W.,K-7,12:30p,902 555 0127', 'LC-3008,Gila Z.,K-8,12:45 pm,902 555 0128'];

async function walkKeys(browser, server, script) {
  const own = await context(browser, 1280, { javaScriptEnabled: script });
  const page = await own.newPage();
  let keys = 0, fields = 0;
  const press = async (key) => { keys += 1; await page.keyboard.press(key); };
  const type = async (text) => { keys += text.length; await page.keyboard.type(text); };
  const where = () => page.evaluate(() => document.activeElement && (document.activeElement.name || document.activeElement.textContent || '').trim());
  const to = async (name) => { // by Tab alone
    fields += 1;
    for (let i = 0; i < 60; i += 1) {
      if ((await where()) === name) return true;
      await press('Tab');
    }
    faults.push(`keys: ${name} is not reached`);
    return false;
  };
  server.more();
  const link = await server.link();
  await sitDown(page, link, 'P. Invented');
  await page.goto(`${new URL(link).origin}/new`);
  const began = Date.now();
  for (const [number, one] of LIST.entries()) {
    const [code, name, order, hour, phone] = one.split(',');
    const first = number ? 'patient' : 'protocol'; // the next person has the protocol of the one before
    expect((await where()) === first, `keys: the page begins at ${first}, and not at ${await where()}`);
    if (!number) await type('even');
    if (script && !number) await page.locator('input[name="box.0.lot"]').waitFor();
    await to('patient'); await type(script ? code : code.replace('30', '31'));
    await to('name'); await type(name);
    await to('order'); await type(script ? order : `${order}-0`);
    await to('anchor.on'); await type('Thu');
    await to('anchor.clock'); await type(hour);
    if (!script && !number) { // the fields that this protocol asks for come with the first press
      await press('Enter');
      await page.getByLabel('Lot').waitFor();
    }
    await to('by'); await press('ArrowRight');
    await to('allergies'); await press('Space');
    await to('bleeding.none'); await press('Space');
    await to('phone'); await type(phone);
    await to('box.0.lot'); await type('A1234');
    await to('box.0.expires'); await type('08/2028');
    await press('Enter');
    await page.getByText('Nothing stops this sheet.').waitFor();
    const before = keys;
    await to('Print the sheet');
    if (number === 0) console.log(`keys: ${keys - before} from the page that is kept to its button`);
    await press('Enter');
    await page.getByText('numbered and read back').waitFor();
    expect((await where()) === 'Type in the next person', `keys: the next person is one key away, and not ${await where()}`);
    await press('Enter');
    await page.locator('#protocol').waitFor();
  }
  const minutes = (keys * 0.5 + fields * 1.35 + (Date.now() - began) / 1000) / 60;
  console.log(`keys${script ? '' : ', without script'}: eight people, ${keys} keys, ${fields} fields, ${((Date.now() - began) / 1000).toFixed(0)} s of waiting: ${minutes.toFixed(1)} minutes by the model`);
  expect(minutes <= 10, `keys: eight people within ten minutes: ${minutes}`);
  await own.close();
}

// Work for two: the picture of who has how much, and the way to one of them.
async function walkLoads(browser, server, clinic) {
  const file = join(clinic, 'protocols/arm-trigger.yaml');
  writeFileSync(file, readFileSync(file, 'utf8').replace(/revision: \d+/, 'revision: 9'));
  for (const width of WIDTHS) {
    const own = await context(browser, width, { bypassCSP: true });
    const page = await own.newPage();
    server.more();
    const link = await server.link();
    await sitDown(page, link, 'K. Madeup');
    await page.goto(`${new URL(link).origin}/worklist`);
    await axe(page, `worklist of two ${width}`);
    await picture(page, `worklist-owners-${width}`);
    await page.locator('.loads').getByRole('link', { name: 'Dr A. Invented' }).click();
    expect((await page.locator('.task .of b').allInnerTexts()).every((one) => one === 'Dr A. Invented'), `${width}: the work of one`);
    await own.close();
  }
}

// A password: the page that signs in, what it says of a wrong one, and the one that changes it.
async function walkPassword(browser, clinic, dark) {
  const desk = join(root, '.build/dosewright');
  if (!dark) execFileSync(desk, ['people', 'add', 'K. Madeup', '--clinic', clinic, '--role', 'nurse'], { input: 'three invented words\n', stdio: ['pipe', 'ignore', 'inherit'] });
  const process = spawn(desk, ['desk', '--clinic', clinic, '--now', NOW], { stdio: ['ignore', 'pipe', 'inherit'] });
  const port = await new Promise((take) => process.stdout.on('data', (text) => /port (\d+)/.test(text) && take(/port (\d+)/.exec(text)[1])));
  for (const width of WIDTHS) {
    const own = await context(browser, width, { colorScheme: dark ? 'dark' : 'light', bypassCSP: true });
    const page = await own.newPage();
    const named = (name) => `${name}-${width}${dark ? '-dark' : ''}`;
    await page.goto(`http://127.0.0.1:${port}/call`);
    await axe(page, named('sign-in'));
    await picture(page, named('sign-in'));
    await page.getByLabel('Name').fill('K. Madeup');
    await page.getByLabel('Password').fill('three invented wordz');
    await page.getByRole('button', { name: 'Sign in' }).click();
    await axe(page, named('sign-in-wrong'));
    await page.getByLabel('Name').fill('K. Madeup');
    await page.getByLabel('Password').fill('three invented words');
    await page.getByRole('button', { name: 'Sign in' }).click();
    expect(new URL(page.url()).pathname === '/call', `${width}: signed in to the page that was asked for`);
    await page.goto(`http://127.0.0.1:${port}/who`);
    await axe(page, named('password'));
    await picture(page, named('password'));
    await own.close();
  }
  process.kill('SIGTERM');
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
  await walkEditor(browser, afternoon, clinic);
  await walkSlowly(browser, afternoon);
  await walkKeys(browser, afternoon, true);
  await walkKeys(browser, afternoon, false);
  await walkLoads(browser, night, clinic);
  await walkPassword(browser, clinic, false);
  await walkPassword(browser, clinic, true);
} catch (error) {
  faults.push(String(error.stack));
}
await browser.close();
for (const server of servers) server.desk.kill('SIGTERM');
rmSync(folder, { recursive: true });
for (const fault of faults) console.log(fault);
console.log(`desk: ${checked} pages asked by axe-core, ${walked} steps walked, ${faults.length} faults`);
process.exit(faults.length || !checked || !walked ? 1 : 0);
