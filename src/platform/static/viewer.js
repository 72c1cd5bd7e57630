// Turns a model in the page: parallel projection as on a drawing, Z up, a section, and distances between two points.
// Without it the picture stays. Works by mouse, touch and keyboard; nothing is drawn while nothing changes.
import { OrbitControls } from '/static/three/OrbitControls.js';
import * as THREE from '/static/three/three.module.js';

const MM_PER_INCH = 25.4;
/** Faces meeting at more than this are parted by a line, in degrees. */
const EDGE_ANGLE = 25;
const MOST_TRIANGLES_WITH_EDGES = 150_000;
const TURN = Math.PI / 24;
const SNAP_PIXELS = 10;

/** Where one looks from, as in the views of a drawing. */
const VIEWS = {
  front: [0, -1, 0],
  right: [1, 0, 0],
  top: [0, 0, 1],
  corner: [1, -1, 0.8],
};

for (const figure of document.querySelectorAll('[data-mesh]')) void start(figure);

async function start(figure) {
  const said = figure.querySelector('[data-said]');
  try {
    const response = await fetch(figure.dataset.mesh);
    if (!response.ok) throw new Error(await response.text());
    const positions = new Float32Array(await response.arrayBuffer());
    // An STL's figures are in the unit that was said of it; everything below is in mm.
    const scale = Number(figure.dataset.scale) || 1;
    if (scale !== 1) for (let at = 0; at < positions.length; at++) positions[at] *= scale;
    if (positions.length < 9) throw new Error('There is no face in it.');
    show(figure, positions);
    said.textContent = '';
    figure.dataset.ready = 'yes';
  } catch (fault) {
    said.textContent = `The model can't be turned here: ${fault.message.slice(0, 200)}`;
  }
}

function show(figure, positions) {
  const stage = figure.querySelector('[data-stage]');
  const renderer = new THREE.WebGLRenderer({ antialias: true, alpha: true });
  renderer.localClippingEnabled = true;
  const canvas = renderer.domElement;
  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'application');
  canvas.setAttribute('aria-label', figure.dataset.label);
  canvas.setAttribute('aria-describedby', `${figure.id}-keys`);
  stage.replaceChildren(canvas);

  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute('position', new THREE.BufferAttribute(positions, 3));
  geometry.computeVertexNormals();
  geometry.computeBoundingBox();
  const box = geometry.boundingBox;
  const middle = box.getCenter(new THREE.Vector3());
  const reach = Math.max(box.getSize(new THREE.Vector3()).length() / 2, 1e-6);

  const section = new THREE.Plane(new THREE.Vector3(-1, 0, 0), 0);
  const outside = new THREE.MeshLambertMaterial({
    side: THREE.FrontSide,
    polygonOffset: true,
    polygonOffsetFactor: 1,
  });
  // What is cut open shows its inner faces in one tone, as a section on paper is filled.
  const inside = new THREE.MeshBasicMaterial({ side: THREE.BackSide });
  const ink = new THREE.LineBasicMaterial();
  const mark = new THREE.LineBasicMaterial({ depthTest: false });
  const scene = new THREE.Scene();
  scene.add(new THREE.Mesh(geometry, outside), new THREE.Mesh(geometry, inside));
  if (positions.length / 9 <= MOST_TRIANGLES_WITH_EDGES) {
    scene.add(new THREE.LineSegments(new THREE.EdgesGeometry(geometry, EDGE_ANGLE), ink));
  }
  const sky = new THREE.HemisphereLight(0xffffff, 0x888888, 1.6);
  sky.position.set(0, 0, 1);
  const lamp = new THREE.DirectionalLight(0xffffff, 1.6);
  scene.add(sky, lamp);
  const ruler = new THREE.LineSegments(new THREE.BufferGeometry(), mark);
  ruler.renderOrder = 2;
  scene.add(ruler);

  const camera = new THREE.OrthographicCamera(-1, 1, 1, -1, -10 * reach, 20 * reach);
  camera.up.set(0, 0, 1);
  const controls = new OrbitControls(camera, canvas);
  controls.zoomToCursor = true;

  let waiting = false;
  function draw() {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      lamp.position
        .copy(camera.position)
        .sub(controls.target)
        .add(new THREE.Vector3(reach, 0, reach));
      renderer.render(scene, camera);
    });
  }

  function colours() {
    const style = getComputedStyle(document.documentElement);
    const colour = (name) => new THREE.Color(style.getPropertyValue(name).trim());
    // Halfway between rules and soft ink is a tone that stands off a light sheet and a dark one alike.
    const dark = matchMedia('(prefers-color-scheme: dark)').matches;
    outside.color = dark
      ? colour('--soft').lerp(colour('--rule'), 0.3)
      : colour('--rule').lerp(colour('--sheet'), 0.5);
    inside.color = colour('--soft');
    ink.color = colour('--ink');
    mark.color = colour('--need');
    draw();
  }

  function resize() {
    const width = stage.clientWidth;
    const height = stage.clientHeight;
    if (!width || !height) return;
    renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    renderer.setSize(width, height, false);
    const side = reach * 1.08;
    const wide = width > height ? (side * width) / height : side;
    const tall = width > height ? side : (side * height) / width;
    Object.assign(camera, { left: -wide, right: wide, top: tall, bottom: -tall });
    camera.updateProjectionMatrix();
    draw();
  }

  function look(view) {
    const from = new THREE.Vector3(...VIEWS[view]).normalize().multiplyScalar(4 * reach);
    controls.target.copy(middle);
    camera.position.copy(middle).add(from);
    camera.zoom = 1;
    camera.updateProjectionMatrix();
    controls.update();
    draw();
  }

  // Section: a plane across one axis, moved along it.
  const axis = figure.querySelector('[data-axis]');
  const place = figure.querySelector('[data-place]');
  const other = figure.querySelector('[data-other]');
  function cut() {
    const across = axis.value;
    place.disabled = across === '';
    other.disabled = across === '';
    const planes = [];
    if (across) {
      const sign = other.checked ? 1 : -1;
      section.normal.set(0, 0, 0)[across] = sign;
      const at = box.min[across] + (box.max[across] - box.min[across]) * (Number(place.value) / 1000);
      section.constant = -sign * at;
      planes.push(section);
      place.setAttribute('aria-valuetext', `${across.toUpperCase()} ${length(at)}`);
    }
    for (const material of [outside, inside, ink]) {
      material.clippingPlanes = planes;
      material.needsUpdate = true;
    }
    draw();
  }

  // Measuring: two points on the surface, caught by a corner that is near.
  const unit = figure.querySelector('[data-length-unit]');
  const measure = figure.querySelector('[data-measure]');
  const result = figure.querySelector('[data-result]');
  let points = [];
  function length(mm) {
    const value = unit.value === 'in' ? mm / MM_PER_INCH : mm;
    return `${value.toFixed(unit.value === 'in' ? 4 : 3)} ${unit.value}`;
  }
  function tell() {
    const [from, to] = points;
    if (!measure.checked) result.textContent = '';
    else if (!from) result.textContent = 'Choose the first point.';
    else if (!to) result.textContent = `First point: ${say(from)}. Choose the second.`;
    else {
      const apart = to.clone().sub(from);
      result.textContent = `${length(apart.length())} apart (X ${length(Math.abs(apart.x))}, Y ${length(Math.abs(apart.y))}, Z ${length(Math.abs(apart.z))}), between points of the picture’s faces.`;
    }
    const cross = [];
    const arm = (reach * 0.04) / camera.zoom;
    for (const point of points) {
      for (const [x, y, z] of [
        [arm, 0, 0],
        [0, arm, 0],
        [0, 0, arm],
      ]) {
        cross.push(point.x - x, point.y - y, point.z - z, point.x + x, point.y + y, point.z + z);
      }
    }
    if (from && to) cross.push(from.x, from.y, from.z, to.x, to.y, to.z);
    ruler.geometry.dispose();
    ruler.geometry = new THREE.BufferGeometry();
    ruler.geometry.setAttribute('position', new THREE.Float32BufferAttribute(cross, 3));
    draw();
  }
  function say(point) {
    return `X ${length(point.x)}, Y ${length(point.y)}, Z ${length(point.z)}`;
  }
  const caster = new THREE.Raycaster();
  function pick(x, y) {
    caster.setFromCamera(new THREE.Vector2(x, y), camera);
    const body = scene.children[0];
    const shown = (hit) => !(outside.clippingPlanes?.[0]?.distanceToPoint(hit.point) < 0);
    const hit = caster.intersectObject(body).find(shown);
    if (!hit) {
      result.textContent = 'No surface there.';
      return;
    }
    const corners = [hit.face.a, hit.face.b, hit.face.c].map((index) =>
      new THREE.Vector3().fromBufferAttribute(geometry.attributes.position, index),
    );
    const pixels = (point) => {
      const seen = point.clone().project(camera);
      return Math.hypot(((seen.x - x) * stage.clientWidth) / 2, ((seen.y - y) * stage.clientHeight) / 2);
    };
    const near = corners.reduce((best, corner) => (pixels(corner) < pixels(best) ? corner : best));
    if (points.length === 2) points = [];
    points.push(pixels(near) <= SNAP_PIXELS ? near : hit.point.clone());
    tell();
  }

  let pressed = null;
  canvas.addEventListener('pointerdown', (event) => {
    pressed = [event.clientX, event.clientY];
  });
  canvas.addEventListener('pointerup', (event) => {
    // A drag turns the model; a press that stays where it was chooses a point.
    if (!measure.checked || !pressed) return;
    if (Math.hypot(event.clientX - pressed[0], event.clientY - pressed[1]) > 5) return;
    const { left, top, width, height } = canvas.getBoundingClientRect();
    pick(((event.clientX - left) / width) * 2 - 1, 1 - ((event.clientY - top) / height) * 2);
  });

  const keys = {
    ArrowLeft: () => controls.rotateLeft(TURN),
    ArrowRight: () => controls.rotateLeft(-TURN),
    ArrowUp: () => controls.rotateUp(TURN),
    ArrowDown: () => controls.rotateUp(-TURN),
    '+': () => controls.dollyIn(0.9),
    '=': () => controls.dollyIn(0.9),
    '-': () => controls.dollyOut(0.9),
    0: () => look('corner'),
    Enter: () => measure.checked && pick(0, 0),
  };
  canvas.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = 40;
    const pans = { ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
    const act = event.shiftKey && pans[event.key] ? () => controls.pan(...pans[event.key]) : keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
    controls.update();
    draw();
  });

  for (const button of figure.querySelectorAll('[data-view]')) {
    button.addEventListener('click', () => look(button.dataset.view));
  }
  for (const control of [axis, place, other]) control.addEventListener('input', cut);
  measure.addEventListener('change', () => {
    points = [];
    figure.classList.toggle('measuring', measure.checked);
    tell();
  });
  unit.addEventListener('change', tell);
  controls.addEventListener('change', draw);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', colours);
  new ResizeObserver(resize).observe(stage);
  figure.querySelector('[data-tools]').hidden = false;
  colours();
  look('corner');
  resize();
  cut();
}
