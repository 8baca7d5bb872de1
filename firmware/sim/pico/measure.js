// How long interrupts take, how late an edge is seen, and how deep the stack reaches.
//
// rp2040js takes no time to enter an interrupt and to leave it. The processor takes 15 and 13 cycles
// (from memory); `spent` hands them to the clock.

const ENTER = 15;
const LEAVE = 13;
const PINS = 16 + 13;
const NS = 8; // a cycle
const STACK_AT = 0x41000;
const STACK_BYTES = 0x1000;
const PAINT = 0xc5;

export class Measure {
  constructor() {
    this.longest = new Map();
    this.latency = 0;
    this.deepest = 0;
  }

  // After each start of the chip; `paintStack` once more when the boot ROM is done with its memory.
  watch(chip) {
    this.chip = chip;
    this.owed = 0;
    this.open = [];
    this.edgeAt = null;
    const { core } = chip;
    const enter = core.exceptionEntry.bind(core);
    const leave = core.exceptionReturn.bind(core);
    core.exceptionEntry = (number) => this.entered(number, enter);
    core.exceptionReturn = (value) => this.left(value, leave);
  }

  entered(number, enter) {
    const { nanos } = this.chip.clock;
    if (number === PINS && this.edgeAt !== null) {
      this.latency = Math.max(this.latency, (nanos - this.edgeAt) / NS + ENTER);
      this.edgeAt = null;
    }
    this.open.push([number, nanos]);
    this.owed += ENTER;
    enter(number);
  }

  left(value, leave) {
    const [number, since] = this.open.pop();
    const cycles = (this.chip.clock.nanos - since) / NS + this.owed + LEAVE;
    this.longest.set(number, Math.max(this.longest.get(number) ?? 0, cycles));
    this.owed += LEAVE;
    leave(value);
  }

  edge() {
    this.edgeAt ??= this.chip.clock.nanos;
  }

  spent() {
    const owed = this.owed;
    this.owed = 0;
    return owed;
  }

  paintStack() {
    this.chip.sram.fill(PAINT, STACK_AT, STACK_AT + STACK_BYTES);
  }

  // Before the memory of a chip goes.
  readStack() {
    const stack = this.chip.sram.subarray(STACK_AT, STACK_AT + STACK_BYTES);
    const untouched = stack.findIndex((byte) => byte !== PAINT);
    this.deepest = Math.max(this.deepest, STACK_BYTES - (untouched < 0 ? STACK_BYTES : untouched));
  }

  report() {
    this.readStack();
    const lines = [
      ['stack_bytes', this.deepest],
      ['stack_room_bytes', STACK_BYTES - this.deepest],
      ['capture_latency_cycles', Math.round(this.latency)],
    ];
    for (const [number, cycles] of this.longest) {
      lines.push([`interrupt_${number}_cycles`, Math.round(cycles)]);
    }
    return lines;
  }
}
