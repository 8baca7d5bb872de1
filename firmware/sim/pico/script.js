// What happens to the board, line by line, as in ../script.h. Times are in nanoseconds here.

const LONGEST = 2047;
const EXPECTED = {
  time: 'a time in microseconds',
  order: 'a time that is not before the line above',
  action: '+, -, pins, rx, battery, reset, hang or .',
  reset: 'reset external, power or brownout',
  pins: 'two levels such as 10',
  words: 'a time and an action',
  length: 'lines of at most 2047 characters',
  now: "a time with the sensors' edges and levels",
};

class ScriptError extends Error {}

export class Script {
  // `marked` is called at each "." line.
  constructor(board, marked) {
    this.board = board;
    this.marked = marked;
    this.queue = [];
    this.first = 0;
    this.planned = [0, 0];
    this.lastAt = 0;
    this.lastEdgeAt = 0;
  }

  take(line) {
    if (line.startsWith('#') || !line.trim()) return;
    if (line.length > LONGEST) this.refuse('(too long to show)', 'length');
    const [word, action, value = ''] = line.trim().split(/\s+/);
    if (action === undefined) this.refuse(line, 'words');
    if (word === 'now') {
      if ('+-p'.includes(action[0])) this.refuse(line, 'now');
      this.action(action, value, line)();
      return;
    }
    this.lastAt = this.moment(word, line);
    if (action === '+' || action === '-') this.edge(this.lastAt, action === '+');
    else this.add(this.lastAt, this.action(action, value, line));
  }

  refuse(line, expected) {
    throw new ScriptError(`script: cannot use the line "${line}": expected ${EXPECTED[expected]}`);
  }

  moment(word, line) {
    const us = Number(word);
    if (!(us >= 0 && us <= 1e13)) this.refuse(line, 'time');
    const at = Math.round(us * 1000);
    if (at < this.lastAt) this.refuse(line, 'order');
    return at;
  }

  add(at, happen) {
    this.queue.push([at, happen]);
  }

  // B moves half way between two edges of A.
  edge(at, forward) {
    const a = this.planned[0] ^ 1;
    const b = forward ? a ^ 1 : a;
    const { board } = this;
    if (b !== this.planned[1]) this.add(this.lastEdgeAt + (at - this.lastEdgeAt) / 2, () => board.setB(b));
    this.add(at, () => board.setA(a));
    this.planned = [a, b];
    this.lastEdgeAt = at;
  }

  action(action, value, line) {
    const { board } = this;
    if (action === '.') return this.marked;
    if (action === 'rx') return () => board.receive(Buffer.from(value, 'hex'));
    if (action === 'battery') return () => board.setBattery(Number(value));
    if (action === 'hang') return () => board.hang();
    if (action === 'reset') {
      if (!['external', 'power', 'brownout'].includes(value)) this.refuse(line, 'reset');
      return () => board.reset(value);
    }
    if (action !== 'pins') this.refuse(line, 'action');
    if (!/^[01]{2}$/.test(value)) this.refuse(line, 'pins');
    const pins = [Number(value[0]), Number(value[1])];
    this.planned = pins;
    this.lastEdgeAt = this.lastAt;
    return () => board.setPins(pins);
  }

  get waits() {
    return this.first < this.queue.length;
  }

  // Runs the board up to `until`, through all that happens to it before.
  run(until) {
    while (this.waits && this.queue[this.first][0] <= until) {
      const [at, happen] = this.queue[this.first];
      this.first++;
      this.board.run(at);
      happen();
    }
    if (until !== Infinity) this.board.run(until);
    if (!this.waits || this.first > 4096) {
      this.queue.splice(0, this.first);
      this.first = 0;
    }
  }
}
