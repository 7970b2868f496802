// What a view asks of the server more than once: no answer that is older than what stands is shown in its place.

// One question after another: a change sees what the one before it made.
export class Turns {
  constructor() {
    Object.assign(this, { last: Promise.resolve(), next: null });
  }

  take(work) {
    const done = this.last.then(work);
    this.last = done.catch(() => {});
    return done;
  }

  // To see what stands: all who ask before its turn comes share one.
  see(work) {
    this.next ??= this.take(() => {
      this.next = null; // what is told from now on may be newer
      return work();
    });
    return this.next;
  }
}

// Questions at once, so that one that hangs holds up none: an answer that comes late is dropped.
export class Passing {
  constructor() {
    Object.assign(this, { asked: 0, shown: 0 });
  }

  async see(question, show) {
    const mine = ++this.asked;
    const answer = await question();
    if (mine < this.shown) return;
    this.shown = mine;
    await show(answer);
  }

  // What a change is answered with is newer than whatever was asked for before.
  pass() {
    this.shown = ++this.asked;
  }
}
