// Asks the board what a computer asks of a USB device, and prints each answer as "NAME HEX".
//
//     node ask.js IMAGE.uf2 NAME:SETUP[:DATA]...
//
// SETUP are the request's eight bytes, DATA those that follow it, all in hexadecimal digits. A refusal
// prints "NAME refused". A request without an answer prints "NAME" alone.
import { Board } from './board.js';

const CONTROL_IN_WORD = 0x80;
const STALL = 1 << 11;
const UNTIL_CONFIGURED_NS = 100e6;
const AT_ONCE_NS = 5e6;

const [image, ...requests] = process.argv.slice(2);
const board = new Board(image, { batteryMv: 5000, kept: null, usb: true, heard() {}, lamp() {} });
const { usbCtrl, usbDPRAMView } = board.chip;
board.run(UNTIL_CONFIGURED_NS);
for (const request of requests) {
  const [name, setup, data = ''] = request.split(':');
  const answer = [];
  usbCtrl.onEndpointWrite = (endpoint, bytes) => endpoint === 0 && answer.push(...bytes);
  usbCtrl.onEndpointRead = (endpoint) => {
    if (endpoint === 0) usbCtrl.endpointReadDone(0, Uint8Array.from(Buffer.from(data, 'hex')));
  };
  usbDPRAMView.setUint32(CONTROL_IN_WORD, 0, true);
  usbCtrl.sendSetupPacket(Buffer.from(setup, 'hex'));
  board.run(board.nanos + AT_ONCE_NS);
  const refused = usbDPRAMView.getUint32(CONTROL_IN_WORD, true) & STALL;
  console.log(`${name} ${refused ? 'refused' : Buffer.from(answer).toString('hex')}`.trim());
}
