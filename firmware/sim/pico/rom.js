// What the chip's boot ROM does, as far as a board sees it (RP2040 datasheet, "Bootrom"; from memory).
// It starts the second-stage boot loader if its CRC holds. It has functions that write the flash.

export const BAD_LOADER = 'the boot ROM finds no second-stage boot loader in the flash';

const LOADER_BYTES = 256;
const LOADER_AT = 0x20041f00;
const RAM = 0x20000000;
const TABLE = 0x100;
const SEARCH = 0x120;
const HANG = 0x128;
const FUNCTIONS = 0x130;
const BKPT = 0xbe00;
const BX_LR = 0x4770;
const CPSID = 0xb672;
const LOOP = 0xe7fe;
const NAMES = ['IF', 'EX', 'FC', 'CX', 'RE', 'RP'];
const ERASE_NS = 45e6; // of a sector
const PROGRAM_NS = 0.7e6; // of a page

export function crc32(bytes) {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte << 24;
    for (let bit = 0; bit < 8; bit++) {
      crc = crc & 0x80000000 ? (crc << 1) ^ 0x04c11db7 : crc << 1;
    }
  }
  return crc >>> 0;
}

// A function in ROM stops the processor at a break point, and `chip` does here what it would do.
export class Rom {
  constructor(chip) {
    this.chip = chip;
    this.flashIsMemory = true;
    this.busy = false;
    this.done = chip.clock.createAlarm(() => {
      chip.core.waiting = false;
    });
    const half = new Uint16Array(chip.bootrom.buffer);
    half.set([TABLE, 0, SEARCH | 1], 0x14 / 2);
    half.set([BKPT, BX_LR], SEARCH / 2);
    half.set([CPSID, LOOP], HANG / 2);
    NAMES.forEach((_, i) => half.set([BKPT | (i + 1), BX_LR], FUNCTIONS / 2 + 2 * i));
    chip.onBreak = (number) => (number === 0 ? this.search() : this.call(NAMES[number - 1]));
  }

  start() {
    const { chip } = this;
    const loader = chip.flash.slice(0, LOADER_BYTES);
    const crc = chip.flashView.getUint32(LOADER_BYTES - 4, true);
    if (crc32(loader.subarray(0, LOADER_BYTES - 4)) !== crc) throw new Error(BAD_LOADER);
    chip.sram.set(loader, LOADER_AT - RAM);
    chip.core.SP = LOADER_AT;
    chip.core.LR = 0;
    chip.core.PC = LOADER_AT;
  }

  // The program runs into an endless loop with interrupts off.
  hang() {
    this.chip.core.waiting = false;
    this.chip.core.PC = HANG;
  }

  search() {
    const registers = this.chip.core.registers;
    const code = String.fromCharCode(registers[1] & 0xff, registers[1] >> 8);
    const at = NAMES.indexOf(code);
    registers[0] = at < 0 ? 0 : (FUNCTIONS + 4 * at) | 1;
  }

  call(name) {
    if (name === 'EX') this.flashIsMemory = false;
    else if (name === 'CX') this.flashIsMemory = true;
    else if (name === 'RE') this.work(ERASE_NS, (at, count) => this.chip.flash.fill(0xff, at, at + count));
    else if (name === 'RP') this.work(PROGRAM_NS, (at, from, count) => this.program(at, from, count));
  }

  // The first call begins the work. The processor waits at the break point, which interrupts may
  // leave for a while, until the work is done.
  work(nanos, carryOut) {
    const { core, clock } = this.chip;
    if (this.flashIsMemory) throw new Error('the program writes the flash while it is read as memory');
    if (!this.busy) {
      this.busy = true;
      this.readyAt = clock.nanos + nanos;
    }
    if (clock.nanos >= this.readyAt) {
      this.busy = false;
      carryOut(core.registers[0], core.registers[1], core.registers[2]);
      return;
    }
    core.PC -= 2;
    core.waiting = true;
    this.done.schedule(this.readyAt - clock.nanos);
  }

  // Bits only go from 1 to 0.
  program(at, from, count) {
    for (let i = 0; i < count; i++) this.chip.flash[at + i] &= this.chip.readUint8(from + i);
  }
}
