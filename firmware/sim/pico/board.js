// A Pico: rp2040js's chip with what that leaves out, and resets of every kind.
import { readFileSync } from 'node:fs';
import { ConsoleLogger, LogLevel, RP2040 } from 'rp2040js';
import { Measure } from './measure.js';
import { Rom } from './rom.js';
import { Uart } from './uart.js';
import { readUf2 } from './uf2.js';
import { Usb } from './usb.js';

const NS = 8; // a cycle at 125 MHz
const PIN_A = 2;
const PIN_B = 3;
const PIN_LAMP = 25;
const HIGH = 1;
const SUPPLY_CHANNEL = 3;
const FULL_SCALE = 4096;
const REFERENCE_MV = 3300;
const SUPPLY_DIVIDER = 3;
const FLASH_MEMORY = 0x10;
const KEPT_AT = 0xfd000; // what the board keeps in its flash
const KEPT_BYTES = 0x3000;
const CHIP_RESET_PERIPHERAL = 0x40064;
const CAUSES = { power: 1 << 8, brownout: 1 << 8, external: 1 << 16, watchdog: 0 };

export class Board {
  // `heard(byte)` and `lamp(lit)` are called as the board sends a byte and changes its lamp. With `usb`
  // the host is at the USB socket, else at the UART.
  constructor(image, { batteryMv, kept, usb, heard, lamp }) {
    this.byUsb = usb;
    this.isOpen = true;
    this.image = readUf2(readFileSync(image));
    this.batteryMv = batteryMv;
    this.heard = heard;
    this.lamp = lamp;
    this.levels = [0, 0];
    this.measure = new Measure();
    this.origin = 0;
    this.byHardware = 0; // why the watchdog says that it resets
    this.begin(null, 'power');
    if (kept) this.chip.flash.set(kept, KEPT_AT);
  }

  get nanos() {
    return this.origin + this.chip.clock.nanos;
  }

  get kept() {
    return this.chip.flash.slice(KEPT_AT, KEPT_AT + KEPT_BYTES);
  }

  // `last` is the chip before the reset, whose flash and, except after a loss of power, RAM stay.
  begin(last, cause) {
    const chip = new RP2040();
    chip.logger = new ConsoleLogger(LogLevel.Error, false);
    this.chip = chip;
    if (last) chip.flash.set(last.flash);
    else for (const [at, bytes] of this.image) chip.flash.set(bytes, at);
    if (last && cause !== 'power') chip.sram.set(last.sram);
    else fillWithGarbage(chip.sram);
    chip.peripherals[CHIP_RESET_PERIPHERAL].readUint32 = () => CAUSES[cause];
    this.watchdog(cause);
    this.measure.watch(chip);
    this.rom = new Rom(chip);
    this.uart = new Uart(chip, this.byUsb ? () => {} : this.heard);
    this.line = this.byUsb ? new Usb(chip, this.heard) : this.uart;
    this.open(this.isOpen);
    this.setBattery(this.batteryMv);
    this.setPins(this.levels);
    this.measure.edgeAt = null; // nothing was stamped before
    chip.gpio[PIN_LAMP].addListener((value) => this.lamp(value === HIGH));
    this.rom.start();
    this.starting = true;
  }

  watchdog(cause) {
    const watchdog = this.chip.peripherals[0x40058];
    watchdog.reason = cause === 'watchdog' ? 1 : 0;
    watchdog.onWatchdogTrigger = () => {
      watchdog.alarm.enable = false; // else it fires again at once, for ever
      if (this.chip.peripherals[0x40010].wdsel >> 16 === 0) return; // it resets no processor
      this.ordered = 'watchdog';
    };
  }

  reset(cause) {
    this.measure.readStack();
    this.origin = this.nanos;
    this.begin(this.chip, cause);
  }

  receive(bytes) {
    this.line.receive(bytes);
  }

  // A program opens the host's port, or closes it.
  open(isOpen) {
    this.isOpen = isOpen;
    this.line.open?.(isOpen);
  }

  hang() {
    this.rom.hang();
  }

  setBattery(millivolts) {
    this.batteryMv = millivolts;
    const share = millivolts / SUPPLY_DIVIDER / REFERENCE_MV;
    this.chip.adc.channelValues[SUPPLY_CHANNEL] = Math.min(FULL_SCALE - 1, Math.round(share * FULL_SCALE));
  }

  setA(level) {
    this.levels[0] = level;
    this.measure.edge();
    this.chip.gpio[PIN_A].setInputValue(!!level);
  }

  setB(level) {
    this.levels[1] = level;
    this.chip.gpio[PIN_B].setInputValue(!!level);
  }

  setPins([a, b]) {
    this.setB(b);
    this.setA(a);
  }

  get interrupted() {
    const { core } = this.chip;
    return core.pendingSystick || (core.pendingInterrupts & core.enabledInterrupts) !== 0;
  }

  // Lets time pass up to `until` (ns since power came on).
  run(until) {
    while (this.nanos < until) {
      this.runChip(until - this.origin);
      if (this.ordered) {
        const cause = this.ordered;
        this.ordered = null;
        this.reset(cause);
      }
    }
  }

  runChip(until) {
    const { core, clock } = this.chip;
    while (clock.nanosCounter < until && !this.ordered) {
      if (core.waiting) {
        if (!this.interrupted) {
          this.sleep(clock, until);
          continue;
        }
        core.waiting = false; // rp2040js would sleep on, if interrupts are off or it is SysTick's
      }
      const cycles = core.executeInstruction() + this.measure.spent();
      clock.tick(cycles * NS);
      if (this.starting || !this.rom.flashIsMemory) this.checkFetch(core.PC);
    }
  }

  sleep(clock, until) {
    const alarm = clock.nextAlarm ? clock.nextAlarm.nanos : until;
    clock.tick(Math.max(0, Math.min(alarm, until) - clock.nanosCounter));
  }

  checkFetch(address) {
    const inFlash = address >>> 24 === FLASH_MEMORY;
    if (inFlash && !this.rom.flashIsMemory) throw new Error('the program runs in flash that it is writing');
    if (inFlash && this.starting) {
      this.starting = false;
      this.measure.paintStack();
    }
  }
}

// The same at each run, and no log.
function fillWithGarbage(memory) {
  let state = 0x12345678;
  for (let i = 0; i < memory.length; i++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    memory[i] = state >>> 24;
  }
}
