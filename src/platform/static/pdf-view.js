// Shows a PDF drawing in the page, sheet by sheet, also where the browser has no reader of its own. The link to the file
// stays for who has no script.
import { GlobalWorkerOptions, getDocument } from '/static/pdf/pdf.mjs';

GlobalWorkerOptions.workerSrc = '/static/pdf/pdf.worker.mjs';
const MOST_PIXELS = 16_000_000;

for (const figure of document.querySelectorAll('[data-pdf]')) void show(figure);

async function show(figure) {
  const said = figure.querySelector('[data-said]');
  const stage = figure.querySelector('[data-stage]');
  try {
    const pdf = await getDocument({ url: figure.dataset.pdf, enableXfa: false }).promise;
    const tools = figure.querySelector('[data-tools]');
    const place = figure.querySelector('[data-page]');
    let number = 1;
    let zoom = 1;
    let drawing = null;
    async function draw() {
      drawing?.cancel();
      const page = await pdf.getPage(number);
      const fit = stage.clientWidth / page.getViewport({ scale: 1 }).width;
      const viewport = page.getViewport({ scale: fit * zoom });
      const sharp = Math.min(devicePixelRatio, Math.sqrt(MOST_PIXELS / (viewport.width * viewport.height)));
      const canvas = document.createElement('canvas');
      canvas.width = Math.floor(viewport.width * sharp);
      canvas.height = Math.floor(viewport.height * sharp);
      canvas.setAttribute('width', canvas.width);
      canvas.className = 'pdf-page';
      canvas.setAttribute('role', 'img');
      canvas.setAttribute('aria-label', `${figure.dataset.label}, sheet ${number} of ${pdf.numPages}`);
      drawing = page.render({ canvas, viewport: page.getViewport({ scale: fit * zoom * sharp }) });
      await drawing.promise;
      canvas.style.width = `${viewport.width}px`;
      stage.replaceChildren(canvas);
      place.textContent = `Sheet ${number} of ${pdf.numPages}`;
      figure.dataset.ready = String(number);
    }
    const again = () =>
      draw().catch((fault) => {
        if (fault.name !== 'RenderingCancelledException') throw fault;
      });
    for (const button of figure.querySelectorAll('[data-turn]')) {
      button.addEventListener('click', () => {
        number = Math.min(pdf.numPages, Math.max(1, number + Number(button.dataset.turn)));
        void again();
      });
    }
    for (const button of figure.querySelectorAll('[data-zoom]')) {
      button.addEventListener('click', () => {
        zoom = Math.min(6, Math.max(1, zoom * Number(button.dataset.zoom)));
        void again();
      });
    }
    await draw();
    said.textContent = '';
    tools.hidden = false;
  } catch (fault) {
    said.textContent = `The drawing can't be shown here: ${String(fault.message).slice(0, 200)}`;
  }
}
