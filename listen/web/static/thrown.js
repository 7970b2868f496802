// A list whose things can be thrown away: a row says so, and stands until it is taken back, whatever is filled in around
// it meanwhile, also when one goes elsewhere and comes again.

import { ask, attempt, make, say } from "./api.js";
import { keep } from "./keep.js";
import { Passing } from "./turns.js";

export class ListWithThrown {
  // load asks for the rows; each says in data-path what it is of. thrown outlives the view: names by path.
  constructor(list, load, thrown) {
    Object.assign(this, { list, load, thrown, standing: new Map(), answers: new Passing(), back: null });
  }

  refresh() {
    return attempt(() => this.answers.see(this.load, (rows) => this.fill(rows)));
  }

  // A row that stands on top until it is dropped: by the path of what it tells of.
  stand(path, row) {
    row.dataset.path = path;
    this.standing.set(path, row);
    this.list.prepend(row);
  }

  drop(path) {
    this.standing.get(path)?.remove();
    this.standing.delete(path);
  }

  fill(rows) {
    const put = keep(this.list);
    for (const { dataset } of rows) this.thrown.delete(dataset.path); // it was taken back elsewhere
    const gone = [...this.thrown].reverse().map(([path, name]) => this.goneRow(path, name));
    const own = rows.length ? rows : [make("li", { class: "quiet" }, "None yet.")];
    this.list.replaceChildren(...[...this.standing.values()].reverse(), ...gone, ...own);
    put();
    const back = this.back && this.list.querySelector(`[data-path="${this.back}"] a`);
    if (back) { back.focus(); this.back = null; } // news may have filled the list before its own answer came
  }

  goneRow(path, name) {
    const back = () => attempt(async () => {
      await ask(`${path}/bring-back`, { method: "POST" });
      this.answers.pass();
      this.thrown.delete(path);
      this.back = path;
      await this.refresh();
    });
    return make("li", { class: "gone", "data-path": path }, `${name} was thrown away. `, make("button", { type: "button", onclick: back }, "Take it back"));
  }

  throwAway(path, name) {
    return attempt(async () => {
      await ask(path, { method: "DELETE" });
      this.answers.pass(); // what was asked before tells of it still
      this.thrown.set(path, name);
      const gone = this.goneRow(path, name);
      this.list.querySelector(`[data-path="${path}"]`)?.remove(); // news may have taken it out before
      this.list.prepend(gone);
      gone.querySelector("button").focus();
      await this.refresh();
      say(`${name} was thrown away.`);
    });
  }
}

// What cannot be read is not passed over: where it lies, and why.
export function damagedRow({ folder, why }) {
  return make("li", { "data-path": folder }, make("span", { class: "name" }, "Damaged: ", make("code", {}, folder)), make("span", { class: "state failed" }, why));
}
