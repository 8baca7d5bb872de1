// The UART's wire: bytes take their time in both directions, and the chip's buffers fill up. Without
// this, rp2040js sends each byte at once.

const DEPTH = 32;
const TX_FULL = 1 << 5;
const TX_EMPTY = 1 << 7;
const RX_EMPTY = 1 << 4;
const RX_FULL = 1 << 6;
const BITS_A_BYTE = 10;

export class Uart {
  // `heard` gets each byte that the board sends, when its last bit is out.
  constructor(chip, heard) {
    this.port = chip.uart[0];
    this.clock = chip.clock;
    this.heard = heard;
    this.out = [];
    this.in = [];
    this.lost = 0;
    this.outAlarm = this.clock.createAlarm(() => this.sent());
    this.inAlarm = this.clock.createAlarm(() => this.arrived());
    this.port.onByte = (byte) => this.queue(byte);
    Object.defineProperty(this.port, 'flags', { get: () => this.flags() });
  }

  flags() {
    const { rxFIFO } = this.port;
    return (
      (this.out.length >= DEPTH ? TX_FULL : 0) |
      (this.out.length ? 0 : TX_EMPTY) |
      (rxFIFO.empty ? RX_EMPTY : 0) |
      (rxFIFO.full ? RX_FULL : 0)
    );
  }

  get byteNanos() {
    return (BITS_A_BYTE * 1e9) / (this.port.baudRate || 115200);
  }

  queue(byte) {
    if (this.out.length >= DEPTH) throw new Error('the program sends a byte for which the UART has no room');
    this.out.push(byte);
    if (this.out.length === 1) this.outAlarm.schedule(this.byteNanos);
  }

  sent() {
    this.heard(this.out.shift());
    if (this.out.length) this.outAlarm.schedule(this.byteNanos);
  }

  // Bytes to the board.
  receive(bytes) {
    if (!this.in.length && bytes.length) this.inAlarm.schedule(this.byteNanos);
    for (const byte of bytes) this.in.push(byte);
  }

  arrived() {
    const byte = this.in.shift();
    if (this.port.rxFIFO.full) this.lost++;
    else this.port.feedByte(byte);
    if (this.in.length) this.inAlarm.schedule(this.byteNanos);
  }
}
