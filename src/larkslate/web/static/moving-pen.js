// The moving pen: an SVG whose strokes are drawn in writing order from one clock.
//
//   <moving-pen em="9.5"><svg> … <path class="stroke" pathLength="1"> … </svg></moving-pen>
//
// The drawing is the one that is printed. What is seen is a function of one number, the seconds of writing
// done, so that play, pause, step and seek cannot disagree. Without scripts the whole writing stands there.
// Attributes: em (mm from baseline to top line), speed, repeat, autoplay. Events: "pen-moved", "pen-ended".

/** Em heights a second: an unhurried model, about a letter a second. */
const PACE = 2.4;
/** Seconds for lifting the pen, besides the way to the next stroke. */
const LIFT = 0.28;
/** Seconds for a dot, which has hardly a length. */
const TOUCH = 0.18;

/**
 * When each stroke begins and ends.
 * @param {{length: number, from: {x: number, y: number}, to: {x: number, y: number}}[]} strokes lengths in mm
 * @param {number} em mm from baseline to top line
 * @returns {{start: number, end: number}[]} seconds
 */
export function timeline(strokes, em) {
  const pace = PACE * em;
  let now = 0;
  return strokes.map((stroke, index) => {
    const before = strokes[index - 1];
    if (before) {
      now += LIFT + Math.hypot(stroke.from.x - before.to.x, stroke.from.y - before.to.y) / (3 * pace);
    }
    const start = now;
    now += Math.max(TOUCH, stroke.length / pace);
    return { start, end: now };
  });
}

const SVG = "http://www.w3.org/2000/svg";
const STYLE = `
:host { display: block; --pen-accent: var(--teal, #0a6264); --pen-edge: var(--edge, #6f7f82); }
:host([hidden]) { display: none; }
.paper { border-radius: 2px; }
.paper:focus-visible, button:focus-visible, select:focus-visible, input:focus-visible
  { outline: 3px solid var(--pen-accent); outline-offset: 3px; }
.controls { display: flex; flex-wrap: wrap; align-items: center; gap: .6rem; margin-top: .8rem; font: 400 1rem/1.2 var(--say, sans-serif); }
button, select { font: inherit; color: inherit; background: none; border: 1px solid var(--pen-edge); border-radius: 3px; min-height: 2.75rem; min-width: 2.75rem; padding: .3rem .9rem; cursor: pointer; }
button.main { min-width: 6.5rem; color: #fff; background: var(--pen-accent); border-color: var(--pen-accent); font-weight: 600; }
button[aria-pressed="true"] { border-color: var(--pen-accent); box-shadow: inset 0 0 0 2px var(--pen-accent); }
input { flex: 1 1 10rem; min-width: 8rem; min-height: 2.75rem; accent-color: var(--pen-accent); }
label { display: flex; align-items: center; gap: .4rem; }
output { color: var(--soft, #4b595d); font-variant-numeric: tabular-nums; min-width: 8.5rem; }
@media print { .controls { display: none; } }
`;
const PARTS = `
<div class="paper" tabindex="0" role="group" aria-label="Writing. Space plays and pauses, arrow keys go stroke by stroke."><slot></slot></div>
<div class="controls" role="group" aria-label="Moving pen">
  <button class="main" type="button" data-do="toggle">Play</button>
  <button type="button" data-do="back" aria-label="One stroke back">◀ Stroke</button>
  <button type="button" data-do="next" aria-label="One stroke on">Stroke ▶</button>
  <input type="range" min="0" max="1000" step="1" value="1000" aria-label="Place in the writing">
  <output></output>
  <label>Speed <select><option value="0.5">half</option><option value="1" selected>usual</option><option value="2">double</option></select></label>
  <button type="button" data-do="repeat" aria-pressed="false">Repeat</button>
</div>`;

/**
 * @typedef {object} Stroke
 * @property {SVGPathElement} path
 * @property {number} length
 * @property {DOMPoint} from
 * @property {DOMPoint} to
 */

export class MovingPen extends HTMLElement {
  static observedAttributes = ["em", "speed", "repeat"];

  /** @type {Stroke[]} */
  #strokes = [];
  /** @type {{start: number, end: number}[]} */
  #times = [];
  #time = 0;
  #playing = false;
  #frame = 0;
  #last = 0;
  /** @type {SVGElement[]} */
  #added = [];
  /** @type {SVGCircleElement | null} */
  #dot = null;
  #reduced = matchMedia("(prefers-reduced-motion: reduce)");
  #root = this.attachShadow({ mode: "open" });

  constructor() {
    super();
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(STYLE);
    this.#root.adoptedStyleSheets = [sheet];
    this.#root.innerHTML = PARTS;
    this.#root.querySelector("slot")?.addEventListener("slotchange", () => this.#read());
    this.#root.addEventListener("click", (event) => this.#clicked(event));
    this.#range.addEventListener("input", () => {
      this.pause();
      this.time = (Number(this.#range.value) / 1000) * this.duration;
    });
    this.#select.addEventListener("change", () => this.setAttribute("speed", this.#select.value));
    this.addEventListener("keydown", (event) => this.#key(event));
    this.#reduced.addEventListener("change", () => this.#read());
  }

  connectedCallback() {
    this.#read();
  }

  disconnectedCallback() {
    this.pause();
  }

  /**
   * @param {string} name
   * @param {string | null} _old
   * @param {string | null} value
   */
  attributeChangedCallback(name, _old, value) {
    if (name === "em") this.#read();
    if (name === "speed" && value !== null) this.#select.value = value;
    if (name === "repeat") this.#button("repeat").setAttribute("aria-pressed", String(value !== null));
  }

  /** Seconds the whole writing takes at the usual speed. */
  get duration() {
    return this.#times.at(-1)?.end ?? 0;
  }

  /** Seconds of writing done. */
  get time() {
    return this.#time;
  }

  set time(seconds) {
    this.#time = Math.min(Math.max(seconds, 0), this.duration);
    this.#show();
  }

  get playing() {
    return this.#playing;
  }

  get speed() {
    const speed = Number(this.getAttribute("speed") ?? 1);
    return speed > 0 ? speed : 1;
  }

  get repeat() {
    return this.hasAttribute("repeat");
  }

  /** How many strokes there are. */
  get count() {
    return this.#strokes.length;
  }

  /** Write on from here; from the start when all is written. */
  play() {
    if (!this.#strokes.length || this.#playing) return;
    if (this.#time >= this.duration) this.time = 0;
    this.#playing = true;
    this.#last = performance.now();
    this.#frame = requestAnimationFrame((now) => this.#tick(now));
    this.#label();
  }

  pause() {
    this.#playing = false;
    cancelAnimationFrame(this.#frame);
    this.#label();
  }

  /**
   * To the end of the next stroke, or back to the end of the one before.
   * @param {1 | -1} by
   */
  step(by) {
    this.pause();
    const done = this.#times.filter((t) => t.end <= this.#time + 1e-6).length;
    const within = this.#times.some((t) => t.start < this.#time - 1e-6 && this.#time < t.end - 1e-6);
    const wanted = by > 0 ? done + 1 : within ? done : done - 1;
    const number = Math.min(Math.max(wanted, 0), this.#times.length);
    this.time = number ? this.#times[number - 1].end : 0;
  }

  get #range() {
    return /** @type {HTMLInputElement} */ (this.#root.querySelector("input"));
  }

  get #select() {
    return /** @type {HTMLSelectElement} */ (this.#root.querySelector("select"));
  }

  /** @param {string} name */
  #button(name) {
    return /** @type {HTMLButtonElement} */ (this.#root.querySelector(`[data-do="${name}"]`));
  }

  /** Take in the drawing; show all of it. */
  #read() {
    this.pause();
    for (const one of this.#added) one.remove();
    this.#added = [];
    this.#dot = null;
    const svg = this.querySelector("svg");
    /** @type {SVGPathElement[]} */
    const paths = svg ? [...svg.querySelectorAll(/** @type {"path"} */ ("path.stroke"))] : [];
    this.#strokes = paths.map((path) => {
      const length = path.getTotalLength();
      return { path, length, from: path.getPointAtLength(0), to: path.getPointAtLength(length) };
    });
    const em = Number(this.getAttribute("em") ?? 9.5) || 9.5;
    this.#times = timeline(this.#strokes, em);
    if (svg && this.#strokes.length) this.#add(svg, em);
    this.time = this.duration;
    if (this.hasAttribute("autoplay") && !this.#reduced.matches) this.play();
  }

  /**
   * The pale path to come, the numbers, the dot of the pen.
   * @param {SVGSVGElement} svg
   * @param {number} em
   */
  #add(svg, em) {
    const pale = this.#strokes.map(({ path }) => {
      const copy = /** @type {SVGPathElement} */ (path.cloneNode());
      copy.setAttribute("class", "ghost");
      copy.setAttribute("stroke", "#d9dedd");
      copy.setAttribute("aria-hidden", "true");
      path.parentNode?.insertBefore(copy, path.parentNode.firstChild);
      return copy;
    });
    const dot = document.createElementNS(SVG, "circle");
    dot.setAttribute("class", "pen-dot");
    dot.setAttribute("r", String(0.06 * em));
    dot.setAttribute("fill", "#0a6264");
    dot.setAttribute("stroke", "#ffffff");
    dot.setAttribute("stroke-width", String(0.015 * em));
    dot.setAttribute("aria-hidden", "true");
    svg.append(dot);
    this.#dot = dot;
    this.#added = [...pale, dot];
    const drawn = svg.querySelector(".guides");
    if (drawn instanceof SVGElement) drawn.style.display = this.#reduced.matches ? "" : "none";
    if (this.#reduced.matches && !drawn) this.#added.push(...this.#numbers(svg, em));
  }

  /**
   * A number where each stroke begins, for those who do not want motion.
   * @param {SVGSVGElement} svg
   * @param {number} em
   */
  #numbers(svg, em) {
    const ink = this.#strokes.flatMap(({ path, length }) => {
      const count = Math.ceil(length / (0.05 * em));
      return Array.from({ length: count + 1 }, (_, i) => path.getPointAtLength((length * i) / Math.max(1, count)));
    });
    return this.#strokes.map(({ from }, index) => {
      // Beside the start, on the side where most paper is free.
      const places = Array.from({ length: 8 }, (_, i) => ({
        x: from.x + 0.15 * em * Math.cos((i * Math.PI) / 4),
        y: from.y + 0.15 * em * Math.sin((i * Math.PI) / 4),
      }));
      const room = places.map((at) => Math.min(...ink.map((p) => Math.hypot(p.x - at.x, p.y - at.y))));
      const { x, y } = places[room.indexOf(Math.max(...room))];
      ink.push(new DOMPoint(x, y));
      const text = document.createElementNS(SVG, "text");
      text.textContent = String(index + 1);
      text.setAttribute("class", "number");
      text.setAttribute("x", String(x));
      text.setAttribute("y", String(y + 0.06 * em));
      text.setAttribute("font-size", String(0.17 * em));
      text.setAttribute("font-weight", "600");
      text.setAttribute("text-anchor", "middle");
      text.setAttribute("fill", "#0a6264");
      text.setAttribute("aria-hidden", "true");
      svg.append(text);
      return text;
    });
  }

  /** @param {number} now milliseconds */
  #tick(now) {
    if (!this.#playing) return;
    const gone = Math.min(0.1, Math.max(0, (now - this.#last) / 1000));
    this.#last = now;
    this.time = this.#time + gone * this.speed;
    if (this.#time >= this.duration) {
      this.dispatchEvent(new Event("pen-ended"));
      if (!this.repeat) {
        this.pause();
        return;
      }
      this.time = 0;
    }
    this.#frame = requestAnimationFrame((next) => this.#tick(next));
  }

  /** Draw what is written by now. */
  #show() {
    let current = 0;
    let pen = null;
    for (const [index, { path, length }] of this.#strokes.entries()) {
      const { start, end } = this.#times[index];
      let part = end > start ? Math.min(1, Math.max(0, (this.#time - start) / (end - start))) : 1;
      if (this.#time > start + 1e-6) current = index + 1;
      if (this.#reduced.matches && part > 0) part = 1;
      path.style.visibility = part === 0 ? "hidden" : "";
      path.style.strokeDasharray = part === 0 || part === 1 ? "" : "1 1";
      path.style.strokeDashoffset = part === 0 || part === 1 ? "" : String(1 - part);
      if (part > 0 && part < 1) pen = path.getPointAtLength(length * part);
    }
    if (!pen && this.#time < this.duration) {
      const next = this.#times.findIndex((t) => t.start >= this.#time - 1e-6);
      pen = next < 0 ? null : this.#strokes[next].from;
    }
    if (this.#dot) {
      this.#dot.style.visibility = pen && !this.#reduced.matches ? "" : "hidden";
      if (pen) {
        this.#dot.setAttribute("cx", String(pen.x));
        this.#dot.setAttribute("cy", String(pen.y));
      }
    }
    const count = this.#strokes.length;
    const said = count ? `Stroke ${Math.max(1, current)} of ${count}` : "Nothing to write";
    const output = this.#root.querySelector("output");
    if (output && output.textContent !== said) output.textContent = said;
    this.#range.value = String(this.duration ? Math.round((this.#time / this.duration) * 1000) : 0);
    this.#range.setAttribute("aria-valuetext", said);
    this.dispatchEvent(new Event("pen-moved"));
  }

  #label() {
    this.#button("toggle").textContent = this.#playing ? "Pause" : "Play";
  }

  /** @param {Event} event */
  #clicked(event) {
    const button = event.target instanceof Element ? event.target.closest("button") : null;
    const what = button?.dataset.do;
    if (what === "toggle") this.#playing ? this.pause() : this.play();
    if (what === "back") this.step(-1);
    if (what === "next") this.step(1);
    if (what === "repeat") this.toggleAttribute("repeat");
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const at = event.composedPath()[0];
    if (!(at instanceof HTMLElement) || at.closest("input, select") || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === " " && at.closest("button")) return;
    if (event.key === " ") this.#playing ? this.pause() : this.play();
    else if (event.key === "ArrowRight") this.step(1);
    else if (event.key === "ArrowLeft") this.step(-1);
    else if (event.key === "Home") { this.pause(); this.time = 0; }
    else if (event.key === "End") { this.pause(); this.time = this.duration; }
    else return;
    event.preventDefault();
  }
}

if (!customElements.get("moving-pen")) customElements.define("moving-pen", MovingPen);
