// A list whose things can be thrown away: a row says so, and stands until it is taken back or the view is left,
// whatever is filled in around it meanwhile.

import { ask, attempt, make, say } from "./api.js";
import { keep } from "./keep.js";

export class ListWithThrown {
  // load asks for the rows; each says in data-path what it is of.
  constructor(list, load) {
    Object.assign(this, { list, load, standing: new Map(), turn: 0 });
  }

  refresh() {
    return attempt(async () => {
      const mine = ++this.turn;
      const rows = await this.load();
      if (mine === this.turn) this.fill(rows); // what was asked before something was thrown away tells of it still
    });
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
    for (const { dataset } of rows) this.drop(dataset.path); // it was taken back elsewhere
    const own = rows.length ? rows : [make("li", { class: "quiet" }, "None yet.")];
    this.list.replaceChildren(...[...this.standing.values()].reverse(), ...own);
    put();
  }

  throwAway(path, name) {
    return attempt(async () => {
      await ask(path, { method: "DELETE" });
      const back = make("button", { type: "button", onclick: () => attempt(async () => {
        await ask(`${path}/bring-back`, { method: "POST" });
        this.drop(path);
        await this.refresh();
        this.list.querySelector(`[data-path="${path}"] a`)?.focus();
      }) }, "Take it back");
      this.stand(path, make("li", { class: "gone" }, `${name} was thrown away. `, back));
      await this.refresh();
      back.focus();
      say(`${name} was thrown away.`);
    });
  }
}
