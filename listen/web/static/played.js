// Bars as they are played: what is written once and repeated comes once for every time, each with its own number.

export class PlayedBars {
  // Elements say in data-plays when they sound, in seconds after since_s, and as which bars: start:end:number …
  constructor(elements = [], since_s = 0) {
    this.rounds = new Map(elements.map((element) => [element, element.dataset.plays.split(" ").map((span) => {
      const [start, end, number] = span.split(":").map(Number);
      return { element, number, start: start + since_s, end: end + since_s };
    })]));
    this.all = [...this.rounds.values()].flat().sort((one, other) => one.start - other.start);
  }

  get elements() {
    return [...this.rounds.keys()];
  }

  // Every time that what stands in one place is played.
  of(element) {
    return this.rounds.get(element) ?? [];
  }

  find(number) {
    return this.all.find((one) => one.number === number);
  }

  // The bar that most of a stretch lies in, the first of several.
  most({ start, end }) {
    const inside = (one) => Math.min(one.end, end) - Math.max(one.start, start);
    return this.all.reduce((best, one) => (best && inside(one) <= inside(best) + 0.02 ? best : one), undefined);
  }

  // The bar so many further on as it is played; the first where one is nowhere yet.
  step(number, by) {
    const at = this.all.findIndex((one) => one.number === number);
    return at < 0 ? this.all[0] : this.all[Math.max(0, Math.min(this.all.length - 1, at + by))];
  }
}
