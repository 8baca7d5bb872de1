#!/usr/bin/env node
// The virtual Pico: the image that is shipped, on a simulated chip. Its options, its script and what it
// says are those of ../main.c; here FIRMWARE is a UF2 file.
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { parseArgs } from 'node:util';
import { Board } from './board.js';
import { openPort } from './port.js';
import { Said } from './said.js';
import { Script } from './script.js';

const LONGEST_SLICE_NS = 20e6;
const SLICE_MS = 1;

const { values: options, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    board: { type: 'string' },
    real: { type: 'boolean' },
    lines: { type: 'boolean' },
    lamp: { type: 'boolean' },
    dtr: { type: 'boolean' }, // nothing: this board has no capacitor that a port's opening resets it by
    rate: { type: 'boolean' },
    uart: { type: 'boolean' }, // the host is at the UART; without it at the USB socket
    eeprom: { type: 'string' },
    battery: { type: 'string', default: '5000' },
  },
});

const said = new Said();
let sent = [];

let board;
orFail(() => {
  board = new Board(positionals[0], {
    batteryMv: Number(options.battery),
    usb: !options.uart,
    kept: options.eeprom && existsSync(options.eeprom) ? readFileSync(options.eeprom) : null,
    heard: (byte) => (options.real ? sent.push(byte) : said.byte(byte, board.nanos)),
    lamp: (lit) => options.lamp && said.lamp(lit, board?.nanos ?? 0),
  });
});
const script = new Script(board, () => said.at(board.nanos));
const input = createInterface({ input: process.stdin, crlfDelay: Infinity });

function orFail(act) {
  try {
    act();
  } catch (error) {
    said.flush();
    process.stderr.write(`${error.message}\n`);
    process.exit(2);
  }
}

function end() {
  if (options.eeprom) writeFileSync(options.eeprom, board.kept);
  said.report(board.measure.report());
}

function runByLines() {
  input.on('line', (text) =>
    orFail(() => {
      script.take(text);
      script.run(script.lastAt);
    }),
  );
  input.on('close', end);
}

function runInRealTime() {
  const port = openPort({
    minded: options.rate && options.uart,
    received: (bytes) => board.receive(bytes),
    opened: (isOpen) => board.open(isOpen),
    named: (line) => process.stdout.write(`${line}\n`),
  });
  board.open(false);
  const began = process.hrtime.bigint();
  const slice = () => {
    const now = Number(process.hrtime.bigint() - began);
    orFail(() => script.run(Math.min(now, board.nanos + LONGEST_SLICE_NS)));
    if (sent.length) port.send(Buffer.from(sent));
    sent = [];
    timer = setTimeout(slice, board.nanos < now ? 0 : SLICE_MS);
  };
  let timer = setTimeout(slice, 0);
  input.on('line', (text) => orFail(() => script.take(text)));
  input.on('close', () => {
    clearTimeout(timer);
    port.close();
    end();
  });
}

if (options.real) runInRealTime();
else runByLines();
