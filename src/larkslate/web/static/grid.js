// The marking grid: a table from the server that becomes writable. Every cell is saved at once, one after another
// for each cell, tried again when the server does not answer, and never overwritten silently.

const WAITS = [500, 1000, 2000, 5000];
const QUIET = 700; // milliseconds without a change before the wrong forms are asked for anew

/**
 * What one cell holds. An empty status is a cell that is not marked yet.
 * @typedef {{status: string, written: string}} Value
 */

/**
 * What the server says about a cell.
 * @typedef {{state: string, says?: string, stored: {status: string, written: string, revision: number}}} Answer
 */

const EMPTY = Object.freeze({ status: "", written: "" });
const SIGNS = new Map([["-", "blank"], ["?", "illegible"], ["/", "absent"]]);

/** @param {Value} a @param {Value} b */
const same = (a, b) => a.status === b.status && a.written === b.written;

/** @param {string} text */
const bare = (text) => text.normalize("NFC").replace(/[‘’ʼ`´]/g, "'");

/**
 * Whether a written form is the target. A capital too many is no matter of spelling; a capital too few is shown.
 * @param {string} target @param {string} written
 */
const isRight = (target, written) =>
  bare(written) === bare(target) || bare(written).toLowerCase() === bare(target);

/** One cell: what is shown, what is stored, and what is on its way. */
class Cell {
  /**
   * @param {HTMLTableCellElement} box
   * @param {string} student
   * @param {string} name
   * @param {HTMLElement} head
   */
  constructor(box, student, name, head) {
    this.box = box;
    this.student = student;
    this.name = name;
    this.item = box.dataset.item ?? "";
    this.target = head.dataset.target ?? "";
    /** @type {string[]} */
    this.likely = JSON.parse(head.dataset.likely ?? "[]");
    this.revision = Number(box.dataset.revision);
    /** @type {Value} */
    this.stored = { status: box.dataset.status ?? "", written: box.dataset.written ?? "" };
    /** @type {Value} */
    this.value = this.stored;
    this.busy = false;
    this.editing = false;
    this.failed = false;
    /** @type {Value | null} */
    this.theirs = null;
    this.tries = 0;
  }

  get saved() {
    return same(this.value, this.stored) && !this.theirs;
  }

  get right() {
    return this.value.status === "written" && isRight(this.target, this.value.written);
  }

  show() {
    const { status, written } = this.value;
    // A save that ends while the next form is being typed must not take the field away.
    if (!this.editing) this.box.textContent = status === "written" ? (this.right ? "✓" : written) : status;
    this.box.dataset.status = status;
    this.box.classList.toggle("wrong-form", status === "written" && !this.right);
    const state = this.theirs ? "conflict" : this.saved ? "" : this.failed ? "not saved" : "saving";
    this.box.dataset.state = state;
    const said = status === "written" ? (this.right ? "right" : written) : status || "not marked";
    this.box.setAttribute("aria-label", `${this.name}, ${this.target}: ${said}${state ? `, ${state}` : ""}`);
  }
}

class MarkingGrid extends HTMLElement {
  constructor() {
    super();
    /** @type {Cell[][]} */
    this.rows = [];
    /** @type {{cell: Cell, before: Value}[][]} */
    this.past = [];
    this.at = { row: 0, column: 0 };
    /** @type {HTMLInputElement | null} */
    this.input = null;
    this.asking = 0;
    this.base = "";
  }

  connectedCallback() {
    this.base = this.dataset.base ?? "";
    const heads = /** @type {HTMLElement[]} */ ([...this.querySelectorAll("thead th[data-item]")]);
    for (const line of this.querySelectorAll("tbody tr")) {
      const row = /** @type {HTMLTableRowElement} */ (line);
      const name = (row.querySelector("th")?.textContent ?? "").replace(/\s+/g, " ").trim();
      const boxes = /** @type {HTMLTableCellElement[]} */ ([...row.querySelectorAll("td")]);
      this.rows.push(boxes.map((box, i) => new Cell(box, row.dataset.student ?? "", name, heads[i])));
    }
    for (const [r, row] of this.rows.entries()) {
      for (const [c, cell] of row.entries()) {
        cell.show();
        cell.box.addEventListener("focus", () => this.arrive(r, c));
        cell.box.addEventListener("dblclick", () => this.edit(cell.value.status === "written" ? cell.value.written : ""));
      }
    }
    if (!this.rows.length || !this.rows[0].length) return;
    this.addEventListener("keydown", (event) => this.key(event));
    addEventListener("beforeunload", (event) => {
      this.settle();
      if (this.unsaved().length) event.preventDefault();
    });
    const first = this.nextEmpty(0, 0);
    this.go(first.row, first.column);
  }

  get cell() {
    return this.rows[this.at.row][this.at.column];
  }

  unsaved() {
    return this.rows.flat().filter((cell) => !cell.saved);
  }

  /** @param {number} row @param {number} column */
  nextEmpty(row, column) {
    for (let r = row; r < this.rows.length; r += 1) {
      for (let c = r === row ? column : 0; c < this.rows[r].length; c += 1) {
        if (!this.rows[r][c].value.status) return { row: r, column: c };
      }
    }
    return { row, column };
  }

  /** @param {number} row @param {number} column */
  go(row, column) {
    const r = Math.max(0, Math.min(row, this.rows.length - 1));
    const c = Math.max(0, Math.min(column, this.rows[r].length - 1));
    this.rows[r][c].box.focus();
  }

  /** @param {number} row @param {number} column */
  arrive(row, column) {
    this.cell.box.tabIndex = -1;
    this.at = { row, column };
    this.cell.box.tabIndex = 0;
    const line = this.querySelector("[data-likely-forms]");
    if (line instanceof HTMLElement) {
      const { likely, target, name } = this.cell;
      line.hidden = false;
      line.replaceChildren(`${name}: `, bold(target), likely.length ? " · likely: " : "");
      likely.forEach((form, i) => {
        const key = document.createElement("kbd");
        key.textContent = String(i + 1);
        line.append(key, " ", bold(form), i + 1 < likely.length ? "  " : "");
      });
    }
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.target instanceof HTMLInputElement) {
      this.keyInside(event);
      return;
    }
    if (!(event.target instanceof HTMLTableCellElement)) return;
    const { row, column } = this.at;
    const command = event.ctrlKey || event.metaKey;
    if (command && event.key.toLowerCase() === "z") {
      event.preventDefault();
      this.undo();
      return;
    }
    if (command || event.altKey) {
      if (event.key === "Home") this.go(0, 0);
      else if (event.key === "End") this.go(this.rows.length - 1, Infinity);
      else return;
      event.preventDefault();
      return;
    }
    /** @type {Record<string, () => void>} */
    const moves = {
      ArrowLeft: () => this.go(row, column - 1),
      ArrowRight: () => this.go(row, column + 1),
      ArrowUp: () => this.go(row - 1, column),
      ArrowDown: () => this.go(row + 1, column),
      Home: () => this.go(row, 0),
      End: () => this.go(row, Infinity),
      PageUp: () => this.go(row - 10, column),
      PageDown: () => this.go(row + 10, column),
      F2: () => this.edit(this.cell.value.written),
      Delete: () => this.put([this.cell], () => EMPTY),
      Backspace: () => this.put([this.cell], () => EMPTY),
      Enter: () => (event.shiftKey ? this.restRight() : this.enter()),
    };
    const number = Number(event.key);
    if (moves[event.key]) moves[event.key]();
    else if (SIGNS.has(event.key)) this.mark(SIGNS.get(event.key) ?? "");
    else if (number >= 1 && number <= this.cell.likely.length) this.write(this.cell.likely[number - 1]);
    else if (event.key.length === 1 && /\p{L}|['’]/u.test(event.key)) this.edit(event.key);
    else return;
    event.preventDefault();
  }

  /** @param {KeyboardEvent} event */
  keyInside(event) {
    if (event.key === "Enter") {
      event.preventDefault();
      this.settle();
      this.next();
    } else if (event.key === "Escape") {
      event.preventDefault();
      this.leave();
    } else if (event.key === "Tab") {
      event.preventDefault();
      this.settle();
      this.go(this.at.row, this.at.column + (event.shiftKey ? -1 : 1));
    } else if (event.key === "ArrowUp" || event.key === "ArrowDown") {
      event.preventDefault();
      this.settle();
      this.go(this.at.row + (event.key === "ArrowUp" ? -1 : 1), this.at.column);
    }
  }

  next() {
    const { row, column } = this.at;
    if (column + 1 < this.rows[row].length) this.go(row, column + 1);
    else if (row + 1 < this.rows.length) this.go(row + 1, 0);
    else this.cell.box.focus();
  }

  enter() {
    const cell = this.cell;
    if (!cell.value.status) this.put([cell], (c) => ({ status: "written", written: c.target }));
    this.next();
  }

  restRight() {
    const row = this.rows[this.at.row];
    this.put(row.filter((c) => !c.value.status), (c) => ({ status: "written", written: c.target }));
    this.go(this.at.row + 1, 0);
  }

  /** @param {string} status */
  mark(status) {
    const here = this.rows[this.at.row];
    const fresh = status === "absent" && here.every((c) => !c.value.status);
    this.put(fresh ? here : [this.cell], () => ({ status, written: "" }));
    if (fresh) this.go(this.at.row + 1, 0);
    else this.next();
  }

  /** @param {string} written */
  write(written) {
    this.put([this.cell], () => ({ status: "written", written }));
    this.next();
  }

  // ---- typing ------------------------------------------------------------------------------

  /** @param {string} begin */
  edit(begin) {
    this.settle();
    const input = document.createElement("input");
    input.value = begin;
    input.lang = "en";
    input.spellcheck = false;
    input.autocomplete = "off";
    input.setAttribute("autocapitalize", "off");
    input.setAttribute("autocorrect", "off");
    input.maxLength = 300;
    input.setAttribute("aria-label", `${this.cell.name}, ${this.cell.target}: what was written`);
    input.addEventListener("blur", () => this.settle());
    this.input = input;
    this.cell.editing = true;
    this.cell.box.replaceChildren(input);
    input.focus();
    input.setSelectionRange(begin.length, begin.length);
  }

  /** Take what was typed, if anything was being typed. */
  settle() {
    const input = this.input;
    if (!input) return;
    this.input = null;
    const written = input.value.replace(/\s+/g, " ").trim();
    const cell = this.cell;
    cell.editing = false;
    if (written) this.put([cell], () => ({ status: "written", written }));
    cell.show();
  }

  leave() {
    this.input = null;
    this.cell.editing = false;
    this.cell.show();
    this.cell.box.focus();
  }

  // ---- changing and saving -------------------------------------------------------------------

  /**
   * Give cells a new value, remember the old ones for undoing, and save.
   * @param {Cell[]} cells
   * @param {(cell: Cell) => Value} make
   * @param {boolean} remember
   */
  put(cells, make, remember = true) {
    const changed = cells.filter((c) => !same(c.value, make(c)));
    if (!changed.length) return;
    if (remember) this.past.push(changed.map((cell) => ({ cell, before: cell.value })));
    for (const cell of changed) {
      cell.value = make(cell);
      cell.failed = false;
      cell.show();
      void this.save(cell);
    }
    this.tell();
  }

  undo() {
    const last = this.past.pop();
    if (!last) {
      this.tell("Nothing to undo.");
      return;
    }
    for (const { cell, before } of last) this.put([cell], () => before, false);
    const [first] = last;
    const row = this.rows.findIndex((r) => r.includes(first.cell));
    this.go(row, this.rows[row].indexOf(first.cell));
  }

  /** @param {Cell} cell */
  async save(cell) {
    if (cell.busy) return; // what is on its way is followed by what came after it
    cell.busy = true;
    while (!cell.saved && !cell.theirs) {
      const sent = cell.value;
      const body = new URLSearchParams({
        student: cell.student, item: cell.item, revision: String(cell.revision), written: sent.written,
      });
      if (sent.status) body.set("status", sent.status);
      else body.set("empty", "yes");
      try {
        const answer = await fetch(`${this.base}/cell`, { method: "POST", body });
        if (!answer.ok) throw new Error(await answer.text());
        /** @type {Answer} */
        const told = await answer.json();
        cell.failed = false;
        cell.tries = 0;
        const stored = { status: told.stored.revision ? told.stored.status : "", written: told.stored.written };
        cell.revision = told.stored.revision;
        if (told.state === "conflict") {
          cell.theirs = stored;
          this.ask(cell, told.says ?? "");
        } else {
          cell.stored = sent;
        }
      } catch (error) {
        cell.failed = true;
        cell.show();
        const refused = error instanceof Error && !(error instanceof TypeError);
        this.tell(refused ? error.message : "Larkslate does not answer.");
        const wait = WAITS[Math.min(cell.tries, WAITS.length - 1)];
        cell.tries += 1;
        await new Promise((done) => setTimeout(done, wait));
      }
      cell.show();
      this.tell();
    }
    cell.busy = false;
    cell.show();
    this.tell();
    this.askForWrong();
  }

  /** Say how saving stands. @param {string} more */
  tell(more = "") {
    const line = this.querySelector(".saving");
    if (!(line instanceof HTMLElement)) return;
    const open = this.unsaved();
    const failed = open.filter((c) => c.failed);
    const torn = open.filter((c) => c.theirs);
    /** @param {number} n */
    const cells = (n) => (n === 1 ? "1 cell" : `${n} cells`);
    let [state, text] = ["saved", "All saved."];
    if (failed.length) {
      [state, text] = ["failed", `Not saved: ${cells(failed.length)}. ${more || line.dataset.why || ""} Trying again; keep this page open.`];
      if (more) line.dataset.why = more;
    } else if (torn.length) [state, text] = ["failed", `${cells(torn.length)} to decide: another window wrote there too.`];
    else if (open.length) [state, text] = ["saving", `Saving ${cells(open.length)} …`];
    else if (more) text = `${more} All saved.`;
    if (line.textContent !== text) line.textContent = text;
    line.dataset.state = state;
  }

  /**
   * Two windows changed one cell: show both, let the teacher choose.
   * @param {Cell} cell @param {string} says
   */
  ask(cell, says) {
    const box = document.createElement("dialog");
    box.className = "conflict";
    box.setAttribute("aria-label", "Two windows");
    const theirs = cell.theirs ?? EMPTY;
    const text = document.createElement("p");
    text.append(`${cell.name}, `, bold(cell.target), `. ${says}`);
    const row = document.createElement("p");
    row.className = "actions";
    /** @param {Value} v */
    const said = (v) => (v.status === "written" ? `“${v.written}”` : v.status || "an empty cell");
    /** @param {string} label @param {() => void} act */
    const choice = (label, act) => {
      const button = document.createElement("button");
      button.className = "button";
      button.textContent = label;
      button.addEventListener("click", () => {
        box.close();
        act();
      });
      row.append(button, " ");
    };
    const mine = cell.value;
    choice(`Keep ${said(theirs)}`, () => {
      cell.value = theirs;
      this.decided(cell, theirs);
    });
    choice(`Write ${said(mine)}`, () => this.decided(cell, theirs));
    box.append(text, row);
    box.addEventListener("cancel", (event) => event.preventDefault());
    box.addEventListener("close", () => box.remove());
    this.append(box);
    box.showModal();
  }

  /** @param {Cell} cell @param {Value} stored */
  decided(cell, stored) {
    cell.stored = stored;
    cell.theirs = null;
    cell.show();
    this.tell();
    cell.box.focus();
    void this.save(cell);
  }

  // ---- wrong forms ---------------------------------------------------------------------------

  askForWrong() {
    clearTimeout(this.asking);
    this.asking = setTimeout(() => void this.fetchWrong(), QUIET);
  }

  async fetchWrong() {
    const place = document.getElementById("wrong");
    if (!place || this.unsaved().length || place.contains(document.activeElement)) return;
    try {
      const answer = await fetch(`${this.base}/wrong`);
      if (!answer.ok) return;
      const parsed = new DOMParser().parseFromString(await answer.text(), "text/html");
      place.replaceChildren(...parsed.body.childNodes);
    } catch {
      // the list is a help; the next save asks again
    }
  }
}

/** @param {string} text */
function bold(text) {
  const b = document.createElement("b");
  b.className = "read";
  b.lang = "en";
  b.textContent = text;
  return b;
}

customElements.define("marking-grid", MarkingGrid);
