// What is being written in place of something, until it is settled: kept while the tab is open, also over a reload, each
// with what was seen before it, so that nothing newer is written over unseen.

export class Drafts {
  constructor(of) {
    this.of = of;
  }

  get(name) {
    return JSON.parse(sessionStorage.getItem(this.of + name)); // null where there is none
  }

  set(name, draft) {
    sessionStorage.setItem(this.of + name, JSON.stringify(draft));
  }

  delete(name) {
    sessionStorage.removeItem(this.of + name);
  }
}
