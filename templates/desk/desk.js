// The desk's comforts: a page as it would be while somebody types, a scanner's keys, Tonight that
// renews itself.  Every page works without them, and nothing is judged or kept here: each asks the
// same address that a button asks, and takes its part of the page that comes back.
'use strict';
(() => {
  const WAIT = 250; // ms after a key
  const find = (words, within = document) => within.querySelector(words);
  const all = (words, within = document) => [...within.querySelectorAll(words)];

  async function pageOf(address, options = {}) {
    const answer = await fetch(address, { credentials: 'same-origin', ...options });
    if (!(answer.headers.get('Content-Type') || '').startsWith('text/html')) throw new Error('no page');
    return new DOMParser().parseFromString(await answer.text(), 'text/html');
  }

  // Each page has a token that is good for one form: the one that came back is good now.
  function takeToken(page) {
    const token = find('input[name=token]', page);
    if (!token) throw new Error('not at the desk any more');
    for (const one of all('input[name=token]')) one.value = token.value;
  }

  // Whoever stood in it stands in it still; a place that is read aloud when it changes stays the same place.
  function swap(words, page) {
    const here = find(words), there = find(words, page);
    if (!here || !there || here.isEqualNode(there)) return;
    const stood = here.contains(document.activeElement);
    const now = document.adoptNode(there);
    if (here.hasAttribute('aria-live')) here.replaceChildren(...now.childNodes);
    else here.replaceWith(now);
    if (stood) find('a, button, summary, [tabindex]', find(words))?.focus();
  }

  // ---- a form whose page is drawn while it is filled in

  let running = null; // the answer that is waited for: until then the page's token is spent
  document.addEventListener('submit', (event) => {
    if (!running) return;
    event.preventDefault();
    const form = event.target, by = event.submitter;
    running.finally(() => form.requestSubmit(by));
  }, true);

  function said(form) {
    const data = new URLSearchParams(new FormData(form));
    data.delete('token');
    return data.toString();
  }

  const places = (form) => all('[id^="f-"]', form);
  const SAID = ':scope > :is(.finding, .taken)'; // of a field, below it
  const words = (list) => list.map((one) => one.textContent).join();

  // Between two fields that somebody fills in with keys alone nothing new stops the Tab key: "Why" is opened
  // with keys once the form was sent.
  function noStops(within) {
    for (const one of all('.finding :is(a, summary)', within)) one.tabIndex = -1;
  }

  function swapFindings(form, next) {
    for (const place of places(form)) {
      const there = find(`#${place.id}`, next), old = all(SAID, place), now = there ? all(SAID, there) : [];
      if (words(old) === words(now)) continue;
      const stood = old.some((one) => one.contains(document.activeElement));
      for (const one of old) one.remove();
      for (const one of now) place.append(document.adoptNode(one));
      if (stood) find('input, select', place)?.focus();
    }
    noStops(form);
  }

  // What the page asks for has changed, or a scan was taken apart: all fields anew, whoever types where she was.
  function swapFields(form, next) {
    const at = form.contains(document.activeElement) ? document.activeElement : null;
    const from = at?.selectionStart ?? null, until = at?.selectionEnd ?? null;
    form.replaceChildren(...[...next.childNodes].map((node) => document.adoptNode(node)));
    noStops(form);
    const now = at && (all('[name]', form).find((one) => one.name === at.name && (one.type === 'text' || one.value === at.value)) ||
      document.getElementById(at.id));
    now?.focus();
    if (from !== null && now?.value === at.value) now.setSelectionRange(from, until);
  }

  function showAnswer(form, page, asked) {
    const next = find('form.live', page);
    takeToken(page);
    if (!next) return;
    const names = (where) => places(where).map((one) => one.id).join();
    const other = !('keep' in form.dataset) && (names(next) !== names(form) || said(next) !== asked);
    if (other && said(form) === asked) swapFields(form, next);
    else swapFindings(form, next);
    swap('.outcome', page);
    swap('.stuck', page);
    swap('.beside', page);
    swap('.others', page);
    swap('#f-elsewhere', page);
    // What came above it must not push the field that is typed into out of the window.
    if (form.contains(document.activeElement)) document.activeElement.scrollIntoView({ block: 'nearest' });
    form.dispatchEvent(new Event('answered'));
  }

  function live(form) {
    let shown = said(form), timer = 0;
    async function ask() {
      const asked = said(form);
      if (asked === shown) return;
      const body = new URLSearchParams(new FormData(form));
      const page = await pageOf(form.dataset.live, { method: 'POST', body });
      shown = asked;
      showAnswer(form, page, asked);
      if (said(form) === asked) shown = said(form);
      else later(0);
    }
    function go() {
      if (running) return later(WAIT);
      running = ask().catch(() => { shown = ''; }).finally(() => { running = null; });
      return running;
    }
    function later(wait) {
      clearTimeout(timer);
      timer = setTimeout(go, wait);
    }
    // What an entry may mean stands beside it as buttons: one of them is typed into its field.
    form.addEventListener('click', (event) => {
      const way = event.target.closest('button[name=take]');
      const field = way && all('input', form).find((one) => way.value.startsWith(`${one.name}=`));
      if (!field) return;
      event.preventDefault();
      field.value = way.value.slice(field.name.length + 1);
      field.focus();
      later(0);
    });
    form.addEventListener('input', () => later(WAIT));
    form.addEventListener('change', () => later(0));
    form.addEventListener('submit', () => clearTimeout(timer));
    form.addEventListener('scanned', () => later(0));
  }

  // ---- a protocol's text, where the editor is there: findings mark their lines, words are completed

  function marks(editor) {
    for (let line = 0; line < editor.lineCount(); line += 1) editor.removeLineClass(line, 'background', 'marked');
    for (const found of all('.text > li[id] > .finding'))
      editor.addLineClass(Number(found.parentElement.id.slice('line-'.length)) - 1, 'background', 'marked');
  }

  function complete(editor) {
    const at = editor.getCursor();
    const typed = /(?:^\s*(?:- )?|[:,[{]\s*)([^:,[\]{}]*)$/.exec(editor.getLine(at.line).slice(0, at.ch))?.[1] ?? '';
    const words = all('#words option').filter((one) => one.value.startsWith(typed));
    const list = words.map((one) => ({ text: one.value, displayText: one.label && one.label !== one.value ? `${one.value} – ${one.label}` : one.value }));
    return { list, from: { line: at.line, ch: at.ch - typed.length }, to: at };
  }

  // What the key of the line means.
  function explain(editor) {
    const key = /^\s*(?:- )?(\w+):/.exec(editor.getLine(editor.getCursor().line))?.[1];
    const word = key && all('#words option').find((one) => one.value === key);
    find('#meaning').textContent = word && word.label !== key ? `${key}: ${word.label}` : '';
  }

  function write(area) {
    if (!window.CodeMirror) return;
    const editor = window.CodeMirror.fromTextArea(area, {
      mode: 'yaml', lineNumbers: true, lineWrapping: true, screenReaderLabel: 'The protocol\u2019s text',
      extraKeys: { 'Ctrl-Space': 'autocomplete', Tab: false, 'Shift-Tab': false },
      hintOptions: { hint: complete, completeSingle: false },
    });
    editor.on('change', () => {
      editor.save();
      area.dispatchEvent(new Event('input', { bubbles: true }));
    });
    editor.on('cursorActivity', () => explain(editor));
    area.form.addEventListener('answered', () => marks(editor));
    marks(editor);
  }

  // ---- a scanner is a keyboard: the sign between two parts comes as Ctrl and ], the end as Enter

  const SEPARATOR = '\u241d';
  const isScan = (text) => /^(\][A-Za-z]\d|\u241d|\(\d{2,4}\)|01\d{14}.)/.test(text) || text.includes(SEPARATOR);

  document.addEventListener('keydown', (event) => {
    const field = event.target.closest?.('input.scan');
    if (!field) return;
    if (event.ctrlKey && (event.key === ']' || event.code === 'BracketRight')) {
      event.preventDefault();
      field.setRangeText(SEPARATOR, field.selectionStart, field.selectionEnd, 'end');
    } else if (event.key === 'Enter' && isScan(field.value)) {
      event.preventDefault();
      field.dispatchEvent(new Event('scanned', { bubbles: true }));
    }
  });

  // ---- Tonight renews itself; what is being read or typed in it stays

  function busy(part) {
    const selection = document.getSelection();
    return part.contains(document.activeElement) || (selection && !selection.isCollapsed);
  }

  function renew(part) {
    const every = Number(part.dataset.renew) * 1000;
    setInterval(async () => {
      const here = find('[data-renew]');
      if (!here || busy(here) || document.hidden) return;
      try {
        const asked = new URLSearchParams(location.search);
        asked.delete('noted');
        asked.set('renewed', '1');
        const page = await pageOf(`${location.pathname}?${asked}`);
        if (!find('[data-renew]', page)) throw new Error('not at the desk any more');
        swap('[data-renew]', page);
        swap('.head .where', page);
        document.title = page.title;
      } catch {
        const stale = find('.stale');
        if (stale) stale.hidden = false;
      }
    }, every);
  }

  for (const area of all('textarea.source')) write(area);
  for (const form of all('form.live[data-live]')) live(form);
  for (const part of all('[data-renew]')) renew(part);
})();
