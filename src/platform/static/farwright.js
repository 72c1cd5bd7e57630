// Small comforts in the browser. Every act works without this file; nothing here decides anything.
(() => {
  const root = document.documentElement;
  root.classList.add('js');

  /** The elements under `scope`, and `scope` itself, that match. */
  const within = (scope, selector) => {
    const found = [...scope.querySelectorAll(selector)];
    if (scope.matches?.(selector)) found.unshift(scope);
    return found;
  };

  /** What is told to screen readers and shown above the sheet when the server gives no page of its own. */
  const tell = (text) => {
    const flash = document.getElementById('flash');
    if (!flash) return;
    const box = document.createElement('div');
    box.className = 'notice refused';
    box.setAttribute('role', 'alert');
    const line = document.createElement('p');
    line.textContent = text;
    box.append(line);
    flash.replaceChildren(box);
    box.scrollIntoView({ block: 'nearest' });
  };

  // A form sent once is not sent again by an impatient second press. The button keeps its focus, so it is told
  // off rather than disabled. Forms that fetch (filters, downloads) may be sent as often as one likes.
  document.addEventListener('submit', (event) => {
    const form = event.target;
    if (
      form.getAttribute('method')?.toLowerCase() !== 'post' ||
      form.matches('[data-again], [hx-post], [hx-put], [hx-delete]')
    )
      return;
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = 'yes';
    for (const button of form.querySelectorAll('button:not([type=button])'))
      button.setAttribute('aria-disabled', 'true');
  });
  // Coming back by the browser's back button shows the page as it was left: make the buttons live again.
  window.addEventListener('pageshow', () => {
    for (const form of document.querySelectorAll('form[data-sent]')) {
      delete form.dataset.sent;
      for (const button of form.querySelectorAll('[aria-disabled]')) button.removeAttribute('aria-disabled');
    }
  });

  document.addEventListener('change', (event) => {
    const form = event.target.closest?.('form[data-auto]');
    if (form && !event.target.matches('[type=text], [type=search]')) form.requestSubmit();
  });

  // Pictures chosen for a form are shown before they are sent: which ones, and whether one is held the wrong way.
  document.addEventListener('change', (event) => {
    const input = event.target;
    if (!input.matches?.('input[type=file][accept^="image/"]')) return;
    const shown = input.parentElement.querySelector('.photos');
    for (const image of shown?.querySelectorAll('img') ?? []) URL.revokeObjectURL(image.src);
    shown?.remove();
    if (!input.files.length) return;
    const list = document.createElement('ul');
    list.className = 'photos';
    for (const file of input.files) {
      const item = document.createElement('li');
      const image = document.createElement('img');
      image.alt = file.name;
      // A kind that this browser can't show is still sent: its name stands in the picture's place.
      image.src = URL.createObjectURL(file);
      item.append(image);
      list.append(item);
    }
    input.after(list);
  });

  document.addEventListener('click', async (event) => {
    const button = event.target.closest?.('[data-copy]');
    if (!button) return;
    const words = button.textContent;
    try {
      await navigator.clipboard.writeText(button.dataset.copy);
      button.textContent = 'Copied';
    } catch {
      button.textContent = 'Select and copy by hand';
    }
    setTimeout(() => {
      button.textContent = words;
    }, 2500);
  });

  // An open menu of the header closes on Escape and on a press elsewhere.
  const closeMenus = (except) => {
    for (const menu of document.querySelectorAll('details[data-fold][open]'))
      if (menu !== except) menu.open = false;
  };
  document.addEventListener('click', (event) => closeMenus(event.target.closest?.('details[data-fold]')));
  document.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape') return;
    const menu = event.target.closest?.('details[data-fold][open]');
    closeMenus();
    menu?.querySelector('summary')?.focus();
  });

  // Folded parts stay as they were left, per page, until the window is closed.
  const memory = (details) => `fold ${location.pathname} ${details.id}`;
  document.addEventListener(
    'toggle',
    (event) => {
      const details = event.target;
      if (!details.id || !details.matches?.('details[data-keep]')) return;
      try {
        sessionStorage.setItem(memory(details), details.open ? 'open' : 'shut');
      } catch {
        // storage refused by the browser: the fold is simply not remembered
      }
    },
    true,
  );

  /** The status of the reply an htmx event speaks of, where there is one. */
  const status = (event) => event.detail?.ctx?.response?.raw?.status;

  /** Counters, copy buttons and remembered folds in a page or in a fragment that has just come in. */
  const dress = (scope, findError) => {
    for (const button of within(scope, '[data-copy][hidden]')) button.hidden = false;
    for (const area of within(scope, 'textarea[data-count]')) {
      const hint = document.getElementById(area.dataset.count);
      if (!hint || area.dataset.counting) continue;
      area.dataset.counting = 'yes';
      const words = hint.textContent;
      const limit = Number(area.getAttribute('maxlength'));
      const count = () => {
        hint.textContent = area.value.length === 0 ? words : `${words} ${limit - area.value.length} left.`;
      };
      area.addEventListener('input', count);
      count();
    }
    for (const details of within(scope, 'details[data-keep][id]')) {
      try {
        const kept = sessionStorage.getItem(memory(details));
        if (kept) details.open = kept === 'open';
      } catch {
        // as above
      }
    }
    if (!findError) return;
    const wrong = within(scope, '[data-focus]')[0] ?? within(scope, '[aria-invalid=true]')[0];
    wrong?.focus();
  };
  dress(document.body, true);
  document.addEventListener('htmx:after:swap', (event) => {
    const target = event.detail?.ctx?.target ?? event.target;
    // After an outer swap the old target is gone: dress what is on the page now. The focus moves only for a form that
    // came back with errors, never because something elsewhere on the page was brought up to date.
    dress(target instanceof Element && target.isConnected ? target : document.body, status(event) === 422);
  });

  document.addEventListener('htmx:response:error', (event) => {
    const code = status(event);
    if (code === 409 || code === 422) return;
    if (code === 401 || code === 403)
      tell('This is not open to you any more. Load the page again, or sign in.');
    else if (code === 429) tell('Too many requests in a short time. Wait a minute, then try again.');
    else tell('That did not work, and nothing was changed. Load the page and try again.');
  });
  document.addEventListener('htmx:error', (event) => {
    if (event.detail?.ctx && !event.detail.ctx.response)
      tell('No answer from the server. Nothing was changed; try again when you are connected.');
  });
})();
