// What the page does beyond being read. It reads what is there and adds no words: without it everything is shown at once.
(() => {
  'use strict';
  const all = (selector, from = document) => Array.from(from.querySelectorAll(selector));
  const one = (selector, from = document) => from.querySelector(selector);
  const words = (element) => element.textContent.replace(/\s+/g, ' ').trim();
  document.documentElement.classList.add('live');
  all('[hidden]').filter((element) => !element.matches('.bar')).forEach((element) => { element.hidden = false; });

  // Sites: one at a time, chosen in the list or on the map.
  const places = all('.place');
  const view = one('.view');
  const map = view && one('svg', view);
  const marks = map ? all('.number', map) : [];
  const status = one('.chosen');
  let chosen = null;
  const choose = (number, from) => {
    chosen = chosen === number && from === 'list' ? null : number;
    for (const place of places) {
      const open = place.dataset.site === chosen;
      place.classList.toggle('open', open);
      one('button', place).setAttribute('aria-expanded', String(open));
    }
    if (map) {
      for (const part of all('[data-site]', map)) part.classList.toggle('chosen', part.dataset.site === chosen);
      for (const mark of marks) mark.setAttribute('aria-pressed', String(mark.dataset.site === chosen));
    }
    const place = places.find((other) => other.dataset.site === chosen);
    status.textContent = '';
    if (!place) return;
    if (from === 'map') {
      const row = one('dl div', place);
      status.textContent = words(one('.name', place)) + (row ? ': ' + words(one('dt', row)) + ' ' + words(one('dd', row)) : '');
      const list = place.parentElement;
      if (list.scrollHeight > list.clientHeight) list.scrollTop = place.offsetTop - list.offsetTop;
    }
    bring(chosen);
  };
  places.forEach((place, index) => {
    const head = one('h3', place);
    const told = one('.of-site', place);
    const button = document.createElement('button');
    button.type = 'button';
    button.append(...head.childNodes);
    head.append(button);
    told.id = 'of-site-' + (index + 1);
    button.setAttribute('aria-controls', told.id);
    button.addEventListener('click', () => choose(place.dataset.site, 'list'));
  });

  // The map: closer and farther, from site to site.
  let closer = 1;
  let middle = null;
  let bring = () => {};
  if (map) {
    const [, , width, height] = map.getAttribute('viewBox').split(' ').map(Number);
    const steps = all('.whole .bar').map((bar) => Number(bar.dataset.closer));
    const most = steps[steps.length - 1];
    middle = [width / 2, height / 2];
    const place = (mark) => mark.getAttribute('transform').match(/-?[\d.]+/g).map(Number);
    const show = () => {
      const [w, h] = [width / closer, height / closer];
      middle = [Math.min(Math.max(middle[0], w / 2), width - w / 2), Math.min(Math.max(middle[1], h / 2), height - h / 2)];
      map.setAttribute('viewBox', [middle[0] - w / 2, middle[1] - h / 2, w, h].map((n) => n.toFixed(2)).join(' '));
      map.style.setProperty('--closer', String(1 / closer));
      view.classList.toggle('near', closer > 1);
      for (const bar of all('.whole .bar')) bar.hidden = Number(bar.dataset.closer) !== closer;
      one('[data-zoom=in]').disabled = closer >= most;
      one('[data-zoom=out]').disabled = one('[data-zoom=all]').disabled = closer <= 1;
    };
    const inside = ([x, y]) => Math.abs(x - middle[0]) < width / closer / 2.2 && Math.abs(y - middle[1]) < height / closer / 2.2;
    bring = (number) => {
      const mark = marks.find((other) => other.dataset.site === number);
      if (mark && !inside(place(mark))) { middle = place(mark); show(); }
    };
    const zoom = (to, about) => {
      const was = closer;
      closer = to === 'in' ? Math.min(closer * 2, most) : to === 'out' ? Math.max(closer / 2, 1) : 1;
      const mark = about || (chosen && marks.find((other) => other.dataset.site === chosen));
      if (closer > was && mark) middle = place(mark);
      show();
    };
    for (const button of all('[data-zoom]')) {
      button.addEventListener('click', () => {
        zoom(button.dataset.zoom);
        // A button that can do no more must not swallow the focus.
        if (button.disabled) one('[data-zoom]:not(:disabled)')?.focus();
      });
    }
    map.setAttribute('role', 'group');
    const reach = (mark) => {
      for (const other of marks) other.setAttribute('tabindex', other === mark ? '0' : '-1');
    };
    for (const [index, mark] of marks.entries()) {
      mark.setAttribute('role', 'button');
      mark.setAttribute('aria-label', mark.dataset.site + ' ' + mark.dataset.name);
      mark.setAttribute('aria-pressed', 'false');
      mark.addEventListener('focus', () => { reach(mark); bring(mark.dataset.site); });
      mark.addEventListener('keydown', (event) => {
        const to = { ArrowRight: index + 1, ArrowDown: index + 1, ArrowLeft: index - 1, ArrowUp: index - 1, Home: 0, End: marks.length - 1 }[event.key];
        if (event.ctrlKey || event.metaKey || event.altKey) return;
        if (to !== undefined) marks[(to + marks.length) % marks.length].focus();
        else if (event.key === 'Enter' || event.key === ' ') choose(mark.dataset.site, 'map');
        else if (event.key === '+' || event.key === '=') zoom('in', mark);
        else if (event.key === '-') zoom('out', mark);
        else if (event.key === '0') zoom('all');
        else return;
        event.preventDefault();
      });
    }
    if (marks.length) reach(marks[0]);
    // A finger or a mouse: a tap chooses, a drag moves what is shown from nearer.
    let from = null;
    let moved = false;
    map.addEventListener('pointerdown', (event) => { from = [event.clientX, event.clientY]; moved = false; });
    map.addEventListener('pointermove', (event) => {
      if (!from || !event.buttons) return;
      const [dx, dy] = [event.clientX - from[0], event.clientY - from[1]];
      if (!moved && Math.hypot(dx, dy) < 5) return;
      moved = true;
      if (closer === 1) return;
      const scale = width / closer / map.getBoundingClientRect().width;
      middle = [middle[0] - dx * scale, middle[1] - dy * scale];
      from = [event.clientX, event.clientY];
      show();
    });
    map.addEventListener('click', (event) => {
      from = null;
      const site = event.target.closest('[data-site]');
      if (site && !moved) choose(site.dataset.site, 'map');
    });
    show();
    // Paper shows the whole.
    let before = null;
    addEventListener('beforeprint', () => { before = [closer, middle]; closer = 1; show(); });
    addEventListener('afterprint', () => { if (before) { [closer, middle] = before; show(); } });
  }
  for (const button of all('.place button')) button.setAttribute('aria-expanded', 'false');
  if (places.length === 1) choose(places[0].dataset.site, 'list');

  // The season: a week at a time, of one kind of crew or of all.
  const season = one('.season');
  if (season) {
    const heads = all('#season thead th');
    const rows = all('#season tbody tr');
    const week = one('#week');
    const output = one('output.week');
    const tell = () => {
      const row = rows[Number(week.value)];
      const kind = season.dataset.kind;
      const cells = all('th, td', row).filter((cell, at) => kind === 'both' || !heads[at].dataset.kind || heads[at].dataset.kind === kind);
      const texts = cells.map((cell) => ({ head: words(heads[cell.cellIndex]), text: words(cell) }));
      output.replaceChildren(...texts.map(({ head, text }) => {
        const part = document.createElement('span');
        const name = document.createElement('span');
        name.className = 'head';
        name.textContent = head + ' ';
        const value = document.createElement('strong');
        value.textContent = text;
        part.append(name, value, ' ');
        return part;
      }));
      week.setAttribute('aria-valuetext', texts.map(({ head, text }) => head + ' ' + text).join(', '));
      for (const bar of all('.one', season)) bar.classList.toggle('now', bar.dataset.week === week.value);
    };
    week.addEventListener('input', tell);
    for (const bar of all('.one', season)) {
      const at = () => { week.value = bar.dataset.week; tell(); };
      bar.addEventListener('pointerenter', at);
      bar.addEventListener('click', at);
    }
    for (const radio of all('.kinds input')) {
      radio.addEventListener('change', () => { season.dataset.kind = radio.value; tell(); });
    }
    tell();
  }

  // The table beside the chart: behind a button, once there is something to press it.
  all('.fold').forEach((fold, index) => {
    const inner = one('.scroll', fold);
    const button = document.createElement('button');
    button.type = 'button';
    button.className = 'unfold';
    inner.id = 'fold-' + (index + 1);
    button.setAttribute('aria-controls', inner.id);
    const set = (open) => {
      fold.classList.toggle('shut', !open);
      button.setAttribute('aria-expanded', String(open));
      button.textContent = open ? fold.dataset.close : fold.dataset.open;
    };
    button.addEventListener('click', () => set(fold.classList.contains('shut')));
    fold.prepend(button);
    set(false);
  });

  // Before and after: one over the other, with an edge that moves.
  for (const pair of all('.pair')) {
    const range = one('.cut input', pair);
    if (!range) continue;
    const frames = one('.frames', pair);
    pair.classList.add('over');
    const cut = () => frames.style.setProperty('--cut', range.value + '%');
    range.addEventListener('input', cut);
    const follow = (event) => {
      const box = one('.after img', pair).getBoundingClientRect();
      const share = (event.clientX - box.left) / box.width * 100;
      range.value = String(Math.round(Math.min(Math.max(share, 0), 100)));
      cut();
    };
    for (const picture of all('img', frames)) {
      picture.draggable = false;
      picture.addEventListener('pointerdown', (event) => {
        picture.setPointerCapture(event.pointerId);
        follow(event);
      });
      picture.addEventListener('pointermove', (event) => { if (picture.hasPointerCapture(event.pointerId)) follow(event); });
    }
    cut();
  }
})();
