// What a view asks of the server, one question after another: so no answer is older than what stands.

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
